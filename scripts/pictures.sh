#!/bin/sh
# Makes the pictures of the documentation from the sample truck: charts, its job sheet, and the page in a real browser.
# Says what it misses. CHROMIUM names another browser than Debian's.
set -eu
cd "$(dirname "$0")/.."

missing=""
command -v pdftoppm >/dev/null 2>&1 || missing="$missing poppler-utils"
command -v mogrify >/dev/null 2>&1 || missing="$missing imagemagick"
command -v node >/dev/null 2>&1 || missing="$missing nodejs"
command -v npm >/dev/null 2>&1 || missing="$missing npm"
[ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null 2>&1 || missing="$missing chromium"
if [ -n "$missing" ]; then
    echo "No pictures were made; missing:$missing. On Debian, as root: apt-get install$missing" >&2
    exit 1
fi

# Tests build the program too.
WRITE_PICTURES=1 cargo test -q -p waywiser --test pictures the_charts
target=$(cargo metadata --format-version 1 --no-deps | sed 's/.*"target_directory":"\([^"]*\)".*/\1/')
program="$target/debug/waywiser"
folder=$(mktemp -d)
trap 'rm -r "$folder"' EXIT

"$program" demo --out "$folder/demo" >/dev/null
pdftoppm -r 66 -gray -png "$folder/demo/sheet.pdf" "$folder/job-sheet"

browser=crates/waywiser/tests/browser
(cd "$browser" && npm ci --no-audit --no-fund --loglevel=error)
ONLY=phone-light node "$browser/run.mjs" "$program" examples/demo "$folder/browser"
# As much of each page as a phone shows at once, from this far down, side by side; few colours look the same and are small.
shot() {
    cp "$folder"/browser/phone-light/*-"$1".png "$folder/page-$1.png"
    mogrify -crop "360x800+0+$2" +repage "$folder/page-$1.png"
}
shot choose 0
shot set-counter 216
shot prove 0
montage "$folder/page-choose.png" "$folder/page-set-counter.png" "$folder/page-prove.png" \
    -tile x1 -geometry +8+8 -background '#555' "$folder/page.png"
mogrify +dither -colors 40 "$folder/page.png"
mogrify +dither -colors 16 "$folder"/job-sheet-*.png
mogrify -strip -define png:compression-level=9 -define png:exclude-chunks=all "$folder/page.png" "$folder"/job-sheet-*.png
cp "$folder/page.png" "$folder"/job-sheet-*.png docs/pictures/
ls -l docs/pictures
