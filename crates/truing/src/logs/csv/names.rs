//! The words of column names, and what some of them say beside what the column is.

use super::options::DateOrder;
use crate::nearest::edits;

/// Names long enough that a slip leaves no doubt of what was meant.
const SPELT: [&str; 7] =
    ["latitude", "longitude", "altitude", "elevation", "velocity", "timestamp", "datetime"];
/// Words that are near to one of them and mean something else.
const OTHERS: [&str; 6] = ["attitude", "amplitude", "magnitude", "longitudinal", "elevator", "velocities"];
/// Shortest and longest word that is taken for a slip, in bytes.
const SLIPS: core::ops::RangeInclusive<usize> = 7..=12;
/// Most edits of a slip.
const MOST_EDITS: usize = 2;

/// Names of columns that hold N or S.
pub(super) const SIDES_OF_LATITUDES: &[&str] =
    &["n s", "ns", "lat dir", "latitude dir", "lat hemisphere", "latitude hemisphere", "lat ns"];
/// Names of columns that hold E or W.
pub(super) const SIDES_OF_LONGITUDES: &[&str] = &[
    "e w",
    "ew",
    "lon dir",
    "long dir",
    "lng dir",
    "longitude dir",
    "lon hemisphere",
    "longitude hemisphere",
    "lon ew",
];
/// Words that make a column of a position one of its letters.
pub(super) const SIDE_WORDS: [&str; 4] = ["dir", "hemisphere", "ns", "ew"];

/// Lower-case words of a name: split at signs, at capitals after small letters, and around "speed".
pub(super) fn words(name: &str) -> Vec<String> {
    let mut spaced = String::new();
    let mut before = ' ';
    for sign in name.chars() {
        if !sign.is_alphanumeric() || (before.is_lowercase() && sign.is_uppercase()) {
            spaced.push(' ');
        }
        if sign.is_alphanumeric() {
            spaced.extend(sign.to_lowercase());
        }
        before = sign;
    }
    let spaced = spaced.replace("speedo", "\u{1}").replace("speed", " speed ").replace('\u{1}', "speedo");
    spaced.split_whitespace().map(str::to_owned).collect()
}

/// The name that a word was meant to be, where one alone is near; none for a word that is spelt right.
pub(super) fn meant(word: &str) -> Option<&'static str> {
    if !SLIPS.contains(&word.len()) || !word.bytes().all(|sign| sign.is_ascii_alphabetic()) {
        return None;
    }
    let distances = SPELT.map(|name| (edits(word, name), name));
    let (least, meant) = distances.into_iter().min_by_key(|(edits, _)| *edits)?;
    let alone = distances.iter().filter(|(edits, _)| *edits == least).count() == 1;
    let is_other = OTHERS.into_iter().any(|name| edits(word, name) < least);
    (alone && !is_other && (1..=MOST_EDITS).contains(&least)).then_some(meant)
}

/// Names as a message shows them: not all of a great many, and none longer than a line.
pub(super) fn told(names: &[String]) -> String {
    const NAMES_TOLD: usize = 40;
    const CHARS_TOLD: usize = 60;
    let short = |name: &String| name.chars().take(CHARS_TOLD).collect::<String>();
    let all = names.iter().take(NAMES_TOLD).map(short).collect::<Vec<_>>().join(", ");
    let more = names.len().saturating_sub(NAMES_TOLD);
    if more > 0 { format!("{all} and {more} more") } else { all }
}

/// A column of dates beside one of times: of the day, the month and the year, whatever zone or order is said with it.
pub(super) fn is_date(words: &[String]) -> bool {
    let beside = ["gps", "utc", "gmt", "local", "device", "dd", "mm", "yy", "yyyy", "mon", "mmm"];
    let is = |word: &String| word == "date" || word == "datum" || word == "fecha";
    words.iter().any(is) && words.iter().all(|word| is(word) || beside.contains(&word.as_str()))
}

/// The order of day and month that a name says: `Date (dd/mm/yyyy)`.
pub(super) fn date_order(name: &str) -> Option<DateOrder> {
    let words = words(name);
    let place = |wanted: &str| words.iter().position(|word| word == wanted);
    let (day, month) = (place("dd")?, place("mm")?);
    Some(if day < month { DateOrder::DayFirst } else { DateOrder::MonthFirst })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_their_order() {
        for name in ["Date", "GPS Date", "Date (UTC)", "local_date", "Date (dd/mm/yyyy)", "Datum"] {
            assert!(is_date(&words(name)), "{name}");
        }
        for name in ["Date Time", "Date/Time", "datetime", "update", "utc", "Date of fix"] {
            assert!(!is_date(&words(name)), "{name}");
        }
        assert_eq!(date_order("Date (dd/mm/yyyy)"), Some(DateOrder::DayFirst));
        assert_eq!(date_order("Date [MM/DD/YY]"), Some(DateOrder::MonthFirst));
        assert_eq!(date_order("Date"), None);
    }
}
