#!/bin/sh
# The long way of the attack: `sh scripts/attack.sh [SECONDS] [TARGET...]`, ten minutes for each target when left out.
#
# The targets that need nothing but the reasoning are guided by coverage (libFuzzer, in the crate libfuzzer-sys). Its marks are
# passes of the compiler that a stable one has as well, so no other toolchain is needed; a C++ compiler is. The others (zip, sound,
# api) are damaged by the driver of the tests, with another seed each day. What is found stays in crates/truing/fuzz/artifacts.
set -eu
cd "$(dirname "$0")/.."
seconds=${1:-600}
[ $# -gt 0 ] && shift
host=$(rustc -vV | sed -n 's/^host: //p')
guided="drive pulses vehicle record tire quantity procedure sheet_code"
targets=${*:-$guided can csv_track csv_vehicle dbc fit gpx igc json kml nmea recording subtitles tcx track vehicle_log zip sound api}

marks="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4"
marks="$marks -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table"
# A sum that runs over stops a target, as it stops a test.
marks="$marks -Cllvm-args=-sanitizer-coverage-trace-compares -Coverflow-checks=on -Cdebug-assertions=on --cfg fuzzing"
fuzz=crates/truing/fuzz
failed=""
for target in $targets; do
    case $target in
    zip | sound | api)
        # The driver gives each of its eleven targets its share.
        WAYWISER_ATTACK_SECONDS=$((seconds * 11)) WAYWISER_ATTACK_SEED=$(date +%Y%m%d) \
            cargo test --release -p waywiser --lib "attack" -- --nocapture "$target" || failed="$failed $target"
        ;;
    *)
        mkdir -p "$fuzz/corpus/$target" "$fuzz/artifacts" "$fuzz/seeds/$target"
        (cd $fuzz && RUSTFLAGS="$marks" cargo build --release --target "$host" --bin "$target")
        "$fuzz/target/$host/release/$target" "$fuzz/corpus/$target" "$fuzz/seeds/$target" -max_total_time="$seconds" \
            -timeout=20 -rss_limit_mb=2048 -print_final_stats=1 -artifact_prefix="$fuzz/artifacts/$target-" || failed="$failed $target"
        ;;
    esac
done
if [ -n "$failed" ]; then
    echo "Found something in:$failed" >&2
    exit 1
fi
