//! What the text of a cue says, in the spellings that cameras use.
//!
//! | what | such as |
//! |---|---|
//! | position by names | `lat: 48.25 lon: 11.5`, `[latitude: 48.25] [longitude: 11.5]`, `Latitude=48.25;Longtitude=11.5` |
//! | position by sides | `N48.25 E11.5`, `48.25N, 11.5E`, `N: 48°15'00" W: 11°30'00"` |
//! | a pair | `GPS 48.25000, 11.50000`, `GPS(48.25000,11.50000)`: latitude first unless it is none |
//! | speed | `52 km/h`, `Speed: 32mph`, `SPD 14.2 m/s`, `speed (km/h): 52`, `28 kts` |
//! | time | `2019-05-24 11:50:21`, `24.05.2019 11:50:21`, `2019/05/24 11:50:21 AM`, `2019-05-24T11:50:21Z` |
//!
//! Speeds up and down, of wind, and limits are none of the vehicle's. Common practice, no source.

use crate::logs::bounds;
use crate::logs::time::{CalendarTime, calendar_time};
use crate::logs::units::{Dimension, factor};
use crate::nearest::edits;

/// What a text says.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub(super) struct Said {
    pub(super) time: Option<CalendarTime>,
    /// Latitude and longitude in degrees.
    pub(super) position: Option<(f64, f64)>,
    pub(super) speed_m_per_s: Option<f64>,
    /// A speed was named, its unit was not.
    pub(super) speed_without_unit: bool,
    /// Two numbers whose order was not said.
    pub(super) unlabelled_pair: bool,
}

#[derive(Clone, Debug, PartialEq)]
enum Word {
    /// Letters in lower case, with slashes between them.
    Letters(String),
    Number {
        value: f64,
        decimals: usize,
    },
    /// Degrees, minutes, seconds.
    Mark,
    /// A sign that ends what was being said.
    Break,
}

/// Words that make a speed another one.
const OTHER_SPEEDS: [&str; 11] =
    ["vs", "vertical", "climb", "wind", "limit", "max", "avg", "average", "min", "fan", "engine"];
const SPEED_NAMES: [&str; 5] = ["speed", "spd", "velocity", "vel", "sog"];
const LATITUDE_NAMES: [&str; 2] = ["lat", "latitude"];
const LONGITUDE_NAMES: [&str; 4] = ["lon", "long", "lng", "longitude"];
const PAIR_NAMES: [&str; 6] = ["gps", "gnss", "position", "pos", "location", "coordinates"];
/// A position has at least so many decimals: a degree is too coarse to be one.
const LEAST_DECIMALS: usize = 3;

/// What a text says.
pub(super) fn read(text: &str) -> Said {
    let plain = without_tags(text);
    let (time, rest) = time(&plain);
    let words = words(&rest);
    let (speed_m_per_s, speed_without_unit) = speed(&words);
    let (position, unlabelled_pair) = match by_names(&words).or_else(|| by_sides(&words)) {
        Some(position) => (Some(position), false),
        None => pair(&words).map_or((None, false), |position| (Some(position), true)),
    };
    Said { time, position, speed_m_per_s, speed_without_unit, unlabelled_pair }
}

/// The text without markup in angle brackets.
fn without_tags(text: &str) -> String {
    let mut within = false;
    let shown = text.chars().filter(|sign| {
        within |= *sign == '<';
        let shown = !within;
        within &= *sign != '>';
        shown
    });
    shown.collect()
}

/// The first date with a time, and the text without it.
fn time(text: &str) -> (Option<CalendarTime>, String) {
    let starts = text.char_indices().filter(|(at, sign)| {
        let before = text[..*at].chars().next_back();
        sign.is_ascii_digit() && !before.is_some_and(|sign| sign.is_alphanumeric() || ".-/:".contains(sign))
    });
    for (start, _) in starts {
        let is_part = |sign: char| sign.is_ascii_alphanumeric() || "-/.:,+ ".contains(sign);
        let rest = &text[start..];
        let end = rest.find(|sign| !is_part(sign)).unwrap_or(rest.len());
        let parts: Vec<&str> = rest[..end.min(40)].split(' ').collect();
        // A date has two marks, so what begins with none is passed over quickly.
        if parts[0].matches(['-', '/', '.', ':']).count() < 2 {
            continue;
        }
        for count in (1..=parts.len().min(3)).rev() {
            let candidate = parts[..count].join(" ");
            let cut = candidate.trim_end_matches([',', '.', ' ']);
            // Thousandths and what follows them are parted by commas.
            let second_comma = cut.match_indices(',').nth(1).map_or(cut.len(), |(at, _)| at);
            for length in [cut.len(), second_comma, cut.find(',').unwrap_or(cut.len())] {
                if let Some(time) = calendar_time(&cut[..length]) {
                    return (Some(time), format!("{} | {}", &text[..start], &rest[length..]));
                }
            }
        }
    }
    (None, text.to_owned())
}

fn words(text: &str) -> Vec<Word> {
    let mut words = Vec::new();
    let mut rest = text;
    while let Some(sign) = rest.chars().next() {
        let length = match sign {
            _ if sign.is_ascii_digit() => number(rest, &mut words),
            '-' | '+'
                if rest[1..].starts_with(|sign: char| sign.is_ascii_digit()) && !ends_with_number(&words) =>
            {
                number(rest, &mut words)
            }
            _ if sign.is_alphabetic() => letters(rest, &mut words),
            '\u{b0}' | '\u{ba}' | '\'' | '"' | '\u{2032}' | '\u{2033}' => {
                words.push(Word::Mark);
                sign.len_utf8()
            }
            ',' | ';' | '|' | '\n' | '[' | ']' | '(' | ')' | '{' | '}' => {
                words.push(Word::Break);
                sign.len_utf8()
            }
            _ => sign.len_utf8(),
        };
        rest = &rest[length..];
    }
    words
}

/// In `48.25-11.5` the dash is none of the number.
fn ends_with_number(words: &[Word]) -> bool {
    matches!(words.last(), Some(Word::Number { .. }))
}

fn number(rest: &str, words: &mut Vec<Word>) -> usize {
    let sign = usize::from(rest.starts_with(['-', '+']));
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(&rest[sign..]);
    let behind = &rest[sign + whole..];
    let decimals = match behind.as_bytes() {
        [b'.', ..] => digits(&behind[1..]),
        // A comma before many digits is a decimal comma; before few it parts two numbers.
        [b',', ..] if digits(&behind[1..]) > LEAST_DECIMALS => digits(&behind[1..]),
        _ => 0,
    };
    let length = sign + whole + if decimals > 0 { 1 + decimals } else { 0 };
    let text = rest[..length].replace(',', ".");
    match bounds::number(text.trim_start_matches('+')) {
        Some(value) => words.push(Word::Number { value, decimals }),
        None => words.push(Word::Break),
    }
    length
}

fn letters(rest: &str, words: &mut Vec<Word>) -> usize {
    let mut length = 0;
    for (at, sign) in rest.char_indices() {
        let joins = matches!(sign, '/' | '_') && rest[at + 1..].starts_with(char::is_alphabetic);
        if !sign.is_alphabetic() && !joins {
            break;
        }
        length = at + sign.len_utf8();
    }
    words.push(Word::Letters(rest[..length].to_lowercase()));
    length
}

/// Whether letters are a name, or a name misspelt by a sign.
fn is_named(letters: &str, names: &[&str]) -> bool {
    // A height is one slip from a latitude, and is none.
    let is_other = letters == "altitude" || letters == "attitude";
    let near = |name: &&str| name.len() >= 8 && letters.len() < 16 && !is_other && edits(letters, name) == 1;
    letters.split('_').any(|part| names.contains(&part)) || names.iter().any(near)
}

/// The speed with its unit; whether one was named without.
fn speed(words: &[Word]) -> (Option<f64>, bool) {
    let mut bare = false;
    for (index, word) in words.iter().enumerate() {
        let Word::Number { value, .. } = word else { continue };
        let start = words[..index]
            .iter()
            .rposition(|word| matches!(word, Word::Number { .. }))
            .map_or(0, |at| at + 1);
        let before = &words[start..index];
        // What is in brackets before a number belongs to its name: `speed (km/h): 52`.
        let said: Vec<&str> = before
            .iter()
            .rev()
            .filter_map(|word| if let Word::Letters(letters) = word { Some(letters.as_str()) } else { None })
            .take(4)
            .collect();
        // `V.S`
        let up_or_down = said.contains(&"v") && said.contains(&"s");
        if up_or_down || said.iter().any(|word| word.split('_').any(|part| OTHER_SPEEDS.contains(&part))) {
            continue;
        }
        let named = said.iter().any(|word| is_named(word, &SPEED_NAMES));
        let behind = match words.get(index + 1) {
            Some(Word::Letters(unit)) => factor(Dimension::Speed, unit).filter(|_| unit != "ms"),
            _ => None,
        };
        let unit_before = said.iter().find_map(|word| factor(Dimension::Speed, word)).filter(|_| named);
        if let Some(unit) = behind.or(unit_before) {
            return (Some(value * unit), false);
        }
        bare |= named;
    }
    (None, bare)
}

fn by_names(words: &[Word]) -> Option<(f64, f64)> {
    let named = |names: &[&str]| {
        let at = words
            .iter()
            .position(|word| matches!(word, Word::Letters(letters) if is_named(letters, names)))?;
        angle(&words[at + 1..])
    };
    Some((named(&LATITUDE_NAMES)?, named(&LONGITUDE_NAMES)?))
}

/// An angle that begins within the next word or two, with the letter of its side before or behind it.
fn angle(words: &[Word]) -> Option<f64> {
    let at = words.iter().take(3).position(|word| matches!(word, Word::Number { .. }))?;
    let before = words[..at].iter().find_map(side);
    let (value, used) = degrees(&words[at..])?;
    let behind = words.get(at + used).and_then(side);
    Some(before.or(behind).map_or(value, |(_, sign)| sign * value.abs()))
}

/// `48.25`, or degrees with minutes and seconds between their marks; how many words it takes.
fn degrees(words: &[Word]) -> Option<(f64, usize)> {
    let number = |at: usize| match words.get(at) {
        Some(Word::Number { value, .. }) => Some(*value),
        _ => None,
    };
    let is_mark = |at: usize| words.get(at) == Some(&Word::Mark);
    let value = number(0)?;
    if !is_mark(1) {
        return Some((value, 1));
    }
    let Some(minutes) = number(2).filter(|minutes| (0.0..60.0).contains(minutes) && is_mark(3)) else {
        return Some((value, 2));
    };
    let whole = value.abs() + minutes / 60.0;
    let seconds = number(4).filter(|seconds| (0.0..60.0).contains(seconds) && is_mark(5));
    let sum = whole + seconds.unwrap_or(0.0) / 3600.0;
    Some((sum.copysign(value), if seconds.is_some() { 6 } else { 4 }))
}

/// Whether it is a latitude, and its sign.
fn side(word: &Word) -> Option<(bool, f64)> {
    let Word::Letters(letters) = word else { return None };
    match letters.as_str() {
        "n" => Some((true, 1.0)),
        "s" => Some((true, -1.0)),
        "e" => Some((false, 1.0)),
        "w" => Some((false, -1.0)),
        _ => None,
    }
}

/// Angles with the letters of their sides: all before, or all behind.
fn by_sides(words: &[Word]) -> Option<(f64, f64)> {
    let found = |before: bool| {
        let (mut latitude, mut longitude) = (None, None);
        let mut at = 0;
        while at < words.len() {
            let Some((value, used)) = degrees(&words[at..]) else {
                at += 1;
                continue;
            };
            let place = if before { at.checked_sub(1) } else { Some(at + used) };
            match place.and_then(|place| words.get(place)).and_then(side) {
                Some((true, sign)) => latitude = latitude.or(Some(sign * value.abs())),
                Some((false, sign)) => longitude = longitude.or(Some(sign * value.abs())),
                None => {}
            }
            at += used;
        }
        latitude.zip(longitude)
    };
    found(true).or_else(|| found(false))
}

/// Two fine numbers behind a word for a place. What cannot be a latitude is the longitude.
fn pair(words: &[Word]) -> Option<(f64, f64)> {
    let at = words
        .iter()
        .position(|word| matches!(word, Word::Letters(letters) if is_named(letters, &PAIR_NAMES)))?;
    let mut fine = words[at + 1..].iter().filter(|word| !matches!(word, Word::Break | Word::Mark)).map(
        |word| match word {
            Word::Number { value, decimals } if *decimals >= LEAST_DECIMALS => Some(*value),
            _ => None,
        },
    );
    let (first, second) = (fine.next()??, fine.next()??);
    Some(if first.abs() > bounds::LATITUDE_DEG { (second, first) } else { (first, second) })
}

#[cfg(test)]
mod tests;
