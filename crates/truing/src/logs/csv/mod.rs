//! CSV logs as recorders write them, fed in chunks of any size.
//!
//! Found out by itself: encoding, separator (`,` `;` tab `|`, or columns aligned by blanks), decimal comma, the header row, which column is what, the
//! unit in a column name (`speed_kmh`, `Speed (km/h)`, `gps_speed_m_per_s`, `time_ms`), the form of the times (ISO
//! 8601, dates beside times, seconds or smaller units since 1970 or since a start, time of day). What it cannot
//! know it does not guess: a speed without a unit is refused, and so is the choice between two equal columns; both
//! are settled by [`CsvOptions`].
//!
//! One row reader serves two outputs. For a track the speed of a receiver or reference is preferred, for a vehicle
//! log the one of the vehicle; neither ever stands in for the other.
//!
//! ```
//! use truing::logs::csv::{CsvOptions, CsvReader};
//! let mut reader = CsvReader::for_vehicle("trip.csv", CsvOptions::default());
//! reader.feed(b"time_ms;speed (km/h)\n0;50,5\n200;51,0\n");
//! let (log, problems) = reader.finish();
//! assert!(problems.is_empty());
//! assert_eq!(log.samples.len(), 2);
//! assert!((log.samples[0].speed.km_per_h() - 50.5).abs() < 1e-12);
//! ```

mod cells;
pub(super) mod clock;
mod columns;
mod long;
mod names;
mod options;
mod plain;
mod readings;
pub(super) mod records;
mod rows;
mod select;
mod separator;
mod shared;
pub(super) mod step;
pub(super) mod table;

use super::tally::{Kind, Tally};
use super::text::Blocks;
use super::{Track, VehicleLog, encoding_problems, units};
use crate::problem::{Problem, Severity, Wording};
use columns::Header;
use long::Long;
pub use options::{ColumnChoice, CsvOptions, DateOrder};
use plain::PlainRows;
use records::{Cells, Splitter, Takes};
pub(super) use rows::Output;
use rows::Row;
use select::{Plan, Selection, Want};
use separator::Separator;
pub use shared::shares_a_column;
pub(super) use table::{ColumnUnit, speed_unit};

/// A header stands within so many records; loggers put a few lines of their own before it.
const HEADER_WITHIN_RECORDS: usize = 60;

/// Problems of headers that are kept.
const MOST_PROBLEMS: usize = 100;

/// A push parser for one CSV file; memory is bounded by one record beside the rows themselves.
#[derive(Debug)]
pub struct CsvReader<T> {
    blocks: Blocks,
    splitter: Splitter,
    rows: Rows<T>,
}

/// What has been made of the records so far.
#[derive(Debug)]
struct Rows<T> {
    source: String,
    options: CsvOptions,
    state: State,
    records_before_header: usize,
    first_record: Option<FirstRecord>,
    /// The names of the header that holds.
    names: Vec<String>,
    /// One reading in each row.
    long: Option<Box<Long>>,
    /// Cells are parted by blanks, so none can be told to be empty.
    blanks: bool,
    speed_decimals: Option<i32>,
    output: T,
    tally: Tally,
    problems: Vec<Problem>,
    /// Where the problems of the header that holds begin.
    of_header: usize,
}

/// The first record when it is no header that could be understood.
#[derive(Debug)]
struct FirstRecord {
    line: usize,
    cells: usize,
    numbers: usize,
}

#[derive(Debug)]
enum State {
    BeforeHeader,
    /// The next row may hold the units.
    Header(Box<Header>, usize),
    /// With the quick way for plain rows, once it is known how times are written.
    Reading(Box<Plan>, Option<PlainRows>),
    Refused,
}

impl CsvReader<Track> {
    /// A reader for a track, called `source` in problems.
    pub fn for_track(source: impl Into<String>, options: CsvOptions) -> Self {
        Self::new(source.into(), options)
    }

    /// What was understood, and what was not.
    pub fn finish(self) -> (Track, Vec<Problem>) {
        self.complete()
    }
}

impl CsvReader<VehicleLog> {
    /// A reader for what the vehicle indicated, called `source` in problems.
    pub fn for_vehicle(source: impl Into<String>, options: CsvOptions) -> Self {
        Self::new(source.into(), options)
    }

    /// What was understood, and what was not.
    pub fn finish(self) -> (VehicleLog, Vec<Problem>) {
        self.complete()
    }
}

impl<T: Output> CsvReader<T> {
    fn new(source: String, options: CsvOptions) -> Self {
        let rows = Rows::new(source, options);
        Self { blocks: Blocks::default(), splitter: Splitter::default(), rows }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { blocks, splitter, rows } = self;
        blocks.feed(bytes, |text| rows.block(splitter, text, false));
    }

    fn complete(mut self) -> (T, Vec<Problem>) {
        self.rows.block(&mut self.splitter, self.blocks.rest(), true);
        let mut problems = encoding_problems(&self.blocks.decoder, &self.rows.source);
        let output = self.rows.complete(&mut problems);
        (output, problems)
    }
}

impl<T: Output> Rows<T> {
    fn new(source: String, options: CsvOptions) -> Self {
        Self {
            source,
            options,
            state: State::BeforeHeader,
            records_before_header: 0,
            first_record: None,
            names: Vec::new(),
            long: None,
            blanks: false,
            speed_decimals: Some(0),
            output: T::default(),
            tally: Tally::default(),
            problems: Vec::new(),
            of_header: usize::MAX,
        }
    }

    fn block(&mut self, splitter: &mut Splitter, text: &str, last: bool) -> usize {
        let separator = splitter.separator(text, |cells| {
            Header::new(cells, &self.options).is_some() || Long::new(cells).is_some()
        });
        self.blanks = matches!(separator, Separator::Blanks(_));
        splitter.block(text, last, self)
    }

    fn row(&mut self, record: Cells<'_>, line: usize) {
        match &mut self.state {
            State::Refused => {}
            State::BeforeHeader => self.look_for_header(record, line),
            State::Header(..) => self.first_row(record, line),
            State::Reading(..) => {
                if starts_with_a_word(record) && self.again(record, line) {
                    return;
                }
                let State::Reading(plan, plain) = &mut self.state else { return };
                let mut whole = Vec::new();
                let record = match self.blanks.then(|| plan.aligned(record, &mut whole)) {
                    None => record,
                    Some(true) => record.with_bounds(&whole),
                    Some(false) => return count_misaligned(line, &mut self.tally),
                };
                let row = plan.row(record, line, &mut self.tally);
                if plain.is_none() {
                    *plain = PlainRows::new(plan);
                }
                self.take(&row);
            }
        }
    }

    fn take(&mut self, row: &Row) {
        // How finely speeds are written only matters for the step of a vehicle's values.
        self.speed_decimals = self.speed_decimals.zip(row.speed_decimals).map(|(most, own)| most.max(own));
        let tally = &mut self.tally;
        self.output.take(row, &mut |lack, line| lack.count(tally, line));
    }

    fn look_for_header(&mut self, record: Cells<'_>, line: usize) {
        let cells: Vec<&str> = record.iter().collect();
        let (long, header) = (Long::new(&cells), Header::new(&cells, &self.options));
        // Whoever chose columns means a table.
        let chosen = self.options.chosen_names().next().is_some();
        match (long, header) {
            (_, Some(header)) if chosen => return self.state = State::Header(Box::new(header), line),
            (Some(long), _) => return self.long = Some(Box::new(long)),
            (None, Some(header)) => return self.state = State::Header(Box::new(header), line),
            (None, None) => {}
        }
        self.records_before_header += 1;
        self.first_record.get_or_insert_with(|| {
            let numbers = cells.iter().filter(|cell| units::number(cell).is_some()).count();
            FirstRecord { line, cells: cells.len(), numbers }
        });
        if self.records_before_header >= HEADER_WITHIN_RECORDS {
            self.refuse_without_header();
        }
    }

    /// A header in mid-file, or the units below it: whether the record is one. The same is passed over; another holds from there on.
    fn again(&mut self, record: Cells<'_>, line: usize) -> bool {
        let cells: Vec<&str> = record.iter().collect();
        if cells[0].starts_with(['(', '[']) {
            return cells[0].ends_with([')', ']']);
        }
        let Some(header) = Header::new(&cells, &self.options) else { return false };
        if self.names != header.names {
            let (severity, part, expected) = (Severity::Warning, "row", "one header");
            let hint = "the columns were read as it says from there on";
            self.tally
                .count(Kind { severity, part, expected, hint }, line, || "another in mid-file".to_owned());
            // Its speeds may be in another unit.
            self.speed_decimals = None;
            self.state = State::Header(Box::new(header), line);
        }
        true
    }

    /// The first row below the header: units, or what the rest is too.
    fn first_row(&mut self, record: Cells<'_>, line: usize) {
        let State::Header(header, header_line) = core::mem::replace(&mut self.state, State::Refused) else {
            return;
        };
        let cells: Vec<&str> = record.iter().collect();
        if is_rule(&cells) {
            self.state = State::Header(header, header_line);
            return;
        }
        if let Some(with_units) = header.with_units(&cells) {
            return self.use_header(&with_units, header_line);
        }
        self.use_header(&header, header_line);
        self.record(record, line);
    }

    fn use_header(&mut self, header: &Header, line: usize) {
        if let Some(first) = self.first_record.take() {
            let found = format!("{} lines before it", self.records_before_header);
            let note = Problem::note(&self.source, "the header first", found).at_line(first.line);
            self.problems.push(note.hint("they were skipped"));
        }
        self.names.clone_from(&header.names);
        let Self { options, source, problems, of_header, .. } = self;
        let already = problems.len();
        *of_header = already;
        let selection = Selection { header, options, want: T::WANT, source, line, problems };
        self.state = selection.plan().map_or(State::Refused, |plan| State::Reading(Box::new(plan), None));
        // Headers may go on changing from row to row; a hundred problems tell enough of that.
        if already >= MOST_PROBLEMS {
            self.problems.truncate(already);
        }
    }

    fn refuse_without_header(&mut self) {
        self.state = State::Refused;
        if self.long.is_some() {
            let (expected, hint) = match T::WANT {
                Want::Track => (
                    "rows with latitudes and longitudes, or a speed over ground",
                    "export the log with them in it",
                ),
                Want::Vehicle => (
                    "a row with a speed that the vehicle indicated",
                    "export the log with the vehicle's speed in it",
                ),
            };
            return self.problems.push(Problem::error(&self.source, expected, "none").hint(hint));
        }
        let expected = match T::WANT {
            Want::Track => "a first line naming the columns, such as time,lat,lon,speed_kmh",
            Want::Vehicle => "a first line naming the columns, such as time,speed_kmh",
        };
        // The cells are not quoted: they may be coordinates.
        let found = match &self.first_record {
            None => "an empty file".to_owned(),
            Some(first) => format!("a line of {} cells, {} of them numbers", first.cells, first.numbers),
        };
        let hint = match &self.first_record {
            Some(first) if first.cells > 1 && first.numbers == 0 => {
                Wording::from("if this line names the columns, say which is what: ")
                    .field(T::WANT.columns().such_as("time=NAME s, speed=NAME km/h"))
            }
            _ => "add such a line at the top of the file, with the unit of the speed in its name".into(),
        };
        let line = self.first_record.as_ref().map_or(1, |first| first.line);
        self.problems.push(Problem::error(&self.source, expected, found).at_line(line).hint(hint));
    }

    fn complete(mut self, problems: &mut Vec<Problem>) -> T {
        self.end_of_readings();
        match core::mem::replace(&mut self.state, State::Refused) {
            State::BeforeHeader => self.refuse_without_header(),
            State::Header(header, line) => self.use_header(&header, line),
            state => self.state = state,
        }
        if let State::Reading(plan, _) = &self.state {
            let factor = plan.speed_column().map_or(1.0, |column| column.factor);
            self.output.complete(plan.clock(), factor, self.speed_decimals);
        }
        problems.append(&mut self.problems);
        problems.extend(self.tally.into_problems(&self.source));
        self.output
    }
}

impl<T: Output> Takes for Rows<T> {
    fn plain_row(&mut self, text: &[u8], separator: u8, line: usize) -> Option<usize> {
        let (State::Reading(_, Some(plain)), None) = (&self.state, &self.long) else { return None };
        let mut row = Row::at(line);
        let bytes = plain.row(text, separator, &mut row)?;
        self.take(&row);
        Some(bytes)
    }

    fn record(&mut self, record: Cells<'_>, line: usize) {
        match self.long.take() {
            Some(long) => self.reading(long, record, line),
            None => self.row(record, line),
        }
    }

    fn tally(&mut self) -> &mut Tally {
        &mut self.tally
    }
}

/// Whether a record may be a header: its first cell is a word or stands in brackets.
fn starts_with_a_word(record: Cells<'_>) -> bool {
    let cell = record.get(0).unwrap_or_default().as_bytes();
    let begins = cell.first().is_some_and(|sign| sign.is_ascii_alphabetic() || matches!(sign, b'(' | b'['));
    begins && !cell.iter().any(u8::is_ascii_digit)
}

/// A line drawn below a header.
fn is_rule(cells: &[&str]) -> bool {
    let drawn = |cell: &&str| cell.trim().chars().all(|sign| "-=:+".contains(sign));
    cells.iter().all(drawn) && cells.iter().any(|cell| !cell.trim().is_empty())
}

/// Between blanks an empty cell cannot be seen: every later one would be taken for its neighbour.
fn count_misaligned(line: usize, tally: &mut Tally) {
    let (severity, part, expected) = (Severity::Warning, "row", "as many cells as the header has");
    let hint =
        "the row was left out: between blanks an empty cell cannot be told; export with commas or semicolons";
    tally.count(Kind { severity, part, expected, hint }, line, || "another number".to_owned());
}

#[cfg(test)]
mod both_tests;
#[cfg(test)]
mod hostile_tests;
#[cfg(test)]
mod strange_tests;
#[cfg(test)]
mod tests;
