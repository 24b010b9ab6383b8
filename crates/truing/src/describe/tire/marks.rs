//! What stands around a size: load index, speed, load range, ply rating. Kept, but without bearing on the diameter.

use super::scan::{Failure, Scan};
use serde::Serialize;

/// What may follow a size.
pub(super) const EXPECTED: &str =
    "nothing more, or a load index and speed (118/115Q), a load range (E) or a ply rating (10PR)";

/// Words that may follow a size: reinforced and standard load, tube or none, weather, side, use.
const WORDS: [&str; 18] = [
    "EXTRA LOAD",
    "XL",
    "RF",
    "SL",
    "LL",
    "HL",
    "TUBELESS",
    "TUBETYPE",
    "TL",
    "TT",
    "M+S",
    "M&S",
    "3PMSF",
    "NHS",
    "M/C",
    "BSW",
    "OWL",
    "RWL",
];

/// Load range letters in use; A to N without I and K.
const LOAD_RANGES: &str = "ABCDEFGHJLMN";
/// Speed letters in use.
const SPEEDS: &str = "BCDEFGHJKLMNPQRSTUVWYZ";
/// Speed letters believed after a space; A to G there are taken as load ranges.
const SPEEDS_APART: &str = "HJKLMNPQRSTUVWYZ";
/// Highest load index of the standards' list.
const HIGHEST_LOAD_INDEX: f64 = 279.0;
/// Highest ply rating of a road tire.
const HIGHEST_PLY_RATING: f64 = 40.0;

/// The marks beside a size.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Marks {
    /// Load index, single fitment.
    pub load_index: Option<u16>,
    /// Load index, dual fitment.
    pub load_index_dual: Option<u16>,
    /// Speed symbol, such as `Q` or `A8`.
    pub speed: Option<String>,
    /// Speed letter inside an older size, such as the `V` of `205/55VR16`.
    pub speed_in_size: Option<char>,
    /// Whether the size is written `RF`, reinforced.
    pub reinforced_in_size: bool,
    /// Load range letter.
    pub load_range: Option<char>,
    /// Ply rating.
    pub ply_rating: Option<u16>,
    /// Other words, as written.
    pub words: Vec<String>,
}

impl core::fmt::Display for Marks {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let dual = self.load_index_dual.map(|index| format!("/{index}")).unwrap_or_default();
        let speed = self.speed.clone().unwrap_or_default();
        let index = self.load_index.map(|index| format!("{index}{dual}{speed}"));
        // after a bare load index the letter alone would read as a speed
        let could_be_speed =
            |range: char| SPEEDS_APART.contains(range) && index.is_some() && self.speed.is_none();
        let range =
            self.load_range.map(|range| format!("{}{range}", if could_be_speed(range) { "LR " } else { "" }));
        let ply = self.ply_rating.map(|ply| format!("{ply}PR"));
        let all: Vec<String> =
            [index, range, ply].into_iter().flatten().chain(self.words.iter().cloned()).collect();
        f.write_str(&all.join(" "))
    }
}

/// Reads marks until nothing is left or nothing fits.
pub(super) fn read(scan: &mut Scan, marks: &mut Marks) -> Result<(), Failure> {
    while !scan.is_done() {
        let taken = word(scan, marks)
            || ply_rating(scan, marks)
            || load_index(scan, marks)
            || speed_apart(scan, marks)
            || load_range(scan, marks);
        if !taken {
            return scan.fail(EXPECTED);
        }
    }
    Ok(())
}

fn word(scan: &mut Scan, marks: &mut Marks) -> bool {
    let found = WORDS.into_iter().find(|word| scan.take_whole(word));
    marks.words.extend(found.map(String::from));
    found.is_some()
}

fn ply_rating(scan: &mut Scan, marks: &mut Marks) -> bool {
    let mut ahead = *scan;
    let Some(number) = small_number(&mut ahead, HIGHEST_PLY_RATING) else { return false };
    ahead.take("-");
    let said = ["PR", "PLY RATING", "PLY RATED", "PLY"].into_iter().any(|word| ahead.take_whole(word));
    if !said || marks.ply_rating.is_some() {
        return false;
    }
    marks.ply_rating = Some(number);
    *scan = ahead;
    true
}

fn small_number(scan: &mut Scan, highest: f64) -> Option<u16> {
    let number = scan.number().filter(|number| !number.has_point && number.value <= highest)?;
    // whole and at most a few hundred, so the conversion loses nothing
    Some(number.value as u16)
}

fn load_index(scan: &mut Scan, marks: &mut Marks) -> bool {
    let mut ahead = *scan;
    let in_brackets = ahead.take("(");
    let Some(single) = small_number(&mut ahead, HIGHEST_LOAD_INDEX) else { return false };
    let dual = dual_index(&mut ahead);
    let speed = speed_attached(&mut ahead);
    if marks.load_index.is_some() || (in_brackets && !ahead.take(")")) {
        return false;
    }
    marks.load_index = Some(single);
    marks.load_index_dual = dual;
    marks.speed = speed;
    *scan = ahead;
    true
}

fn dual_index(scan: &mut Scan) -> Option<u16> {
    let mut ahead = *scan;
    let dual = ahead.take("/").then(|| small_number(&mut ahead, HIGHEST_LOAD_INDEX)).flatten()?;
    *scan = ahead;
    Some(dual)
}

/// A speed symbol that touches the load index: one letter, or `A` with a digit.
fn speed_attached(scan: &mut Scan) -> Option<String> {
    let letter = scan.peek()?;
    let mut ahead = *scan;
    ahead.at += 1;
    let mut symbol = String::from(letter);
    if letter == 'A' {
        symbol.push(ahead.peek().filter(|digit| ('1'..='8').contains(digit))?);
        ahead.at += 1;
    } else if !SPEEDS.contains(letter) {
        return None;
    }
    if ahead.peek().is_some_and(char::is_alphanumeric) {
        return None;
    }
    *scan = ahead;
    Some(symbol)
}

fn speed_apart(scan: &mut Scan, marks: &mut Marks) -> bool {
    let mut ahead = *scan;
    let Some(letter) = ahead.take_any(SPEEDS_APART) else { return false };
    let stands_alone = !ahead.peek().is_some_and(char::is_alphanumeric);
    if marks.load_index.is_none() || marks.speed.is_some() || !stands_alone {
        return false;
    }
    marks.speed = Some(letter.into());
    *scan = ahead;
    true
}

/// `E`, `/E`, `LRE`, `LR E`, `load range E`.
fn load_range(scan: &mut Scan, marks: &mut Marks) -> bool {
    let mut ahead = *scan;
    let _introduced = ahead.take("/") || ahead.take("LOAD RANGE") || ahead.take("LR");
    let Some(letter) = ahead.take_any(LOAD_RANGES) else { return false };
    if marks.load_range.is_some() || ahead.peek().is_some_and(char::is_alphanumeric) {
        return false;
    }
    marks.load_range = Some(letter);
    *scan = ahead;
    true
}
