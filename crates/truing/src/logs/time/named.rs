//! Dates with the month by its English name, in whatever order: `24-May-2019 11:50:21`, `May 24, 2019 1:50:21 PM`,
//! `Fri, 24 May 2019 11:50:21 GMT`, `Fri May 24 11:50:21 GMT+02:00 2019`.
//!
//! The name tells the month, four digits the year, and what is left is the day: nothing has to be guessed. Years of two digits
//! are not read.

/// Months by their names; the first three letters are enough.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const WEEKDAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
/// Zones by their letters (RFC 2822, section 4.3), as offsets.
const ZONES: [(&str, &str); 11] = [
    ("z", "Z"),
    ("utc", "Z"),
    ("gmt", "Z"),
    ("est", "-05:00"),
    ("edt", "-04:00"),
    ("cst", "-06:00"),
    ("cdt", "-05:00"),
    ("mst", "-07:00"),
    ("mdt", "-06:00"),
    ("pst", "-08:00"),
    ("pdt", "-07:00"),
];
/// More words than a date and a time have.
const MOST_WORDS: usize = 10;

#[derive(Default)]
struct Parts<'a> {
    year: Option<&'a str>,
    month: Option<usize>,
    day: Option<u8>,
    clock: Option<&'a str>,
    zone: Option<String>,
}

/// Rewrites it to `2019-05-24 11:50:21+02:00`, the clock as it stands.
pub(super) fn year_first(text: &str) -> Option<String> {
    let mut parts = Parts::default();
    let words = text.split([' ', ',', '\t']).filter(|word| !word.is_empty());
    for (index, word) in words.enumerate() {
        if index == MOST_WORDS {
            return None;
        }
        parts.take(word)?;
    }
    let (year, month, day, clock) = (parts.year?, parts.month?, parts.day?, parts.clock?);
    Some(format!("{year}-{month:02}-{day:02} {clock}{}", parts.zone.unwrap_or_default()))
}

impl<'a> Parts<'a> {
    /// Takes a word in; `None` when it is none of a date, or such a one was there before.
    fn take(&mut self, word: &'a str) -> Option<()> {
        let digits = word.bytes().take_while(u8::is_ascii_digit).count();
        let lower = word.trim_end_matches('.').to_ascii_lowercase();
        if let Some(month) = named(&MONTHS, &lower) {
            return put(&mut self.month, month + 1);
        }
        if named(&WEEKDAYS, &lower).is_some() {
            return Some(());
        }
        if let Some(zone) = zone(word, &lower) {
            return put(&mut self.zone, zone);
        }
        if digits > 0 && word.contains(':') {
            return put(&mut self.clock, word);
        }
        if digits > 0 && word.matches(['-', '/']).count() == 2 {
            return word.split(['-', '/']).try_for_each(|part| self.take(part));
        }
        match (digits, lower.get(digits..)?) {
            (4, "") => put(&mut self.year, word),
            (1 | 2, "" | "st" | "nd" | "rd" | "th") => put(&mut self.day, word[..digits].parse().ok()?),
            _ => None,
        }
    }
}

fn put<T>(place: &mut Option<T>, value: T) -> Option<()> {
    place.replace(value).is_none().then_some(())
}

/// Which of the names a word is, whole or by its first three letters; `sept` is usual too.
fn named(names: &[&str], word: &str) -> Option<usize> {
    let short = if word == "sept" { "sep" } else { word };
    names.iter().position(|name| *name == short || (short.len() == 3 && name.starts_with(short)))
}

/// `GMT`, `GMT+02:00`, `UTC+2`, `+0200` as an offset.
fn zone(word: &str, lower: &str) -> Option<String> {
    if let Some((_, offset)) = ZONES.iter().find(|(name, _)| *name == lower) {
        return Some((*offset).to_owned());
    }
    let offset = lower.strip_prefix("gmt").or_else(|| lower.strip_prefix("utc")).unwrap_or(word);
    let sign = offset.chars().next().filter(|sign| matches!(sign, '+' | '-'))?;
    let digits: String = offset[1..].chars().filter(|sign| *sign != ':').collect();
    // Letters outside ASCII take several bytes, so nothing is split before all are known to be digits.
    if !digits.bytes().all(|sign| sign.is_ascii_digit()) {
        return None;
    }
    let (hours, minutes) = match digits.len() {
        1 | 2 => (digits.as_str(), "00"),
        3 | 4 => digits.split_at(digits.len() - 2),
        _ => return None,
    };
    Some(format!("{sign}{hours:0>2}:{minutes}"))
}
