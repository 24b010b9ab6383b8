-- The record: entries that are only ever added. What can be derived from them is not stored.

CREATE TABLE vehicle (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (length(name) > 0)
) STRICT;

CREATE TABLE entry (
    sequence INTEGER PRIMARY KEY CHECK (sequence > 0),
    time TEXT NOT NULL,                              -- RFC 3339, UTC, as the export writes it
    vehicle INTEGER NOT NULL REFERENCES vehicle (number),
    kind TEXT NOT NULL,
    fields TEXT NOT NULL CHECK (json_valid(fields)), -- one JSON object, text to text
    previous BLOB NOT NULL CHECK (length(previous) = 32),
    hash BLOB NOT NULL UNIQUE CHECK (length(hash) = 32)
) STRICT;

CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries of the record are never removed'); END;

CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries of the record are never changed; add a correction'); END;

CREATE TRIGGER entry_is_next BEFORE INSERT ON entry
WHEN NEW.sequence <> (SELECT coalesce(max(sequence), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'entries of the record follow each other without a gap'); END;

CREATE TRIGGER vehicle_is_kept BEFORE DELETE ON vehicle
BEGIN SELECT RAISE(ABORT, 'vehicles of the record are never removed'); END;

CREATE TRIGGER vehicle_stays BEFORE UPDATE ON vehicle
BEGIN SELECT RAISE(ABORT, 'vehicles of the record are never changed'); END;
