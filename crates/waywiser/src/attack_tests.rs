//! Attack as a habit: inputs that are damaged on purpose, from bytes all the way to answers, in every run of the tests.
//!
//! Each target starts from the files in `crates/truing/fuzz/seeds`, which hold what guided runs found worth keeping, and damages
//! them: bits, bytes, lines and numbers; pieces taken out, doubled, exchanged between two. The same inputs come every time. A
//! test ends after its share of the seconds in `WAYWISER_ATTACK_SECONDS` (30 in all when left out); `WAYWISER_ATTACK_SEED` begins
//! elsewhere. What fails is told with the whole input. `scripts/attack.sh` is the long way, guided by coverage.

#[path = "../../truing/fuzz/answers.rs"]
mod answers;

use crate::sound;
use crate::unpack;
use crate::world;
use std::io::Cursor;
use std::path::Path;
use std::time::Duration;
use truing::logs::recording::RecordingOptions;
use truing::measure::pulses::Listener;
use truing::report::answers::pulses::PulseReport;
use truing::report::words;
use truing::units::Units;

/// Targets there are, of which each gets its share.
const TARGETS: u64 = 11;
/// What is longer is cut: a long input finds little more and takes long.
const MOST_BYTES: usize = 64 << 10;

/// Chance with a seed (SplitMix64, in the public domain).
pub struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `end`; 0 where that is 0.
    fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { (self.next() % end as u64) as usize }
    }

    fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }

    /// A stretch of something so long.
    fn stretch(&mut self, length: usize) -> std::ops::Range<usize> {
        let start = self.below(length + 1);
        let most = if self.below(4) == 0 { length - start } else { (length - start).min(40) };
        start..start + self.below(most + 1)
    }
}

/// What stands where a number stood.
const NUMBERS: [&str; 22] = [
    "0",
    "-0",
    "-1",
    "1",
    "1e308",
    "-1e308",
    "1e-320",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "9999999999",
    "18446744073709551616",
    "-9223372036854775808",
    "4294967296",
    "0.0000000000000001",
    "",
    ".",
    "1.7976931348623157e308",
    "00",
    "1,5",
    "٣",
];
const WORDS: [&str; 16] = [
    "\0",
    "\n",
    "\r\n",
    ",",
    ";",
    "\"",
    "=",
    "[[",
    "]]",
    "<",
    "/>",
    "}",
    "\u{feff}",
    "\u{202e}",
    "2026-02-30T25:61:61Z",
    "±",
];

/// The same input, damaged.
fn damaged(chance: &mut Chance, seeds: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = chance.one_of(seeds).clone();
    for _ in 0..=chance.below(4) {
        damage(chance, seeds, &mut bytes);
        bytes.truncate(MOST_BYTES);
    }
    bytes
}

fn damage(chance: &mut Chance, seeds: &[Vec<u8>], bytes: &mut Vec<u8>) {
    let place = chance.below(bytes.len());
    let stretch = chance.stretch(bytes.len());
    match chance.below(12) {
        0 if !bytes.is_empty() => bytes[place] ^= 1 << chance.below(8),
        1 if !bytes.is_empty() => {
            bytes[place] = *chance.one_of(&[0, 1, 0x7f, 0x80, 0xfe, 0xff, b'0', b'9', b'-'])
        }
        2 => drop(bytes.drain(stretch)),
        3 => {
            let piece = bytes[stretch].to_vec();
            bytes.splice(place..place, piece);
        }
        4 => {
            let other = chance.one_of(seeds);
            let piece = other[chance.stretch(other.len())].to_vec();
            bytes.splice(stretch, piece);
        }
        5 => bytes.truncate(place),
        6 => drop(bytes.splice(place..place, chance.one_of(&WORDS).bytes())),
        7..=9 => number(chance, bytes),
        10 => lines(chance, bytes),
        _ if bytes.len() >= 4 => {
            let place = chance.below(bytes.len() - 3);
            let extreme = *chance.one_of(&[0_u32, 1, 0x7fff_ffff, 0x8000_0000, 0xffff_ffff, 0x0001_0000]);
            let put = if chance.below(2) == 0 { extreme.to_le_bytes() } else { extreme.to_be_bytes() };
            bytes[place..place + 4].copy_from_slice(&put);
        }
        _ => bytes.push(chance.below(256) as u8),
    }
}

/// Another number in the place of one.
fn number(chance: &mut Chance, bytes: &mut Vec<u8>) {
    let from = chance.below(bytes.len());
    let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit).map(|found| from + found) else {
        return;
    };
    let is_part = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
    let length = bytes[start..].iter().take_while(|byte| is_part(byte)).count();
    bytes.splice(start..start + length, chance.one_of(&NUMBERS).bytes());
}

/// Two lines exchanged, or one doubled many times.
fn lines(chance: &mut Chance, bytes: &mut Vec<u8>) {
    let mut all: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let (one, other) = (chance.below(all.len()), chance.below(all.len()));
    if chance.below(2) == 0 && !all.is_empty() {
        all.swap(one, other);
    } else if let Some(line) = all.get(one).copied() {
        let times = chance.below(50);
        all.splice(one..one, std::iter::repeat_n(line, times));
    }
    *bytes = all.concat();
}

/// The kept inputs of a target.
pub fn seeds(target: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../truing/fuzz/seeds").join(target);
    let names = world::files_in(&folder);
    let seeds: Vec<Vec<u8>> = names.iter().map(|name| world::bytes_for_a_test(&folder.join(name))).collect();
    assert!(!seeds.is_empty(), "no seeds for {target}");
    seeds
}

fn variable(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// Damages inputs until the share of this target is used up, and tells the first that stops the program.
pub fn attack(target: &str, act: impl FnMut(&[u8])) {
    let share = Duration::from_millis(1000 * variable("WAYWISER_ATTACK_SECONDS", 30) / TARGETS);
    let since = world::now();
    let goes_on = || world::now().duration_since(since).unsigned_abs() < share;
    let tried = attacked(&seeds(target), variable("WAYWISER_ATTACK_SEED", 1), goes_on, act);
    println!("{target}: {} inputs", tried.unwrap_or_else(|told| panic!("{target}: {told}")));
}

/// The same as long as it is to go on: how many inputs there were, or the one that failed.
fn attacked(
    seeds: &[Vec<u8>],
    seed: u64,
    goes_on: impl Fn() -> bool,
    mut act: impl FnMut(&[u8]),
) -> Result<u64, String> {
    let mut chance = Chance(seed);
    let mut count = 0;
    let mut next = || {
        let place = count as usize;
        count += 1;
        match seeds.get(place) {
            Some(whole) => Some(whole.clone()),
            None => goes_on().then(|| damaged(&mut chance, seeds)),
        }
    };
    let mut tried = 0;
    while let Some(input) = next() {
        let stopped = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| act(&input)));
        if stopped.is_err() {
            return Err(format!("stopped at input {tried}: b\"{}\"", input.escape_ascii()));
        }
        tried += 1;
    }
    Ok(tried)
}

fn archive(bytes: &[u8]) {
    let mut unpacked = 0;
    let _ = unpack::feed("a.zip", Cursor::new(bytes), None, |piece| unpacked += piece.len());
    for name in unpack::logs("a.zip", Cursor::new(bytes)) {
        let _ = unpack::feed_some("a.zip", Cursor::new(bytes), Some(&name), 4096, &mut |piece| {
            unpacked += piece.len()
        });
    }
}

fn compressed_sound(bytes: &[u8]) {
    let mut listener = Listener::default();
    let options = RecordingOptions::default();
    let mut problems =
        sound::feed("sound", Cursor::new(bytes.to_vec()), &options, &mut |piece| listener.take(piece));
    let found = listener.finish();
    problems.extend(words::pulses::problems("sound", &found));
    PulseReport::new(&found, found.per_turn(10.0), None, problems, Units::Us).document();
}

/// One test for each, so that they run beside each other and each is named where it fails.
macro_rules! targets {
    ($($name:ident: $act:expr;)*) => {
        $(#[test]
        fn $name() {
            attack(stringify!($name), $act);
        })*
    };
}

targets! {
    drive: answers::drive;
    pulses: answers::recording;
    vehicle: answers::advice;
    record: answers::record;
    tire: answers::tire;
    quantity: answers::quantity;
    procedure: answers::procedure;
    sheet_code: answers::sheet_code;
    zip: archive;
    sound: compressed_sound;
}

#[test]
fn what_breaks_is_found() {
    // It breaks where a number is huge and the line is doubled, as no seed is.
    let breaks = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes);
        assert!(!(text.contains("1e308") && text.matches("speed").count() > 2), "broken");
    };
    let seeds = [b"speed 35.5\n".to_vec(), b"time 7\n".to_vec()];
    let tried = std::cell::Cell::new(0);
    let goes_on = || tried.replace(tried.get() + 1) < 100_000;
    let told = attacked(&seeds, 1, goes_on, breaks).unwrap_err();
    assert!(told.contains("1e308"), "{told}");
    assert_eq!(attacked(&seeds, 1, || false, breaks), Ok(2), "the seeds themselves");
}
