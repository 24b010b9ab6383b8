#!/usr/bin/env python3
"""What the tables of docs/drive.md say with each tuned constant halved and doubled.

    python3 scripts/constants.py [NAME...]

Works on a copy of the tree in a temporary folder (TMPDIR), never on this one, and prints one row for each constant and factor: the worlds of
tests/mismatched named below, SEEDS seeds each (40 unless said). Some minutes for each constant: the estimator is compiled twice for it.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
DRIVE = "crates/truing/src/measure/drive/"
SMOOTH = "crates/metrology/src/"
CONSTANTS = [
    (DRIVE + "truth/length.rs", "SCALE_U"),
    (DRIVE + "truth/length.rs", "REPORTED_SCALE_U"),
    (DRIVE + "truth/length.rs", "MOVING_SCALE_U"),
    (DRIVE + "truth/length.rs", "REPORTED_MOVING_SCALE_U"),
    (DRIVE + "truth/length.rs", "CARRIER_SCALE_U"),
    (DRIVE + "truth/length.rs", "HALVED_U"),
    (DRIVE + "truth/length.rs", "SMOOTHED_OFF_U"),
    (DRIVE + "truth/length.rs", "FILTERED_S"),
    (DRIVE + "truth/length.rs", "UNFILTERED_S"),
    (DRIVE + "truth/length.rs", "LEFT_OUT_U"),
    (DRIVE + "truth/length.rs", "REPORTED_OFFSET_U_M_PER_S"),
    (DRIVE + "truth/gaps.rs", "BY_SPEEDS_U"),
    (DRIVE + "line/offset_mixture.rs", "REST_M_PER_S"),
    (DRIVE + "line/offset_mixture.rs", "OWN_SHARE"),
    (DRIVE + "line/growth.rs", "BIAS_SHARE"),
    (DRIVE + "line/balance.rs", "MOST"),
    (SMOOTH + "smooth.rs", "TAIL_DOF"),
    (SMOOTH + "smooth.rs", "WANDER_U"),
    (SMOOTH + "smooth/rough.rs", "CLEAR"),
]
WORLDS = [
    "ordinary",
    "ordinary, places only",
    "speeds only",
    "city alone",
    "bias tires, places only",
    "reflections",
    "reflections, places only",
    "receiver smooths",
    "all that a phone does, places only",
    "a hole of 600 s",
]


def table(folder):
    """For each world: R covered and rms z, length covered and rms z."""
    environment = dict(os.environ, ROWS=";".join(WORLDS), SEEDS=os.environ.get("SEEDS", "40"))
    command = "cargo test -q -p truing --test mismatched -- --ignored --nocapture table"
    done = subprocess.run(command.split(), cwd=folder, env=environment, capture_output=True, text=True, check=False)
    rows = [line.split("|")[1:-1] for line in done.stdout.splitlines() if line.startswith("| ")]
    if len(rows) < 2:
        sys.exit(done.stderr[-2000:])
    head = [cell.strip() for cell in rows[0]]
    covered = [k for k, name in enumerate(head) if name == "covered"][:2]
    scores = [k for k, name in enumerate(head) if name == "rms z"][:2]
    found = {}
    for row in rows[1:]:
        cells = [cell.strip() for cell in row]
        found[cells[0]] = f"{cells[covered[0]]}/{cells[scores[0]]} {cells[covered[1]]}/{cells[scores[1]]}"
    return found


def main():
    chosen = [one for one in CONSTANTS if len(sys.argv) < 2 or one[1] in sys.argv[1:]]
    folder = tempfile.mkdtemp()
    try:
        shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns("target", ".git", "node_modules"), dirs_exist_ok=True)
        base = table(folder)
        names = list(base)
        print("| constant | " + " | ".join(names) + " |\n|---|" + "---|" * len(names))
        print("| as it is | " + " | ".join(base.values()) + " |", flush=True)
        for path, name in chosen:
            full = os.path.join(folder, path)
            with open(full, encoding="utf-8") as file:
                text = file.read()
            for word, factor in [("halved", 0.5), ("doubled", 2.0)]:
                line = re.compile(rf"(const {name}: f64 = )([^;]+);")
                if len(line.findall(text)) != 1:
                    sys.exit(f"{path}: no constant {name}")
                changed = line.sub(lambda found: f"{found[1]}{factor:.1f} * ({found[2]});", text)
                with open(full, "w", encoding="utf-8") as file:
                    file.write(changed)
                found = table(folder)
                print(f"| `{name}` {word} | " + " | ".join(found.get(world, "-") for world in names) + " |", flush=True)
            with open(full, "w", encoding="utf-8") as file:
                file.write(text)
    finally:
        shutil.rmtree(folder)


main()
