//! Whether one file read as a track and as a vehicle log would be one recording held against itself.

use super::options::CsvOptions;
use super::{CsvReader, Output, State};

/// Whether a file that begins so gives a track and a vehicle log the same column, so that the two would be one recording
/// held against itself.
pub fn shares_a_column(head: &[u8], track: &CsvOptions, vehicle: &CsvOptions) -> bool {
    let track = CsvReader::for_track("", track.clone()).columns(head);
    let vehicle = CsvReader::for_vehicle("", vehicle.clone()).columns(head);
    track.iter().any(|column| vehicle.contains(column))
}

impl<T: Output> CsvReader<T> {
    /// The columns that are read beside the time, by place and name, in a file that begins so.
    fn columns(mut self, head: &[u8]) -> Vec<(usize, String)> {
        self.feed(head);
        self.rows.block(&mut self.splitter, self.blocks.rest(), true);
        match core::mem::replace(&mut self.rows.state, State::Refused) {
            State::Header(header, line) => self.rows.use_header(&header, line),
            state => self.rows.state = state,
        }
        let State::Reading(plan, _) = self.rows.state else { return Vec::new() };
        plan.numbers.into_iter().map(|column| (column.index, column.name)).collect()
    }
}
