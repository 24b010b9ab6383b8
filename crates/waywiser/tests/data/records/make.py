"""Makes a record of every version: the migrations of its day, and the same five entries.

The entries are encoded and hashed here from the description in crates/truing/src/record/canonical.rs alone, so that a
change of what the program writes shows. Run in this folder: python3 make.py. Python 3.11, its sqlite3 of SQLite 3.40.
"""

import datetime
import hashlib
import json
import pathlib
import sqlite3
import struct

MIGRATIONS = pathlib.Path("../../../migrations")
# In the order of migrate.rs; the number of a version is how many of them were applied.
ORDER = ["2026-11-25-first-entries.sql", "2026-11-25-indexes-of-a-vehicle.sql", "2026-11-30-requests.sql"]
MARK = 0x77617977
TRUCK = "The grey half-ton"
EVENTS = [
    ("2026-05-02T10:00:00Z", "vehicle", {"present": "8.20", "writes_left": "4"}),
    ("2026-05-02T10:01:00Z", "odometer", {"odometer": "120344.5 mi"}),
    ("2026-05-09T08:30:00Z", "write", {
        "from": "8.20", "to": "7.86", "odometer": "120400 mi", "writes_left_before": "4", "writes_left_after": "3"}),
    ("2026-05-09T08:31:00Z", "note", {"text": "quiet \"road\", é"}),
    ("2026-05-10T08:30:00Z", "correction", {"corrects": "2", "odometer": "120345.4 mi"}),
]


def text(value):
    return struct.pack(">Q", len(value.encode())) + value.encode()


def encoded(sequence, time, kind, fields, previous):
    moment = datetime.datetime.fromisoformat(time.replace("Z", "+00:00"))
    nanoseconds = int(moment.timestamp()) * 10**9
    out = text("waywiser record 1") + struct.pack(">Q", sequence) + nanoseconds.to_bytes(16, "big", signed=True)
    out += text(TRUCK) + text(kind) + struct.pack(">Q", len(fields))
    for name in sorted(fields, key=str.encode):
        out += text(name) + text(fields[name])
    return out + previous


def make(version):
    path = pathlib.Path(f"version-{version}.sqlite")
    path.unlink(missing_ok=True)
    file = sqlite3.connect(path)
    file.execute("PRAGMA journal_mode = WAL")
    for name in ORDER[:version]:
        file.executescript((MIGRATIONS / name).read_text())
    file.execute("INSERT INTO vehicle (name) VALUES (?)", [TRUCK])
    previous = bytes(32)
    for sequence, (time, kind, fields) in enumerate(EVENTS, 1):
        own = hashlib.sha256(encoded(sequence, time, kind, fields, previous)).digest()
        row = json.dumps(fields, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        file.execute("INSERT INTO entry VALUES (?, ?, 1, ?, ?, ?, ?)", [sequence, time, kind, row, previous, own])
        previous = own
    file.commit()
    file.execute(f"PRAGMA user_version = {version}")
    file.execute(f"PRAGMA application_id = {MARK}")
    file.commit()
    file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.close()
    print(path, previous.hex())


for version in range(1, len(ORDER) + 1):
    make(version)
