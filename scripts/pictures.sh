#!/bin/sh
# Makes the pictures of the documentation from the sample truck: charts, and the first page of its job sheet.
set -eu
cd "$(dirname "$0")/.."

WRITE_PICTURES=1 cargo test -q -p waywiser --test pictures the_charts
folder=$(mktemp -d)
trap 'rm -r "$folder"' EXIT
cp examples/demo/* "$folder"
cargo run -q -p waywiser -- sheet "$folder/truck.toml" --out "$folder/sheet.pdf" >/dev/null
pdftoppm -r 66 -gray -png "$folder/sheet.pdf" "$folder/page"
cp "$folder/page-1.png" docs/pictures/job-sheet-1.png
cp "$folder/page-2.png" docs/pictures/job-sheet-2.png
