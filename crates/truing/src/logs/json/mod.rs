//! Tracks and logs in JSON, fed in chunks of any size: GeoJSON, arrays of objects, and one object in each line.
//!
//! - **Objects in an array** are rows: their names are columns, those of objects inside of them are parted by points
//!   (`location.lat`). What a column is, its unit and the form of its times are found out as in a CSV log.
//! - **GeoJSON points** are such rows too: longitude, latitude and height from the geometry, the rest from the properties.
//! - **GeoJSON lines** have as many rows as positions; times and speeds come from lists of the same length in the properties
//!   (`coordTimes`, `times`). Each part of a line begins a segment.
//! - **Lists beside each other** (`{"time": [...], "lat": [...]}`) are columns.
//!
//! Source: RFC 8259 (JSON), RFC 7946 (GeoJSON), which says nothing of times; the names for them are common practice.
//!
//! ```
//! use truing::logs::{csv::CsvOptions, json::JsonReader};
//! let mut reader = JsonReader::for_track("drive.json", CsvOptions::default());
//! reader.feed(br#"[{"time": "2019-05-24T11:50:21Z", "lat": 48.25, "lon": 11.5, "speed_kmh": 50.5}]"#);
//! let (track, problems) = reader.finish();
//! assert!(problems.is_empty());
//! assert!((track.fixes.get(0).unwrap().speed.unwrap().km_per_h() - 50.5).abs() < 1e-12);
//! ```

mod records;
mod tokens;

use super::csv::{CsvOptions, Output};
use super::text::Blocks;
use super::{Track, VehicleLog, encoding_problems};
use crate::problem::Problem;
use records::Records;
use tokens::{Stop, Tokens};

/// A push parser for one JSON file; memory is bounded by one object, or one line with its lists, beside the rows themselves.
#[derive(Debug)]
pub struct JsonReader<T> {
    source: String,
    blocks: Blocks,
    tokens: Tokens,
    records: Records<T>,
}

impl JsonReader<Track> {
    /// A reader for a track, called `source` in problems; names are chosen as columns are.
    pub fn for_track(source: impl Into<String>, options: CsvOptions) -> Self {
        Self::new(source.into(), options)
    }

    /// What was understood, and what was not.
    pub fn finish(self) -> (Track, Vec<Problem>) {
        self.complete()
    }
}

impl JsonReader<VehicleLog> {
    /// A reader for what the vehicle indicated, called `source` in problems; names are chosen as columns are.
    pub fn for_vehicle(source: impl Into<String>, options: CsvOptions) -> Self {
        Self::new(source.into(), options)
    }

    /// What was understood, and what was not.
    pub fn finish(self) -> (VehicleLog, Vec<Problem>) {
        self.complete()
    }
}

impl<T: Output> JsonReader<T> {
    fn new(source: String, options: CsvOptions) -> Self {
        let records = Records::new(source.clone(), options);
        Self { source, blocks: Blocks::default(), tokens: Tokens::default(), records }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { blocks, tokens, records, .. } = self;
        blocks.feed(bytes, |text| tokens.block(text, false, &mut |token, line| records.take(token, line)));
    }

    fn complete(mut self) -> (T, Vec<Problem>) {
        let Self { source, blocks, tokens, records } = &mut self;
        tokens.block(blocks.rest(), true, &mut |token, line| records.take(token, line));
        let mut problems = encoding_problems(&blocks.decoder, source);
        problems.extend(end(source, tokens));
        self.records.cut_short();
        let output = self.records.finish(&self.source, &mut problems);
        (output.unwrap_or_default(), problems)
    }
}

/// What the end of the text and strange values tell.
fn end(source: &str, tokens: &Tokens) -> Vec<Problem> {
    let stop = match tokens.stopped {
        Some((Stop::TooDeep, line)) => {
            Some(Problem::warning(source, "at most 64 levels", "more").at_line(line).hint(NOTHING_AFTER))
        }
        Some((Stop::TooLong, line)) => {
            let found = "a longer one, perhaps a quotation mark missing";
            Some(Problem::warning(source, "a value under 1 MiB", found).at_line(line).hint(NOTHING_AFTER))
        }
        None if tokens.is_within() => {
            let hint = "the file was cut short; what stands before was read";
            let problem = Problem::warning(source, "the file to go on", "its end within a list or an object");
            Some(problem.at_line(tokens.lines.line()).hint(hint))
        }
        None => None,
    };
    let strange = (tokens.strange > 0).then(|| {
        let found = format!("{} others", tokens.strange);
        let problem = Problem::warning(source, "numbers, texts and closed brackets", found);
        problem.at_line(tokens.first_strange_line).hint("they were left out")
    });
    stop.into_iter().chain(strange).collect()
}

const NOTHING_AFTER: &str = "nothing after it was read";

#[cfg(test)]
mod tests;
