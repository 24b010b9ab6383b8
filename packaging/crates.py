"""The crates that are built into the program, as `cargo metadata` knows them."""

import json
import os
import subprocess

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def built_in():
    """The packages that `waywiser` needs to run, without those that only build or test it, by name and version."""
    command = ["cargo", "metadata", "--format-version=1", "--locked", "--filter-platform=x86_64-unknown-linux-gnu"]
    metadata = json.loads(subprocess.run(command, cwd=ROOT, check=True, capture_output=True).stdout)
    packages = {package["id"]: package for package in metadata["packages"]}
    needs = {}
    for node in metadata["resolve"]["nodes"]:
        normal = [dep["pkg"] for dep in node["deps"] if any(kind["kind"] is None for kind in dep["dep_kinds"])]
        # Macros run while building, and are not in the program.
        needs[node["id"]] = [pkg for pkg in normal if not any("proc-macro" in target["kind"] for target in packages[pkg]["targets"])]
    found, left = set(), [id for id, package in packages.items() if package["name"] == "waywiser"]
    while left:
        id = left.pop()
        if id not in found:
            found.add(id)
            left.extend(needs[id])
    chosen = [packages[id] | {"needs": needs[id]} for id in found]
    return sorted(chosen, key=lambda package: (package["name"], package["version"]))
