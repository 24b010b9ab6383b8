//! What was done to a vehicle, one readable line an entry; what stands behind a line opens from it.

use crate::record::{
    Corrections, Entry, EventKind, Fields, NOT_MADE, REQUEST, REQUESTED, day_of, is_owners_word, ratio,
};
use metrology::text::round_to_uncertainty;
use serde::Serialize;

/// Digits of a hash by which a person tells one from another.
const SHORT_HASH: usize = 8;
/// Longest value shown in a line; the whole of it stands among the details.
const LONGEST: usize = 90;
/// Names of the field that says who did it, the first that is there.
const WHO: [&str; 3] = ["by", "done_by", "who"];
/// Fields that are for programs: whole files, which have their hash beside them, and the keys of requests.
const FOR_PROGRAMS: [&str; 3] = ["file", REQUEST, REQUESTED];

/// One entry as a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Event {
    /// The entry's number.
    pub number: u64,
    /// The day.
    pub day: String,
    /// The kind in one word.
    pub kind: &'static str,
    /// What was done, in a sentence without its full stop.
    pub says: String,
    /// What the odometer showed.
    pub odometer: Option<String>,
    /// Who did it, where that was noted.
    pub who: Option<String>,
    /// The entry that corrects this one.
    pub corrected_by: Option<u64>,
    /// Everything else that was noted, by name.
    pub details: Vec<(String, String)>,
    /// The minute.
    pub time: String,
    /// The beginning of the entry's hash.
    pub hash: String,
}

/// The entries of one vehicle as lines, in their order. What was corrected since is said as corrected.
pub fn timeline(entries: &[Entry]) -> Vec<Event> {
    let corrections = Corrections::among(entries.iter());
    entries.iter().map(|entry| event(entry, entries, &corrections)).collect()
}

fn event(entry: &Entry, all: &[Entry], corrections: &Corrections) -> Event {
    let fields = corrections.over(entry);
    let corrects = |other: &&Entry| {
        other.event.kind == EventKind::Correction && other.event.named() == Some(Some(entry.sequence))
    };
    let time: String = entry.event.time.to_string();
    let minute: String = time.chars().take(16).map(|c| if c == 'T' { ' ' } else { c }).collect();
    Event {
        number: entry.sequence,
        day: day_of(entry.event.time).to_string(),
        kind: entry.event.kind.word(),
        says: short(&says(entry.event.kind, &Noted(&fields))),
        odometer: fields.get("odometer").cloned(),
        who: WHO.iter().find_map(|name| fields.get(*name).cloned()),
        corrected_by: all.iter().rev().find(corrects).map(|other| other.sequence),
        details: fields.iter().filter(|(name, _)| is_detail(name)).map(detail).collect(),
        time: minute + " UTC",
        hash: beginning(&entry.hash.to_string()),
    }
}

fn is_detail(name: &str) -> bool {
    name != "odometer" && !WHO.contains(&name) && !FOR_PROGRAMS.contains(&name)
}

/// A hash is named by its beginning: the whole of it stands in the export, for programs.
fn detail((name, value): (&String, &String)) -> (String, String) {
    match name.strip_suffix("_sha256") {
        Some(of) => (format!("SHA-256 of the {} begins", of.replace('_', " ")), beginning(value)),
        None => (name.replace('_', " "), value.clone()),
    }
}

fn beginning(hash: &str) -> String {
    hash.chars().take(SHORT_HASH).collect()
}

fn short(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.chars().count() > LONGEST {
        true => line.chars().take(LONGEST).collect::<String>().trim_end().to_string() + " \u{2026}",
        false => line,
    }
}

/// The fields of an entry, as sentences ask for them.
struct Noted<'a>(&'a Fields);

impl Noted<'_> {
    fn get(&self, name: &str) -> Option<&str> {
        self.0.get(name).map(String::as_str).filter(|value| !value.trim().is_empty())
    }

    fn or(&self, name: &str, otherwise: &str) -> String {
        self.get(name).unwrap_or(otherwise).to_string()
    }

    /// A part of a sentence, where there is something to say in it.
    fn with(&self, before: &str, name: &str, after: &str) -> String {
        self.get(name).map_or(String::new(), |value| format!("{before}{value}{after}"))
    }
}

fn says(kind: EventKind, noted: &Noted) -> String {
    let mark = crate::report::words::owners_word_mark(is_owners_word(kind, noted.0));
    let said = match kind {
        EventKind::Vehicle => vehicle(noted),
        EventKind::Equipment => {
            format!("{}{}", noted.or("part", "a part"), noted.with(" changed to ", "to", ""))
        }
        EventKind::Odometer => format!("Odometer read{}", noted.with(": ", "text", "")),
        EventKind::Evidence => evidence(noted),
        EventKind::Estimate => estimate(noted),
        EventKind::Choice => choice(noted),
        EventKind::Write => write(noted),
        EventKind::Proof => proof(noted),
        EventKind::FaultOpened => {
            format!("Fault on {}{}", noted.or("touches", "something"), noted.with(": ", "note", ""))
        }
        EventKind::FaultMended => {
            format!("Fault of entry {} repaired{}", noted.or("opened", "?"), noted.with(": ", "note", ""))
        }
        EventKind::RollOver => format!("Odometer rolled over at {}", noted.or("limit", "its limit")),
        EventKind::Service => {
            format!("{}{}", noted.or("what", "service"), noted.with(", due again after ", "every", ""))
        }
        EventKind::Fuel => {
            format!("{} of fuel{}", noted.or("volume", "a tank"), noted.with(": ", "text", ""))
        }
        EventKind::Note => noted.or("text", ""),
        EventKind::Correction => correction(noted),
    };
    said + mark
}

fn vehicle(noted: &Noted) -> String {
    let begins = if noted.get("file").is_some() { "Vehicle file as it is now" } else { "Described" };
    let stored = noted.with(", ", "present", " stored");
    format!(
        "{begins}{stored}{}{}",
        noted.with(", ", "writes_left", " writes left"),
        noted.with(": ", "text", "")
    )
}

fn evidence(noted: &Noted) -> String {
    let what = noted.or("what", "a measurement").replace('-', " ");
    let called = noted.with(" \u{201c}", "label", "\u{201d}");
    let day = noted.with(" of ", "date", "");
    format!("Measured: {what}{called}{day}{}", noted.with(", with ", "setting", " stored"))
}

fn estimate(noted: &Noted) -> String {
    let known = ratio(noted.0).map(|it| (it.value.plain(), it.standard_uncertainty.plain()));
    let value = known.filter(|(_, u)| *u > 0.0).map_or_else(
        || noted.with(" ", "reading_ratio", ""),
        |(value, u)| format!(" {}", round_to_uncertainty(value, u)),
    );
    let value = value.replace("+/-", "\u{b1}");
    format!(
        "Estimated: {}{value}{}",
        noted.or("what", "reading ratio"),
        noted.with(", with ", "setting", " stored")
    )
}

fn choice(noted: &Noted) -> String {
    let rule = noted.with(" (rule ", "rule", ")");
    match noted.get("advice") {
        Some("write") => format!("Advised: store {}{rule}", noted.or("value", "another value")),
        Some("leave") => format!("Advised: leave it as it is{rule}"),
        Some("measure-first") => format!("Advised: measure first{rule}"),
        other => format!("Advised: {}{rule}", other.unwrap_or("nothing")),
    }
}

fn write(noted: &Noted) -> String {
    let on = noted.with(" on ", "adjuster", "");
    let left = noted.with(", ", "writes_left_after", " writes left");
    let stored = if noted.get(NOT_MADE).is_some() { "Never made, as corrected: stored" } else { "Stored" };
    format!(
        "{stored} {} in place of {}{on}{left}{}",
        noted.or("to", "?"),
        noted.or("from", "?"),
        noted.with(": ", "text", "")
    )
}

fn proof(noted: &Noted) -> String {
    let verdict = match noted.get("verdict") {
        Some("conforms") => "Proved: it conforms to",
        Some("does-not-conform") => "Proved: it does not conform to",
        Some("undecided") => "Undecided against",
        _ => "Judged against",
    };
    format!("{verdict} {}", noted.or("rule", "a rule"))
}

fn correction(noted: &Noted) -> String {
    let own = |name: &str| name == "corrects" || name == "text" || WHO.contains(&name);
    let right: Vec<String> = noted
        .0
        .iter()
        .filter(|(name, _)| !own(name))
        .map(|(name, value)| format!("{} {value}", name.replace('_', " ")))
        .collect();
    let right = if right.is_empty() { String::new() } else { format!(": right is {}", right.join(", ")) };
    format!("Corrects entry {}{right}{}", noted.or("corrects", "?"), noted.with(". ", "text", ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Chain, Draft};

    fn lines(drafts: &[(EventKind, &[(&str, &str)])]) -> Vec<Event> {
        let mut chain = Chain::default();
        for (kind, fields) in drafts {
            let time = "2026-05-02T10:00:00Z".parse().unwrap();
            chain.append(Draft::new(time, "One", *kind, fields)).unwrap();
        }
        timeline(chain.entries())
    }

    fn check(kind: EventKind, fields: &[(&str, &str)], expected: &str) {
        let mut drafts = vec![(EventKind::Note, &[("text", "first")][..])];
        if kind == EventKind::FaultMended {
            drafts = vec![(EventKind::FaultOpened, &[("touches", "brakes")][..])];
        }
        drafts.push((kind, fields));
        let line = lines(&drafts).pop().unwrap();
        assert_eq!(line.says, expected);
        assert!(!line.says.contains(&line.hash), "no hash in a line");
    }

    #[test]
    fn each_kind_is_said_in_a_line() {
        use EventKind::*;
        check(
            Vehicle,
            &[("file", "name = 1"), ("present", "1479"), ("writes_left", "5")],
            "Vehicle file as it is now, 1479 stored, 5 writes left",
        );
        check(Equipment, &[("part", "tires"), ("to", "235/75R15")], "tires changed to 235/75R15");
        check(Odometer, &[("odometer", "128406.3 mi")], "Odometer read");
        check(
            Evidence,
            &[("what", "drive"), ("date", "2026-05-02"), ("setting", "1479"), ("track_sha256", "00ff")],
            "Measured: drive of 2026-05-02, with 1479 stored",
        );
        check(
            Estimate,
            &[("what", "reading ratio"), ("reading_ratio", "0.949738 +/- 0.001083")],
            "Estimated: reading ratio 0.9497 \u{b1} 0.0011 (the owner's word)",
        );
        check(
            Estimate,
            &[("what", "reading ratio"), ("computed_by", "1.0"), ("inputs_sha256", "00ff")],
            "Estimated: reading ratio",
        );
        check(
            Choice,
            &[("advice", "write"), ("value", "1416"), ("rule", "true")],
            "Advised: store 1416 (rule true) (the owner's word)",
        );
        check(Choice, &[("advice", "leave")], "Advised: leave it as it is (the owner's word)");
        check(
            Write,
            &[("from", "1479"), ("to", "1416"), ("writes_left_after", "4")],
            "Stored 1416 in place of 1479, 4 writes left",
        );
        check(
            Proof,
            &[("rule", "un-r39"), ("verdict", "does-not-conform")],
            "Proved: it does not conform to un-r39 (the owner's word)",
        );
        check(FaultOpened, &[("touches", "brakes"), ("note", "pedal soft")], "Fault on brakes: pedal soft");
        check(FaultMended, &[("opened", "1")], "Fault of entry 1 repaired");
        check(
            Service,
            &[("what", "engine oil"), ("every", "5000 mi")],
            "engine oil, due again after 5000 mi",
        );
        check(Note, &[("text", "a quiet\nroad")], "a quiet road");
        check(
            Correction,
            &[("corrects", "1"), ("text", "second look"), ("by", "me")],
            "Corrects entry 1. second look",
        );
    }

    #[test]
    fn a_write_that_was_never_made_says_so() {
        let all = lines(&[
            (EventKind::Write, &[("from", "8.76"), ("to", "8.32")]),
            (EventKind::Correction, &[("corrects", "1"), ("not_made", "the module still shows 8.76")]),
        ]);
        assert_eq!(all[0].says, "Never made, as corrected: stored 8.32 in place of 8.76");
    }

    #[test]
    fn a_line_says_who_and_what_was_corrected_since() {
        let write = [
            ("from", "1479"),
            ("to", "1416"),
            ("odometer", "100 mi"),
            ("by", "the shop"),
            ("writes_left_after", "4"),
        ];
        let all = lines(&[
            (EventKind::Write, &write),
            (EventKind::Correction, &[("corrects", "1"), ("odometer", "110 mi")]),
        ]);
        let first = &all[0];
        assert_eq!((first.who.as_deref(), first.odometer.as_deref()), (Some("the shop"), Some("110 mi")));
        assert_eq!(first.corrected_by, Some(2));
        assert_eq!(
            first.details.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>(),
            ["from", "to", "writes left after"]
        );
        assert_eq!(first.hash.len(), SHORT_HASH);
        let long = "word ".repeat(60);
        let noted = lines(&[(EventKind::Note, &[("text", long.as_str())])]);
        assert!(
            noted[0].says.ends_with(" \u{2026}") && noted[0].details[0].1 == long,
            "the whole text opens"
        );
    }
}
