#!/bin/sh
# Format, lints and documentation, every warning an error. The lists of deny.toml are checked where cargo-deny is installed;
# with WAYWISER_DENY=install it is built first, which takes minutes.
set -eu
cd "$(dirname "$0")/.."

cargo fmt --all --check
cargo clippy --workspace --all-targets --locked -- -D warnings
# Each part that can be left out, left out once: the page, the sound, paper and page, the receiver, the network.
for parts in paper,sound page sound lan,sound live,sound; do
    cargo clippy -p waywiser --bin waywiser --no-default-features --features "$parts" --locked -- -D warnings
done
RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --locked
if [ "${WAYWISER_DENY:-}" = install ] && ! cargo deny --version >/dev/null 2>&1; then
    cargo install cargo-deny --locked
fi
if cargo deny --version >/dev/null 2>&1; then
    cargo deny check bans licenses sources
    # The list of advisories comes from the network; without it the rest is checked all the same.
    if cargo deny fetch db >/dev/null 2>&1; then
        cargo deny check advisories
    else
        echo "the list of advisories could not be fetched: advisories were not checked"
    fi
else
    echo "cargo-deny is not installed: deny.toml was not checked"
fi
