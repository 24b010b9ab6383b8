//! Rows of named values from another format, read as the rows of a CSV log are.

use super::columns::{Header, Role, classify};
use super::options::CsvOptions;
use super::records::Cells;
use super::rows::Output;
use super::select::Want;
use super::{Rows, State};
use crate::problem::Problem;
use core::ops::Range;

/// What the name of some data says about speeds in it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(in super::super) enum ColumnUnit {
    /// It is about something else.
    OtherThing,
    /// A speed in a unit of so many m/s.
    Known(f64),
    /// A speed in a unit that is not said.
    NotSaid,
}

/// What a name says about speeds.
pub(in super::super) fn speed_unit(name: &str) -> ColumnUnit {
    match classify(0, name) {
        Some(column) if column.role == Role::Speed => {
            column.factor.map_or(ColumnUnit::NotSaid, ColumnUnit::Known)
        }
        _ => ColumnUnit::OtherThing,
    }
}

/// The unit of a column of times, where its name is one of such a column and says it.
pub(in super::super) fn time_unit(name: &str) -> Option<Option<f64>> {
    classify(0, name)
        .filter(|column| column.role == Role::Time && !column.is_date)
        .map(|column| column.factor)
}

/// Whether a name says what a column is.
pub(in super::super) fn is_known_name(name: &str) -> bool {
    classify(0, name).is_some()
}

/// What has to stand beside the time.
pub(in super::super) fn wanted<T: Output>() -> &'static str {
    match T::WANT {
        Want::Track => "a position or a speed",
        Want::Vehicle => Want::Vehicle.speed_wanted(),
    }
}

/// A table whose rows come one by one.
#[derive(Debug)]
pub(in super::super) struct Table<T> {
    rows: Rows<T>,
    /// The header that holds.
    names: Vec<String>,
    text: String,
    bounds: Vec<Range<usize>>,
}

impl<T: Output> Table<T> {
    /// A table called `source` in problems.
    pub(in super::super) fn new(source: String, options: CsvOptions) -> Self {
        Self { rows: Rows::new(source, options), names: Vec::new(), text: String::new(), bounds: Vec::new() }
    }

    /// The names of the columns, with units where the format says them; whether they name two things known, or what was chosen.
    pub(in super::super) fn header(&mut self, names: &[String], units: &[&str], line: usize) -> bool {
        let cells: Vec<&str> = names.iter().map(String::as_str).collect();
        let Some(header) = Header::new(&cells, &self.rows.options) else { return false };
        let header = header.with_units(units).unwrap_or(header);
        self.rows.use_header_on(&header, line);
        names.clone_into(&mut self.names);
        true
    }

    /// The names of the header that holds.
    pub(in super::super) fn names(&self) -> &[String] {
        &self.names
    }

    /// Takes a row: its cells in the order of the header.
    pub(in super::super) fn row<'a>(&mut self, cells: impl Iterator<Item = &'a str>, line: usize) {
        let State::Reading(plan, _) = &mut self.rows.state else { return };
        self.text.clear();
        self.bounds.clear();
        for cell in cells {
            let start = self.text.len();
            self.text.push_str(cell);
            self.bounds.push(start..self.text.len());
        }
        let row = plan.row(Cells::new(&self.text, &self.bounds), line, &mut self.rows.tally);
        self.rows.take(&row);
    }

    /// What was understood; what was not is put to `problems`. `None` where no header was understood.
    pub(in super::super) fn finish(self, problems: &mut Vec<Problem>) -> Option<T> {
        (!self.names.is_empty()).then(|| self.rows.complete(problems))
    }
}
