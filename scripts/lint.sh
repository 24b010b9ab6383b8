#!/bin/sh
# Format, lints and documentation, every warning an error. The licence and ban lists of deny.toml are checked
# where cargo-deny is installed.
set -eu
cd "$(dirname "$0")/.."

cargo fmt --all --check
cargo clippy --workspace --all-targets --locked -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --locked
if cargo deny --version >/dev/null 2>&1; then
    cargo deny check bans licenses sources
else
    echo "cargo-deny is not installed: deny.toml was not checked"
fi
