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
    /// The header of the table of their own, when it has just become known.
    pub(super) header: Option<[String; 2]>,
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
        Some(Self {
            time,
            time_name: cells[time].trim().to_owned(),
            name,
            value,
            unit,
            reads: None,
            header: None,
        })
    }

    /// Time and speed of a row, as the cells of a table of their own. Nothing for a row about something else.
    pub(super) fn row(
        &mut self,
        cells: &[&str],
        bounds: &[Range<usize>],
        want: Want,
    ) -> Option<[Range<usize>; 2]> {
        let name = cells.get(self.name)?;
        if self.reads.is_none() {
            self.begin(cells, name, want)?;
        }
        let reads = self.reads.as_ref().is_some_and(|reads| reads == name);
        reads.then_some([bounds.get(self.time)?.clone(), bounds.get(self.value)?.clone()])
    }

    /// The first row with a speed that is wanted says what all are about, and in which unit.
    fn begin(&mut self, cells: &[&str], name: &str, want: Want) -> Option<()> {
        let column = classify(0, name)?;
        let other = if want == Want::Track { Channel::Vehicle } else { Channel::Gnss };
        if column.role != Role::Speed || column.channel == other {
            return None;
        }
        number(cells.get(self.value)?)?;
        self.reads = Some(name.to_owned());
        let unit = self.unit.and_then(|unit| cells.get(unit));
        let unit = unit.map_or(String::new(), |unit| format!(" ({})", unit.trim()));
        self.header = Some([self.time_name.clone(), format!("{}{unit}", name.trim())]);
        Some(())
    }
}
