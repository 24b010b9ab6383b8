#!/usr/bin/env python3
"""A zip in which nothing depends on who packs it, and when: python3 packaging/zipped.py FOLDER ARCHIVE."""

import os
import sys
import time
import zipfile

folder, archive = sys.argv[1:]
when = time.gmtime(int(os.environ["SOURCE_DATE_EPOCH"]))[:6]
paths = sorted(os.path.relpath(os.path.join(at, name), folder) for at, _, names in os.walk(folder) for name in names)
with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
    for path in paths:
        with open(os.path.join(folder, path), "rb") as file:
            entry = zipfile.ZipInfo(path.replace(os.sep, "/"), when)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, file.read())
