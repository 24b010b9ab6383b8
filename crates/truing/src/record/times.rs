//! The order of times: an entry is not dated before the one before it, nor in the future, unless it says why.

use super::chain::{Entry, at};
use super::correction::Fields;
use super::event::Draft;
use crate::problem::Problem;
use jiff::civil::Date;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

/// The field in which an entry says why its time is out of order.
pub const ENTERED_LATE: &str = "entered_late";
/// The field with the day on which something was done that is entered later.
pub const DONE_ON: &str = "done_on";
/// How far two clocks that are both called right may differ; a judgement. A phone and a computer that ask the network
/// agree to a second; one set by hand is read off a wall clock.
const CLOCKS_AGREE: SignedDuration = SignedDuration::from_mins(5);

/// The day of a time, in UTC.
pub fn day_of(time: Timestamp) -> Date {
    Offset::UTC.to_datetime(time).date()
}

/// The day something was done: as the entry says, else the day of its time.
pub(super) fn day_of_entry(time: Timestamp, fields: &Fields) -> Date {
    let said = fields.get(DONE_ON).and_then(|day| day.trim().parse().ok());
    said.unwrap_or_else(|| day_of(time))
}

/// The time of that: noon where only the day is known.
pub(super) fn time_of_entry(time: Timestamp, fields: &Fields) -> Timestamp {
    let day = day_of_entry(time, fields);
    let noon = || Offset::UTC.to_timestamp(day.at(12, 0, 0, 0)).ok();
    if day < day_of(time) { noon().unwrap_or(time) } else { time }
}

/// What speaks against the time of an event behind one of the time `before`, with the clock at `now`.
pub fn time_problem(
    sequence: u64,
    event: &Draft,
    before: Option<Timestamp>,
    now: Option<Timestamp>,
) -> Option<Problem> {
    if event.fields.get(ENTERED_LATE).is_some_and(|why| !why.trim().is_empty()) {
        return None;
    }
    let wrong = |expected: String, hint: &str| {
        let problem = Problem::error("record", expected, event.time.to_string()).in_part("time");
        Some(at(sequence, problem).hint(hint))
    };
    if let Some(before) = before.filter(|before| event.time < *before) {
        let expected = format!("a time that is not before that of the entry before, {before}");
        return wrong(
            expected,
            "Set the clock of this machine right. If the entry is meant to be dated so, say why it is entered late.",
        );
    }
    if let Some(now) = now.filter(|now| event.time.duration_since(*now) > CLOCKS_AGREE) {
        return wrong(
            format!("a time that is not in the future; the clock shows {now}"),
            "Set the clocks right. If the entry is meant to be dated so, say why.",
        );
    }
    None
}

/// The same of a sealed entry, as a warning: it stands as it is.
pub(super) fn time_warning(
    entry: &Entry,
    before: Option<Timestamp>,
    now: Option<Timestamp>,
) -> Option<Problem> {
    let problem = time_problem(entry.sequence, &entry.event, before, now)?;
    let warning = Problem { severity: crate::problem::Severity::Warning, ..problem };
    Some(
        warning
            .hint("The clock was wrong, here or then, or the entry was entered late without a word of it."),
    )
}
