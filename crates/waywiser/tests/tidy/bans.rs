//! What is not to be called, and what takes its place.

use crate::code::{code_of, paths, without_tests};
use crate::ratchet::Sizes;
use crate::tree::{File, Tree};

const METROLOGY: &str = "crates/metrology/src/";
const TRUING: &str = "crates/truing/src/";
const WAYWISER: &str = "crates/waywiser/src/";
const ALL: &str = "crates/";

/// The doors through which a program reaches the world.
const WORLD: [&str; 9] = [
    "std::fs",
    "std::net",
    "std::io",
    "std::env",
    "std::process",
    "std::thread",
    "std::time::SystemTime",
    "std::time::Instant",
    "std::os",
];
/// The disk and the clock, which in the faces have one door.
const DISK_AND_CLOCK: [&str; 3] = ["std::fs", "std::time::SystemTime", "std::time::Instant"];
/// Files of the faces that may open that door.
const DOORS: [&str; 3] =
    ["crates/waywiser/src/world.rs", "crates/waywiser/src/world/", "crates/waywiser/src/ledger/"];

/// One ban: where it holds (the start of a path, and whether in tests too), the words, and what to use instead.
struct Ban {
    under: &'static str,
    in_tests: bool,
    words: &'static [&'static str],
    instead: &'static str,
}

const BANS: [Ban; 9] = [
    Ban {
        under: ALL,
        in_tests: false,
        words: &[".unwrap()", ".unwrap_err()", ".expect(", "panic!", "unreachable!", "assert!", "assert_eq!"],
        instead: "return a Problem or an Option: no input may stop the program",
    },
    Ban {
        under: ALL,
        in_tests: true,
        words: &["dbg!", "todo!", "unimplemented!"],
        instead: "finish it, or leave it out and say so",
    },
    Ban {
        under: TRUING,
        in_tests: false,
        words: &["println!", "print!", "eprintln!", "eprint!"],
        instead: "return it in the report: the faces print, and tests that are run for their table",
    },
    Ban {
        under: METROLOGY,
        in_tests: false,
        words: &["println!", "print!", "eprintln!", "eprint!"],
        instead: "return it: the faces print, and tests that are run for their table",
    },
    Ban {
        under: METROLOGY,
        in_tests: true,
        words: &["f32"],
        instead: "f64 throughout, as 24 bits do not hold a second of the epoch",
    },
    Ban {
        under: ALL,
        in_tests: false,
        words: &["thread_rng", "rand::rng", "rand::random", "from_os_rng", "OsRng", "SysRng", "ThreadRng"],
        instead: "take a seed: the same inputs give the same bytes",
    },
    Ban {
        under: TRUING,
        in_tests: false,
        words: &["Timestamp::now", "Zoned::now", "HashMap", "HashSet"],
        instead: "take the time as an argument; BTreeMap and BTreeSet, whose order is always the same",
    },
    Ban {
        under: METROLOGY,
        in_tests: false,
        words: &["HashMap", "HashSet"],
        instead: "BTreeMap and BTreeSet, whose order is always the same",
    },
    Ban {
        under: ALL,
        in_tests: false,
        words: &["1609.344", "1_609.344", "1.609344", "1.609_344", "1609.34", "0.44704", "0.447_04"],
        instead: "metrology::quantity: miles and miles per hour are made and read there",
    },
];

/// Where the factors of the units themselves stand.
const FACTORS: &str = "crates/metrology/src/quantity.rs";

/// Uses of banned words, counted by file and word.
pub fn banned(tree: &Tree) -> Sizes {
    let mut sizes = Sizes::new();
    for file in tree.rust_under(ALL).filter(|file| file.path != FACTORS) {
        let code = code_of(&file.text);
        let product = if file.is_test() { String::new() } else { without_tests(&code) };
        for ban in BANS.iter().filter(|ban| file.path.starts_with(ban.under)) {
            let code = if ban.in_tests { &code } else { &product };
            for word in ban.words {
                let count = uses(code, word);
                if count > 0 {
                    sizes.insert(format!("uses of {word} in {}", file.path), (count, ban.instead));
                }
            }
        }
    }
    sizes
}

/// Whole words only: `assert!` is not in `debug_assert!`.
fn uses(code: &str, word: &str) -> usize {
    let is_word = |byte: Option<&u8>| byte.is_some_and(|byte| byte.is_ascii_alphanumeric() || *byte == b'_');
    let is_whole = |&(at, _): &(usize, &str)| {
        let (before, after) = (at.checked_sub(1), at + word.len());
        let bytes = code.as_bytes();
        (word.starts_with('.') || !is_word(before.and_then(|place| bytes.get(place))))
            && (word.ends_with(['(', ')', '!']) || !is_word(bytes.get(after)))
    };
    code.match_indices(word).filter(is_whole).count()
}

/// Input, output, the clock and the machine, reached from where they may not be.
pub fn world(tree: &Tree) -> Vec<String> {
    let pure = [METROLOGY, TRUING].into_iter().flat_map(|under| tree.rust_under(under));
    let pure = pure.flat_map(|file| reached(file, &WORLD, "no input, output or clock here"));
    let faces =
        tree.rust_under(WAYWISER).filter(|file| !DOORS.iter().any(|door| file.path.starts_with(door)));
    pure.chain(faces.flat_map(|file| reached(file, &DISK_AND_CLOCK, "through crate::world only"))).collect()
}

fn reached(file: &File, doors: &[&str], instead: &str) -> Vec<String> {
    let code = code_of(&file.text);
    let used = paths(&code).into_iter().filter(|(_, path)| doors.iter().any(|door| overlap(path, door)));
    used.map(|(at, path)| format!("{}:{}: `{path}`: {instead}", file.path, file.line_of(at))).collect()
}

/// Whether one path leads to or past the other: `std::time` brings `std::time::Instant` with it.
fn overlap(path: &str, door: &str) -> bool {
    let names = path.split("::").filter(|name| *name != "*" && *name != "self" && !name.is_empty());
    path.starts_with("std::") && names.zip(door.split("::")).all(|(a, b)| a == b)
}
