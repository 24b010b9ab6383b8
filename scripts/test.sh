#!/bin/sh
# Runs every test. Says what to install where a tool is missing; needs nothing else outside this folder but the
# crates named in Cargo.lock, which cargo fetches once, and for the browser tests two packages of npm, in their lock too.
set -eu
cd "$(dirname "$0")/.."

missing=""
if ! command -v cargo >/dev/null 2>&1 && [ -r "${CARGO_HOME:-$HOME/.cargo}/env" ]; then
    # Installed, but this shell has not been told.
    . "${CARGO_HOME:-$HOME/.cargo}/env"
fi
if ! command -v cargo >/dev/null 2>&1; then
    echo "No cargo here. It comes with Rust, 1.95 or later: https://rustup.rs" >&2
    missing="$missing cargo"
fi
# Rust links with the C compiler, also where no C is compiled.
if ! command -v cc >/dev/null 2>&1; then
    echo "No C compiler here, which Rust needs to link. On Debian: apt-get install build-essential" >&2
    missing="$missing cc"
fi
# The papers are checked from outside, by tools that Debian's packages poppler-utils and qpdf bring.
if ! command -v pdftotext >/dev/null 2>&1 || ! command -v pdftoppm >/dev/null 2>&1 || ! command -v qpdf >/dev/null 2>&1; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        apt-get update -qq && apt-get install -y -qq poppler-utils qpdf >/dev/null
    else
        echo "No pdftotext, pdftoppm or qpdf here. On Debian: apt-get install poppler-utils qpdf" >&2
        missing="$missing poppler-utils qpdf"
    fi
fi
if [ -n "$missing" ]; then
    echo "Not run; missing:$missing" >&2
    exit 1
fi

cargo test --workspace --locked "$@"

# With arguments, only what they name was asked for.
if [ $# -eq 0 ]; then
    sh scripts/browser.sh
fi
