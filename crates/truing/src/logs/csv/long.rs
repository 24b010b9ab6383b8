//! Logs with one reading in each row: when, of what, how much, in which unit.

use super::columns::{Channel, Role, classify};
use super::names::words;
use super::select::Want;
use crate::logs::units::number;
use core::ops::Range;

/// Names of the column that says what was read.
const NAMES: [&str; 9] =
    ["pid", "name", "parameter", "signal", "sensor", "channel", "key", "variable", "item"];
/// Names of the column that holds the reading.
const VALUES: [&str; 3] = ["value", "reading", "val"];

/// The places of the columns.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Long {
    time: usize,
    time_name: String,
    name: usize,
    value: usize,
    unit: Option<usize>,
    /// What the rows that are read say they are, once the first was met.
    reads: Option<String>,
}

impl Long {
    /// The header of such a log in these cells.
    pub(super) fn of(cells: &[&str]) -> Option<Self> {
        let one_of = |index: usize, known: &[&str]| match words(cells[index])[..] {
            [ref word] => known.contains(&word.as_str()),
            _ => false,
        };
        let find = |known: &[&str]| (0..cells.len()).find(|index| one_of(*index, known));
        let is_time =
            |index: &usize| classify(*index, cells[*index]).is_some_and(|column| column.role == Role::Time);
        let time = (0..cells.len()).find(is_time)?;
        let (name, value, unit) = (find(&NAMES)?, find(&VALUES)?, find(&["unit", "units"]));
        Some(Self { time, time_name: cells[time].trim().to_owned(), name, value, unit, reads: None })
    }

    /// What such a row would be in a table of its own: the header of time and speed, which is wanted with the first such row, and
    /// the cells of both. Nothing for a row about something else.
    pub(super) fn row(
        &mut self,
        cells: &[&str],
        bounds: &[Range<usize>],
        want: Want,
    ) -> Option<(Option<[String; 2]>, [Range<usize>; 2])> {
        let (name, value) = (cells.get(self.name)?, cells.get(self.value)?);
        let pair = [bounds.get(self.time)?.clone(), bounds.get(self.value)?.clone()];
        if let Some(reads) = &self.reads {
            return (reads == name).then_some((None, pair));
        }
        let column = classify(0, name)?;
        let other = if want == Want::Track { Channel::Vehicle } else { Channel::Gnss };
        if column.role != Role::Speed || column.channel == other {
            return None;
        }
        number(value)?;
        self.reads = Some((*name).to_owned());
        let unit = self
            .unit
            .and_then(|unit| cells.get(unit))
            .map_or(String::new(), |unit| format!(" ({})", unit.trim()));
        Some((Some([self.time_name.clone(), format!("{}{unit}", name.trim())]), pair))
    }
}
