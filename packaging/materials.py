#!/usr/bin/env python3
"""The bill of materials of the program, in CycloneDX 1.5 (JSON): each crate with version, licence and checksum.

    python3 packaging/materials.py > waywiser.cdx.json
"""

import json
import os
import re
from datetime import datetime, timezone

from crates import ROOT, built_in


def checksums():
    """SHA-256 of each crate, from Cargo.lock."""
    with open(os.path.join(ROOT, "Cargo.lock"), encoding="utf-8") as file:
        entries = re.findall(r'name = "(.*)"\nversion = "(.*)"\nsource = ".*"\nchecksum = "(.*)"', file.read())
    return {(name, version): checksum for name, version, checksum in entries}


def reference(package):
    """The package URL of a crate."""
    return f"pkg:cargo/{package['name']}@{package['version']}"


def component(package, kind, checksums):
    """One component."""
    one = {"type": kind, "bom-ref": reference(package), "name": package["name"], "version": package["version"], "purl": reference(package)}
    if package["license"]:
        # Older crates write `/` for `or`.
        one["licenses"] = [{"expression": re.sub(r"\s*/\s*", " OR ", package["license"])}]
    checksum = checksums.get((package["name"], package["version"]))
    if checksum:
        one["hashes"] = [{"alg": "SHA-256", "content": checksum}]
    return one


def main():
    packages, sums = built_in(), checksums()
    by_id = {package["id"]: package for package in packages}
    own = next(package for package in packages if package["name"] == "waywiser")
    made = datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH", "0")), timezone.utc)
    bill = {
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": {"timestamp": made.strftime("%Y-%m-%dT%H:%M:%SZ"), "component": component(own, "application", sums)},
        "components": [component(package, "library", sums) for package in packages if package is not own],
        "dependencies": [
            {"ref": reference(package), "dependsOn": sorted(reference(by_id[need]) for need in package["needs"])} for package in packages
        ],
    }
    print(json.dumps(bill, indent=1))


main()
