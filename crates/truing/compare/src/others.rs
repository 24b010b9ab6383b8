//! The other way: a bare loop that only does what nobody can leave out, and the libraries one would take instead.

use quick_xml::events::Event;
use std::hint::black_box;

/// As one reads a file that is not held in memory.
pub fn buffered_events(bytes: &[u8]) -> usize {
    let mut reader = quick_xml::Reader::from_reader(bytes);
    let (mut events, mut buffer) = (0, Vec::new());
    while let Ok(event) = reader.read_event_into(&mut buffer) {
        if matches!(event, Event::Eof) {
            break;
        }
        events += 1;
        buffer.clear();
    }
    events
}

/// As one reads a file that is held in memory as a whole.
pub fn borrowed_events(bytes: &[u8]) -> usize {
    let mut reader = quick_xml::Reader::from_reader(bytes);
    let mut events = 0;
    while let Ok(event) = reader.read_event() {
        if matches!(event, Event::Eof) {
            break;
        }
        events += 1;
        black_box(&event);
    }
    events
}

/// Every record into one that is used again; no cell is looked at.
pub fn bare_records(bytes: &[u8]) -> usize {
    let mut reader = ::csv::Reader::from_reader(bytes);
    let (mut record, mut rows) = (::csv::ByteRecord::new(), 0);
    while matches!(reader.read_byte_record(&mut record), Ok(true)) {
        rows += usize::from(!black_box(&record).is_empty());
    }
    rows
}

/// The same with each cell read as a number.
pub fn numbers_of_records(bytes: &[u8]) -> usize {
    let mut reader = ::csv::Reader::from_reader(bytes);
    let (mut record, mut rows) = (::csv::ByteRecord::new(), 0);
    while matches!(reader.read_byte_record(&mut record), Ok(true)) {
        let numbers = record.iter().filter(|cell| fast_float2::parse::<f64, _>(cell).is_ok()).count();
        rows += numbers / 6;
    }
    rows
}

pub fn bare_lines(bytes: &[u8]) -> usize {
    let (mut start, mut lines) = (0, 0);
    for end in memchr::memchr_iter(b'\n', bytes) {
        lines += usize::from(!black_box(&bytes[start..end]).is_empty());
        start = end + 1;
    }
    lines
}

/// Points of the `gpx` crate.
pub fn gpx_crate(bytes: &[u8]) -> usize {
    let points = |gpx: gpx::Gpx| gpx.tracks.iter().flat_map(|t| &t.segments).map(|s| s.points.len()).sum();
    gpx::read(bytes).map_or(0, points)
}

/// Sentences the `nmea` crate understands.
pub fn nmea_crate(bytes: &[u8]) -> usize {
    let text = core::str::from_utf8(bytes).unwrap_or_default();
    let mut state = nmea::Nmea::default();
    text.lines().filter(|line| state.parse(line).is_ok()).count()
}
