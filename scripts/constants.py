#!/usr/bin/env python3
"""What the tables of docs/drive.md say with each tuned constant halved and doubled.

    python3 scripts/constants.py [NAME...]

Works on a copy of the tree in a temporary folder (TMPDIR), never on this one. There each constant takes a factor from the environment, so
that the estimator is compiled once. Prints one row for each constant and factor: the worlds of tests/mismatched named below, SEEDS seeds
each (40 unless said).
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
    (SMOOTH + "smooth/mod.rs", "TAIL_DOF"),
    (SMOOTH + "smooth/rough.rs", "WANDER_U"),
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
FACTOR = "FACTOR_"


def loosen(folder, path, name):
    """Lets the constant take its factor from the environment, in the copy: where it is defined and wherever it is imported."""
    key = FACTOR + re.sub(r"\W", "_", path) + name
    definition = re.compile(rf"^(pub |pub\(crate\) |pub\(super\) )?const {name}: f64 = ([^;]+);", re.M)
    lazy = "std::sync::LazyLock"
    for at, _, files in os.walk(os.path.join(folder, "crates")):
        for file in (os.path.join(at, file) for file in files if file.endswith(".rs")):
            with open(file, encoding="utf-8") as opened:
                text = opened.read()
            own = os.path.samefile(file, os.path.join(folder, path))
            module = os.path.basename(path)[: -len(".rs")]
            imported = not own and re.search(rf"\b{module}::(\{{[^}}]*\b{name}\b|{name}\b)", text)
            if not own and not imported:
                continue
            if own and len(definition.findall(text)) != 1:
                sys.exit(f"{path}: no constant {name}")
            lines = []
            for line in definition.sub(rf"\1@const \2", text).split("\n"):
                if not re.match(r"\s*(//|use |pub use )", line) and "@const" not in line:
                    line = re.sub(rf"(?<![\w:]){name}\b", f"(*{name})", line)
                lines.append(line)
            factor = f'std::env::var("{key}").ok().and_then(|factor| factor.parse::<f64>().ok()).unwrap_or(1.0)'
            text = "\n".join(lines)
            text = re.sub(r"^(.*)@const (.*)$", rf"\1static {name}: {lazy}<f64> = {lazy}::new(|| (\2) * {factor});", text, flags=re.M)
            with open(file, "w", encoding="utf-8") as opened:
                opened.write(text)
    return key


def table(folder, **factors):
    """For each world: R covered and rms z, length covered and rms z."""
    environment = dict(os.environ, ROWS=";".join(WORLDS), SEEDS=os.environ.get("SEEDS", "40"), **factors)
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
        keys = {one: loosen(folder, *one) for one in chosen}
        base = table(folder)
        names = list(base)
        print("| constant | " + " | ".join(names) + " |\n|---|" + "---|" * len(names))
        print("| as it is | " + " | ".join(base.values()) + " |", flush=True)
        for one in chosen:
            for word, factor in [("halved", "0.5"), ("doubled", "2.0")]:
                found = table(folder, **{keys[one]: factor})
                print(f"| `{one[1]}` {word} | " + " | ".join(found.get(world, "-") for world in names) + " |", flush=True)
    finally:
        shutil.rmtree(folder)


main()
