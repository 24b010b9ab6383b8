//! Our readers: every check made, every record kept.

use truing::logs::can::{CanOptions, CanReader};
use truing::logs::csv::{CsvOptions, CsvReader};
use truing::logs::gpx::GpxReader;
use truing::logs::nmea::NmeaReader;

/// Bytes fed at a time, as the command line does.
const CHUNK_BYTES: usize = 1 << 16;

pub fn read_gpx(bytes: &[u8]) -> usize {
    let mut reader = GpxReader::new("gpx");
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

pub fn read_csv(bytes: &[u8]) -> usize {
    let mut reader = CsvReader::for_track("csv", CsvOptions::default());
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

pub fn read_nmea(bytes: &[u8]) -> usize {
    let mut reader = NmeaReader::new("nmea");
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

pub fn read_candump(bytes: &[u8]) -> usize {
    let mut reader = CanReader::new("candump", CanOptions::default());
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.samples.len()
}
