//! The words of column names, and what some of them say beside what the column is.

use super::options::DateOrder;

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
