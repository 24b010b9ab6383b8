//! Logs with one reading in each row, brought to the rows of a table.

use super::columns::Header;
use super::long::{Gathered, Long};
use super::options::CsvOptions;
use super::records::Cells;
use super::rows::Output;
use super::select::Want;
use super::{Rows, State};

impl<T: Output> Rows<T> {
    /// Takes a row with one reading.
    pub(super) fn reading(&mut self, mut long: Box<Long>, record: Cells<'_>, line: usize) {
        let cells: Vec<&str> = record.iter().collect();
        match T::WANT {
            Want::Track => long.gather(&cells, line, &mut |long, row| self.gathered(long, &row)),
            Want::Vehicle => {
                if let Some(pair) = long.row(&cells, record.bounds()) {
                    self.use_long_header(&mut long, line);
                    self.row(record.with_bounds(&pair), line);
                }
            }
        }
        self.long = Some(long);
    }

    /// What still waits for others of its moment.
    pub(super) fn end_of_readings(&mut self) {
        if let Some(mut long) = self.long.take() {
            long.flush(&mut |long, row| self.gathered(long, &row));
            self.long = Some(long);
        }
    }

    /// The header of the table that is made of readings, where it has just become known.
    fn use_long_header(&mut self, long: &mut Long, line: usize) {
        let Some(names) = long.header.take() else { return };
        let cells: Vec<&str> = names.iter().map(String::as_str).collect();
        if let Some(header) = Header::new(&cells, &CsvOptions::default()) {
            self.use_header_on(&header, line);
        }
    }

    /// A row of a track that was gathered from several readings.
    fn gathered(&mut self, long: &mut Long, gathered: &Gathered) {
        self.use_long_header(long, gathered.line);
        let State::Reading(plan, _) = &mut self.state else { return };
        let (mut text, mut bounds) = (String::new(), Vec::new());
        for cell in gathered.cells() {
            let start = text.len();
            text.push_str(cell);
            bounds.push(start..text.len());
        }
        let row = plan.row(Cells::new(&text, &bounds), gathered.line, &mut self.tally);
        self.take(&row);
    }

    /// Another header of the same rows: what was found out about the times holds on.
    pub(super) fn use_header_on(&mut self, header: &Header, line: usize) {
        let time = match core::mem::replace(&mut self.state, State::Refused) {
            State::Reading(plan, _) => plan.time,
            _ => None,
        };
        // What was said of the one before is said of this one, or no longer true.
        self.problems.truncate(self.of_header);
        self.use_header(header, line);
        if let (State::Reading(plan, _), Some(before)) = (&mut self.state, time)
            && let Some(time) = &mut plan.time
        {
            time.go_on_from(&before);
        }
    }
}
