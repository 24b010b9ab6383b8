#!/bin/sh
# The story by clicks in a real browser: installs what is missing where this user may, says it otherwise, and runs it.
# CHROMIUM names another browser than Debian's.
set -eu
cd "$(dirname "$0")/.."

missing=""
[ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null 2>&1 || missing="chromium"
command -v node >/dev/null 2>&1 || missing="$missing nodejs"
command -v npm >/dev/null 2>&1 || missing="$missing npm"
# A root is trusted in a browser's store by it.
command -v certutil >/dev/null 2>&1 || missing="$missing libnss3-tools"
if [ -n "$missing" ] && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    apt-get update -qq
    # shellcheck disable=SC2086 # several packages
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing
    missing=""
fi
if [ -n "$missing" ]; then
    echo "The browser tests did not run; missing: $missing. On Debian, as root: apt-get install $missing" >&2
    exit 1
fi

(cd crates/waywiser/tests/browser && npm ci --no-audit --no-fund --loglevel=error)
exec cargo test -p waywiser --locked --test browser -- --ignored --nocapture
