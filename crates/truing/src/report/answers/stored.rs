//! What is shown after the confirming press, held against what was planned.

use super::steps::ChangeReport;
use crate::choose::{Choice, reading_with};
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use crate::report::words::{counted, reads};
use crate::set::setting_shown;

/// What came of a write.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Came {
    /// What was planned is stored.
    AsPlanned,
    /// Another value is stored.
    Another,
    /// What was stored before is stored still.
    NotTaken,
}

/// What is stored after a write, as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredReport {
    /// The value, as the file writes it.
    pub stored: String,
    /// Writes left, as they were read; one fewer than before where that was not said.
    pub writes_left: Option<u32>,
    /// What came of it.
    pub came: Came,
    /// What it means, in sentences; the first asks what to do.
    pub says: Vec<String>,
}

impl StoredReport {
    /// From what the module shows after the write, and what it says of the writes left. An error where it shows what it
    /// cannot show.
    pub fn new(
        source: &str,
        (vehicle, choice): (&Vehicle, Option<&Choice>),
        change: &ChangeReport,
        shows: &str,
        writes_left: Option<u32>,
    ) -> Result<Self, Problem> {
        let adjuster = vehicle.adjuster(Some(&change.adjuster)).ok_or_else(|| {
            Problem::error(source, "an adjuster of this truck", format!("`{}`", change.adjuster))
        })?;
        let setting = setting_shown(source, adjuster, shows)?;
        let stored = setting.to_string();
        let came = match &stored {
            same if *same == change.to => Came::AsPlanned,
            same if *same == change.from => Came::NotTaken,
            _ => Came::Another,
        };
        let expected_left = change.writes_left_before.map(|before| before.saturating_sub(1));
        let reading = choice.and_then(|choice| reading_with(vehicle, choice, adjuster, &setting));
        let reading = reading.map(|ratio| reads(&ratio).replacen("reads", "it would read", 1));
        let left = writes_left.or(expected_left);
        let mut says = vec![match came {
            Came::NotTaken => not_taken(change, writes_left),
            _ => asks(&stored, left, change.writes_left_before.is_some(), reading.as_deref()),
        }];
        if came == Came::Another {
            says.push(format!(
                "That is not the {} that was planned. What the module shows is what goes into the record. Keep it first; the steps to {} are then counted from {stored}, and cost another write.",
                change.to, change.to
            ));
        }
        says.extend(expected_left.zip(writes_left).filter(|_| came != Came::NotTaken).and_then(differing));
        Ok(Self { stored, writes_left: left, came, says })
    }
}

/// "9.12 is stored, one write spent, 5 left: it would read 0.42 % slow. Keep this?"
fn asks(stored: &str, left: Option<u32>, counts: bool, reading: Option<&str>) -> String {
    let spent = if counts { ", one write spent" } else { "" };
    let left = left.map(|left| format!(", {left} left")).unwrap_or_default();
    let reading = reading.map(|reading| format!(": {reading}")).unwrap_or_default();
    format!("{stored} is stored{spent}{left}{reading}. Keep this?")
}

/// "1 write is", "5 writes are".
fn are(left: u32) -> String {
    format!("{} {}", counted(left, "write"), if left > 1 { "are" } else { "is" })
}

/// The module shows what it showed before.
fn not_taken(change: &ChangeReport, writes_left: Option<u32>) -> String {
    let from = &change.from;
    match (change.writes_left_before, writes_left) {
        (Some(before), Some(left)) if left < before => format!(
            "{from} is stored as before, and {} left instead of {before}: a write was spent and changed nothing. Keep this, so that the record counts it.",
            are(left)
        ),
        (Some(before), Some(_)) => {
            format!(
                "{from} is stored as before and {} left: the confirming press was not taken, and nothing was spent. Nothing is to be kept.",
                are(before)
            )
        }
        _ => format!(
            "{from} is stored as before: the confirming press was not taken. See how many writes the module says are left; if that is fewer than before, type it here."
        ),
    }
}

/// The module counts otherwise than the file.
fn differing((expected, told): (u32, u32)) -> Option<String> {
    if told > expected {
        return Some(format!(
            "The module says {} left; after this one it can be {expected} at most. Look again: the record takes no more than that, unless the file is put right first.",
            are(told)
        ));
    }
    (expected != told).then(|| {
        format!(
            "The module says {} left; by the file it would be {expected}. What the module says is kept. Either a write is missing from the file, or the module counts otherwise.",
            are(told)
        )
    })
}
