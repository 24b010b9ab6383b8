//! What is odd about an entry typed by hand though it can be true: asked about once, and kept with the reason where it is right.

use super::chain::{Entry, at};
use super::correction::{Corrections, Fields};
use super::event::{Draft, EventKind};
use super::mileage::Mileage;
use super::odometer;
use super::times::{DONE_ON, day_of, day_of_entry};
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::problem::{Field, Problem};
use jiff::civil::Date;
use metrology::quantity::Length;

/// The field in which an entry says why it is right though it looks odd.
pub const SURE: &str = "sure_because";

/// Miles a day beyond which a reading is asked about. A judgement: a day and a night without a stop at 83 mph.
const MOST_MILES_A_DAY: f64 = 2000.0;

/// What is odd about an event behind all entries of its vehicle. Nothing where it says why it is right all the same.
/// Entries that the program made itself are not asked about.
pub fn doubts(earlier: &[Entry], event: &Draft, vehicle: Option<&Vehicle>) -> Vec<Problem> {
    if event.fields.get(SURE).is_some_and(|why| !why.trim().is_empty()) {
        return Vec::new();
    }
    let found = [off_the_grid(event, vehicle), repeated(earlier, event), jump(earlier, event)];
    let ask = |problem: Problem| {
        let hint = problem.hint.clone().text(" If it is right all the same, say why: ");
        problem.hint(hint.field(Field::Sure).text("; the reason goes into the record."))
    };
    found.into_iter().flatten().map(ask).collect()
}

/// A value that cannot be stored, with those next to it.
fn off_the_grid(event: &Draft, vehicle: Option<&Vehicle>) -> Option<Problem> {
    let to = event.fields.get("to").filter(|_| event.kind == EventKind::Write)?;
    let adjusters = &vehicle?.adjusters;
    let adjuster = match event.fields.get("adjuster") {
        Some(name) => adjusters.iter().find(|adjuster| adjuster.called() == name),
        None => adjusters.first(),
    }?;
    let setting = Setting::parse(to);
    if adjuster.can_be(&setting) {
        return None;
    }
    let near: Vec<String> = adjuster.nearest(&setting).iter().map(Setting::to_string).collect();
    let expected = format!("a value that the {} can take", adjuster.spoken());
    let hint = match &near[..] {
        [] => "Look at what it shows, and copy that.".to_string(),
        near => format!("Nearest: {}. Look at what it shows, and copy that.", near.join(", ")),
    };
    Some(Problem::error("record", expected, format!("`{to}`")).in_part(Field::EntryValue).hint(hint))
}

/// The same entered again: kind, reading, everything typed, and day.
fn repeated(earlier: &[Entry], event: &Draft) -> Option<Problem> {
    let has_number = |fields: &Fields| fields.keys().any(|name| name != "text" && name != "note");
    if !has_number(&event.fields) || event.kind == EventKind::Correction {
        return None;
    }
    let typed = |fields: &Fields| -> Fields {
        let is_typed = |name: &str| !FILLED_IN.contains(&name) && !name.starts_with("request");
        let kept = fields.iter().filter(|(name, _)| is_typed(name));
        kept.map(|(name, value)| (name.clone(), value.clone())).collect()
    };
    let day = day_of_entry(event.time, &event.fields);
    let corrections = Corrections::among(earlier.iter());
    let same = earlier.iter().rev().find(|entry| {
        let fields = corrections.over(entry);
        entry.event.kind == event.kind
            && day_of_entry(entry.event.time, &fields) == day
            && typed(&fields) == typed(&event.fields)
    })?;
    let expected = "something that is not in the record yet";
    let found = format!("what entry {} of the same day says already", same.sequence);
    Some(Problem::error("record", expected, found).hint("It may have been sent twice: look at that entry."))
}

/// What the record fills in by itself, so that it differs where the same is typed again.
const FILLED_IN: [&str; 4] = ["from", "writes_left_before", "writes_left_after", SURE];

/// A reading farther on than anybody drives.
fn jump(earlier: &[Entry], event: &Draft) -> Option<Problem> {
    let is_plain = !matches!(event.kind, EventKind::Correction | EventKind::Equipment | EventKind::RollOver);
    let shown = odometer::read(&event.fields, "odometer").ok().flatten().filter(|_| is_plain)?;
    let last = Mileage::from_entries(earlier).readings.last().copied()?;
    let days = (day_of_entry(event.time, &event.fields) - day_of(last.time)).get_days().max(0) + 1;
    let most = last.at + Length::from_mi(MOST_MILES_A_DAY * f64::from(days));
    if shown.value <= most {
        return None;
    }
    let both = |length: Length| format!("{:.1} mi ({:.1} km)", length.mi(), length.km());
    let fits = |value: Length| value >= last.at && value <= most;
    let number =
        event.fields.get("odometer").map(|text| text.trim_end_matches(|c: char| !c.is_ascii_digit()));
    let number = number.and_then(|number| number.parse::<f64>().ok()).unwrap_or(f64::NAN);
    let slip = if fits(Length::from_m(shown.value.m() / 10.0)) {
        "With its last digit as tenths it would fit."
    } else if fits(Length::from_km(number)) && !fits(Length::from_mi(number)) {
        "In kilometres it would fit."
    } else {
        "Look at it again, its unit too."
    };
    let expected = format!(
        "{} at most: entry {} read {}, and nobody drives more than {MOST_MILES_A_DAY:.0} mi a day",
        both(most),
        last.sequence,
        both(last.at)
    );
    Some(Problem::error("record", expected, both(shown.value)).in_part(Field::Odometer).hint(slip))
}

/// What speaks against the day on which an entry says that it was done.
pub fn day_problem(earlier: &[Entry], sequence: u64, event: &Draft) -> Option<Problem> {
    let text = event.fields.get(DONE_ON)?;
    let wrong = |expected: String, found: String, hint: &str| {
        Some(at(sequence, Problem::error("record", expected, found).in_part(Field::DoneOn).hint(hint)))
    };
    let Ok(day) = text.trim().parse::<Date>() else {
        let hint = "Write year, month and day.";
        return wrong("a day such as 2026-05-02".to_string(), format!("`{text}`"), hint);
    };
    if day > day_of(event.time) {
        return wrong("a day that is not in the future".to_string(), text.clone(), "Look at the calendar.");
    }
    let corrections = Corrections::among(earlier.iter());
    let later = |entry: &&Entry| day_of_entry(entry.event.time, &corrections.over(entry)) > day;
    if let Some(entry) =
        earlier.iter().filter(later).find(|entry| counts(entry.event.kind) && counts(event.kind))
    {
        let expected = format!("a day not before entry {}, which changes what is counted", entry.sequence);
        let hint = "What changes how miles are counted goes into the record in its order. Correct the later entry, or say \
                    the day in a note.";
        return wrong(expected, text.clone(), hint);
    }
    let shown = odometer::read(&event.fields, "odometer").ok().flatten()?.value;
    let mileage = Mileage::from_entries(earlier);
    let dial = mileage.readings.last()?.dial;
    let own = mileage.readings.iter().filter(|reading| reading.dial == dial);
    let before = own.clone().rfind(|reading| day_of(reading.time) < day);
    let after = own.clone().find(|reading| day_of(reading.time) > day);
    let odd = before.filter(|last| shown < last.at).or(after.filter(|next| shown > next.at))?;
    let expected = format!("a reading that fits entry {}, {:.1} mi", odd.sequence, odd.at.mi());
    let hint = "Between two days the odometer read what lies between their readings. Look at the day and the reading again.";
    wrong(expected, format!("{:.1} mi on {day}", shown.mi()), hint)
}

/// Whether what an entry says holds from it on, so that its place among the others matters.
fn counts(kind: EventKind) -> bool {
    use EventKind::{Equipment, Estimate, Proof, RollOver, Vehicle, Write};
    matches!(kind, Equipment | Estimate | Proof | RollOver | Vehicle | Write)
}
