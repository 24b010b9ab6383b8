#!/usr/bin/env python3
"""Who holds the rights in what the program is built of: each crate with its licence, and the texts that come with them.

    python3 packaging/copyright.py > copyright

In the machine-readable form of Debian's copyright files (version 1.0).
"""

import hashlib
import os
import re

from crates import ROOT, built_in

FILES = re.compile(r"(?i)^(licen[cs]e|copying|notice|unlicense|copyright)")


def texts(package):
    """The texts of licences and notices in a crate's folder."""
    folder = os.path.dirname(package["manifest_path"])
    names = sorted(name for name in os.listdir(folder) if FILES.match(name) and os.path.isfile(os.path.join(folder, name)))
    for name in names:
        with open(os.path.join(folder, name), encoding="utf-8", errors="replace") as file:
            yield file.read().strip()


def field(text):
    """A text as the continuation of a field."""
    return "\n".join(" " + (line.rstrip() or ".") for line in text.split("\n"))


def main():
    print("Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/")
    print("Upstream-Name: waywiser\n")
    print("Files: *\nCopyright: the authors of waywiser\nLicense: MIT or Apache-2.0")
    for name in ["LICENSE-MIT", "LICENSE-APACHE", "NOTICE"]:
        with open(os.path.join(ROOT, name), encoding="utf-8") as file:
            print(field(file.read().strip()) + "\n .")
    print("\nFiles: crates/waywiser/static/fonts/*\nCopyright: 2010-2011 Google Corporation (digitized data)\nLicense: Apache-2.0")
    with open(os.path.join(ROOT, "crates/waywiser/static/fonts/LICENSE-OpenSans.txt"), encoding="utf-8") as file:
        print(field(file.read().strip()))
    told = {}
    for package in built_in():
        if package["source"] is None:
            continue
        print(f"\nFiles: crate {package['name']} {package['version']}")
        print("Copyright: " + ("; ".join(package["authors"]) or f"the authors of {package['name']}"))
        print(f"License: {package['license'] or 'see the text'}")
        for text in texts(package):
            digest = hashlib.sha256(" ".join(text.split()).encode()).hexdigest()
            if digest in told:
                print(f" The text that stands with {told[digest]}.")
            else:
                told[digest] = f"{package['name']} {package['version']}"
                print(field(text))
            print(" .")


main()
