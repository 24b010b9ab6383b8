#!/bin/sh
# What a stranger installs, from this commit: sh scripts/package.sh [FOLDER], target/packages when left out.
#
# For each target that the compiler here has the standard library of: a tar (a zip for Windows) with the program, its manual pages,
# completions and licences; for Linux a .deb beside it; for all a bill of materials (CycloneDX) and SHA-256 sums. A target without a
# standard library is asked of rustup once and otherwise skipped with a sentence. TARGETS names others than these.
#
# The C compiler and linker for other systems are those of zig, which PyPI carries in ziglang; cargo-zigbuild gives it to cargo. Both go into
# a folder of their own under target, nothing is installed on the machine. The same commit makes the same bytes: folders are named the same
# in the program, times are the commit's.
set -eu
cd "$(dirname "$0")/.."

out=${1:-target/packages}
# A glibc of 2017 for what is not static: older systems still run it.
targets=${TARGETS:-x86_64-unknown-linux-musl aarch64-unknown-linux-musl x86_64-unknown-linux-gnu.2.28 x86_64-pc-windows-gnu}
version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -1)

need() {
    command -v "$1" >/dev/null 2>&1 || { echo "No $1 here. On Debian: apt-get install $2" >&2; exit 1; }
}
need git git
need python3 "python3 python3-venv"
need xz xz-utils
need gzip gzip

# What `waywiser --version` and every paper say of the build.
commit=$(git rev-parse --short=12 HEAD)
[ -z "$(git status --porcelain --untracked-files=no)" ] || commit="$commit and changes"
WAYWISER_BUILD="$version ($commit, $(git log -1 --format=%cs))"
SOURCE_DATE_EPOCH=$(git log -1 --format=%ct)
export WAYWISER_BUILD SOURCE_DATE_EPOCH

tools=target/package-tools
if [ ! -x "$tools/bin/cargo-zigbuild" ]; then
    python3 -m venv "$tools"
    "$tools/bin/pip" install --quiet --disable-pip-version-check "ziglang==0.13.0" "cargo-zigbuild==0.20.1"
fi
PATH="$PWD/$tools/bin:$PATH"
export PATH

# No folder of the builder's stands in the program.
RUSTFLAGS="--remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}=/cargo --remap-path-prefix=$PWD=/waywiser"
RUSTFLAGS="$RUSTFLAGS --remap-path-prefix=$(rustc --print sysroot)=/rust"
export RUSTFLAGS

mkdir -p "$out"
out=$(cd "$out" && pwd)
: > "$out/SHA256SUMS"

# Whether the standard library of a target is here, or can be fetched.
has_library() {
    [ -d "$(rustc --print target-libdir --target "$1" 2>/dev/null)" ] && return 0
    command -v rustup >/dev/null 2>&1 && timeout 60 rustup target add "$1" >/dev/null 2>&1
}

# A tar in which nothing depends on who packs it, and when.
packed() { # FOLDER ARCHIVE
    tar --sort=name --mtime="@$SOURCE_DATE_EPOCH" --owner=0 --group=0 --numeric-owner --format=gnu -C "$1" -cf - . | xz -9e -T1 > "$2"
}

deb() { # BINARY ARCHITECTURE SHARED_LIBRARIES
    root=$(mktemp -d)
    install -D -m 755 "$1" "$root/usr/bin/waywiser"
    mkdir -p "$root/usr/share/man/man1"
    for page in "$pages"/man/*.1; do
        gzip -9n < "$page" > "$root/usr/share/man/man1/$(basename "$page").gz"
    done
    install -D -m 644 "$pages/completions/waywiser.bash" "$root/usr/share/bash-completion/completions/waywiser"
    install -D -m 644 "$pages/completions/_waywiser" "$root/usr/share/zsh/vendor-completions/_waywiser"
    install -D -m 644 "$pages/completions/waywiser.fish" "$root/usr/share/fish/vendor_completions.d/waywiser.fish"
    install -D -m 644 packaging/waywiser.desktop "$root/usr/share/applications/waywiser.desktop"
    install -D -m 644 crates/waywiser/static/mark.svg "$root/usr/share/icons/hicolor/scalable/apps/waywiser.svg"
    doc="$root/usr/share/doc/waywiser"
    mkdir -p "$doc"
    python3 packaging/copyright.py > "$doc/copyright"
    gzip -9n < CHANGELOG.md > "$doc/changelog.gz"
    mkdir "$root/DEBIAN"
    size=$(du -sk --exclude=DEBIAN "$root" | cut -f1)
    sed -e "s/@VERSION@/$version/" -e "s/@ARCHITECTURE@/$2/" -e "s/@SIZE@/$size/" -e "s/@DEPENDS@/$3/" packaging/control > "$root/DEBIAN/control"
    sed -i '/^Depends: $/d' "$root/DEBIAN/control"
    find "$root" -type d -exec chmod 755 {} +
    dpkg-deb --root-owner-group -Zxz --build "$root" "$out/waywiser_${version}_$2$4.deb" >/dev/null
    rm -r "$root"
}

pages=""
made=""
for target in $targets; do
    # `.2.28` is the version of glibc, and no part of the compiler's name for the target.
    triple=$(echo "$target" | sed 's/\.[0-9.]*$//')
    if ! has_library "$triple"; then
        echo "$target: skipped; its standard library is not here and rustup cannot fetch it."
        continue
    fi
    cargo zigbuild --release --locked -p waywiser --target "$target"
    binary="target/$triple/release/waywiser"
    [ -f "$binary" ] || binary="$binary.exe"

    # Pages and completions come from the program itself: from the first one that runs on this machine.
    if [ -z "$pages" ] && "$binary" --version >/dev/null 2>&1; then
        pages=$(mktemp -d)
        mkdir "$pages/completions"
        "$binary" man-pages --out "$pages/man" >/dev/null
        "$binary" completions bash > "$pages/completions/waywiser.bash"
        "$binary" completions zsh > "$pages/completions/_waywiser"
        "$binary" completions fish > "$pages/completions/waywiser.fish"
        "$binary" --version
    fi

    name="waywiser-$version-$triple"
    folder=$(mktemp -d)
    mkdir "$folder/$name"
    cp "$binary" README.md CHANGELOG.md LICENSE-APACHE LICENSE-MIT NOTICE "$folder/$name/"
    python3 packaging/copyright.py > "$folder/$name/COPYRIGHT"
    [ -z "$pages" ] || cp -r "$pages/man" "$pages/completions" "$folder/$name/"
    case $triple in
    *windows*)
        archive="$out/$name.zip"
        python3 packaging/zipped.py "$folder" "$archive"
        ;;
    *)
        archive="$out/$name.tar.xz"
        packed "$folder" "$archive"
        ;;
    esac
    rm -r "$folder"
    made="$made $archive"

    if command -v dpkg-deb >/dev/null 2>&1 && [ -n "$pages" ]; then
        case $triple in
        x86_64*musl) deb "$binary" amd64 "" "" ;;
        aarch64*musl) deb "$binary" arm64 "" "" ;;
        x86_64*gnu) deb "$binary" amd64 "libc6 (>= 2.28), libgcc-s1" "_glibc" ;;
        esac
    fi
done
[ -z "$pages" ] || rm -r "$pages"
if [ -z "$made" ]; then
    echo "Nothing was packed: no target's standard library is here." >&2
    exit 1
fi

python3 packaging/materials.py > "$out/waywiser-$version.cdx.json"
(cd "$out" && for file in waywiser*; do sha256sum "$file"; done > SHA256SUMS && cat SHA256SUMS && ls -l)
