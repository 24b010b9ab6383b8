//! One door for each channel: the first bytes tell the format, never the name of the file.

use super::can::{self, CanOptions, CanReader};
use super::csv::{CsvOptions, CsvReader};
use super::gpx::GpxReader;
use super::nmea::{self, NmeaReader};
use super::text::Blocks;
use super::{Track, VehicleLog};
use crate::problem::{Problem, any_error};

/// So many bytes are looked at before a reader is chosen.
const LOOKED_AT_BYTES: usize = 1024;
/// A logger may put a few lines of its own before the first sentence or frame.
const LINES_LOOKED_AT: usize = 10;
/// Control characters other than these do not occur in text.
const TEXT_CONTROLS: [char; 4] = ['\t', '\n', '\r', '\u{c}'];

/// What the first bytes tell.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Format {
    Empty,
    Xml,
    Csv,
    Nmea,
    Can,
    Other(&'static str),
}

fn sniff(head: &[u8]) -> Format {
    const BINARY: [(&[u8], &str); 6] = [
        (b"\x1f\x8b", "gzip data"),
        (b"PK\x03\x04", "a zip archive or spreadsheet"),
        (b"%PDF", "a PDF document"),
        (b"SQLite format 3", "a database"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
    ];
    if let Some((_, name)) = BINARY.iter().find(|(start, _)| head.starts_with(start)) {
        return Format::Other(name);
    }
    let mut blocks = Blocks::default();
    blocks.feed(head, |_| 0);
    sniff_text(blocks.rest().trim_start_matches('\u{FEFF}').trim_start())
}

fn sniff_text(text: &str) -> Format {
    let lower: String = text.chars().take(LOOKED_AT_BYTES).collect::<String>().to_lowercase();
    let starts = |start: &str| lower.starts_with(start);
    match lower.as_str() {
        "" => Format::Empty,
        _ if starts("<!doctype html") || starts("<html") || starts("<head") || starts("<body") => {
            Format::Other("a web page")
        }
        _ if starts("<") && lower.contains("<kml") => {
            Format::Other("KML, which holds no speeds and seldom times")
        }
        _ if starts("<") && lower.contains("trainingcenterdatabase") => Format::Other("a training log (TCX)"),
        _ if starts("<") => Format::Xml,
        _ if starts("{") || starts("[") => Format::Other("JSON"),
        _ if text.lines().take(LINES_LOOKED_AT).any(nmea::is_sentence) => Format::Nmea,
        _ if text.lines().take(LINES_LOOKED_AT).any(can::is_frame) => Format::Can,
        _ if lower.chars().any(|sign| sign.is_control() && !TEXT_CONTROLS.contains(&sign)) => {
            Format::Other("binary data")
        }
        _ => Format::Csv,
    }
}

fn cannot_read(source: &str, expected: &str, format: Format) -> Problem {
    let (found, hint) = match format {
        Format::Empty => {
            ("an empty file".to_owned(), "check the export or the copy; the recording may not have started")
        }
        Format::Xml => (
            "GPX or other XML".to_owned(),
            "give the track with --track; the vehicle's own speed comes as CSV or as a CAN log",
        ),
        Format::Other(name) => (name.to_owned(), "export the recording as GPX or CSV"),
        Format::Csv => ("CSV".to_owned(), ""),
        Format::Nmea => (
            "NMEA 0183 sentences of a receiver".to_owned(),
            "give the track with --track; the vehicle's own speed comes as CSV or as a CAN log",
        ),
        Format::Can => ("a CAN log".to_owned(), "give it with --vehicle-log"),
    };
    let found = if format == Format::Empty { found } else { format!("what looks like {found}") };
    Problem::error(source, expected, found).hint(hint)
}

#[derive(Debug)]
enum TrackState {
    Looking(Vec<u8>),
    Gpx(Box<GpxReader>),
    Nmea(Box<NmeaReader>),
    Csv(Box<CsvReader<Track>>),
    Refused(Format),
}

/// Reads a track of any known format.
#[derive(Debug)]
pub struct TrackReader {
    source: String,
    options: CsvOptions,
    state: TrackState,
}

impl TrackReader {
    /// A reader of the input called `source` in problems; `options` serve if it is CSV.
    pub fn new(source: impl Into<String>, options: CsvOptions) -> Self {
        Self { source: source.into(), options, state: TrackState::Looking(Vec::new()) }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        match &mut self.state {
            TrackState::Looking(head) => {
                head.extend_from_slice(bytes);
                if head.len() >= LOOKED_AT_BYTES {
                    self.choose();
                }
            }
            TrackState::Gpx(reader) => reader.feed(bytes),
            TrackState::Nmea(reader) => reader.feed(bytes),
            TrackState::Csv(reader) => reader.feed(bytes),
            TrackState::Refused(_) => {}
        }
    }

    fn choose(&mut self) {
        let TrackState::Looking(head) = &mut self.state else { return };
        let head = core::mem::take(head);
        let (source, options) = (self.source.clone(), core::mem::take(&mut self.options));
        self.state = match sniff(&head[..head.len().min(LOOKED_AT_BYTES)]) {
            Format::Xml => TrackState::Gpx(Box::new(GpxReader::new(source))),
            Format::Nmea => TrackState::Nmea(Box::new(NmeaReader::new(source))),
            Format::Csv => TrackState::Csv(Box::new(CsvReader::for_track(source, options))),
            format => TrackState::Refused(format),
        };
        self.feed(&head);
    }

    /// The track and what is wrong with it; an error when nothing in it can be used.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        self.choose();
        let (track, mut problems) = match self.state {
            TrackState::Gpx(reader) => reader.finish(),
            TrackState::Nmea(reader) => reader.finish(),
            TrackState::Csv(reader) => reader.finish(),
            TrackState::Refused(format) => {
                let expected = "a track as GPX, NMEA 0183 or CSV";
                (Track::default(), vec![cannot_read(&self.source, expected, format)])
            }
            TrackState::Looking(_) => Default::default(),
        };
        if !any_error(&problems) {
            problems.extend(useless_track(&self.source, &track));
        }
        (track, problems)
    }
}

fn useless_track(source: &str, track: &Track) -> Option<Problem> {
    if track.fixes.is_empty() {
        let hint = "record with the receiver in view of the sky, and export the recorded track";
        return Some(
            Problem::error(source, "at least one position or speed", "none that can be used").hint(hint),
        );
    }
    let untimed = track.fixes.iter().all(|fix| fix.time.is_none());
    let hint = "a planned route has no times; export the track as it was recorded, with times";
    untimed.then(|| Problem::error(source, "times of the fixes", "not one").in_part("time").hint(hint))
}

#[derive(Debug)]
enum VehicleState {
    Looking(Vec<u8>),
    Csv(Box<CsvReader<VehicleLog>>),
    Can(Box<CanReader>),
    Refused(Format),
}

/// Reads a log of what the vehicle indicated, of any known format.
#[derive(Debug)]
pub struct VehicleLogReader {
    source: String,
    options: CsvOptions,
    can_options: CanOptions,
    state: VehicleState,
}

impl VehicleLogReader {
    /// A reader of the input called `source` in problems; `options` serve if it is CSV.
    pub fn new(source: impl Into<String>, options: CsvOptions) -> Self {
        let (can_options, state) = (CanOptions::default(), VehicleState::Looking(Vec::new()));
        Self { source: source.into(), options, can_options, state }
    }

    /// The same with options that serve if it is a CAN log.
    pub fn with_can_options(self, can_options: CanOptions) -> Self {
        Self { can_options, ..self }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        match &mut self.state {
            VehicleState::Looking(head) => {
                head.extend_from_slice(bytes);
                if head.len() >= LOOKED_AT_BYTES {
                    self.choose();
                }
            }
            VehicleState::Csv(reader) => reader.feed(bytes),
            VehicleState::Can(reader) => reader.feed(bytes),
            VehicleState::Refused(_) => {}
        }
    }

    fn choose(&mut self) {
        let VehicleState::Looking(head) = &mut self.state else { return };
        let head = core::mem::take(head);
        let (source, options) = (self.source.clone(), core::mem::take(&mut self.options));
        self.state = match sniff(&head[..head.len().min(LOOKED_AT_BYTES)]) {
            Format::Csv => VehicleState::Csv(Box::new(CsvReader::for_vehicle(source, options))),
            Format::Can => {
                VehicleState::Can(Box::new(CanReader::new(source, core::mem::take(&mut self.can_options))))
            }
            format => VehicleState::Refused(format),
        };
        self.feed(&head);
    }

    /// The log and what is wrong with it; an error when nothing in it can be used.
    pub fn finish(mut self) -> (VehicleLog, Vec<Problem>) {
        self.choose();
        let (log, mut problems) = match self.state {
            VehicleState::Csv(reader) => reader.finish(),
            VehicleState::Can(reader) => reader.finish(),
            VehicleState::Refused(format) => {
                let expected = "the vehicle's own speeds as CSV or as a CAN log";
                (VehicleLog::default(), vec![cannot_read(&self.source, expected, format)])
            }
            VehicleState::Looking(_) => Default::default(),
        };
        if !any_error(&problems) && log.samples.is_empty() {
            let hint = "see the other messages; a choice of columns may be needed";
            let expected = "at least one row with a time and a speed";
            problems.push(Problem::error(&self.source, expected, "none that can be used").hint(hint));
        }
        (log, problems)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(bytes: &[u8], chunk_bytes: usize) -> ((Track, Vec<Problem>), (VehicleLog, Vec<Problem>)) {
        let mut track = TrackReader::new("drive", CsvOptions::default());
        let mut vehicle = VehicleLogReader::new("trip", CsvOptions::default());
        for chunk in bytes.chunks(chunk_bytes) {
            track.feed(chunk);
            vehicle.feed(chunk);
        }
        (track.finish(), vehicle.finish())
    }

    /// What is told of a file given as a track and as a vehicle log; empty for nothing.
    fn check(bytes: &[u8], as_track: &str, as_vehicle_log: &str) {
        let ((_, track), (_, vehicle)) = read(bytes, 7);
        for (problems, expected) in [(track, as_track), (vehicle, as_vehicle_log)] {
            let told: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
            let shown = String::from_utf8_lossy(bytes);
            assert_eq!(any_error(&problems), !expected.is_empty(), "{shown}: {told:?}");
            assert!(
                expected.is_empty() || told.iter().any(|told| told.contains(expected)),
                "{shown}: {told:?}"
            );
        }
    }

    #[test]
    fn formats() {
        check(b"", "expected a track as GPX, NMEA 0183 or CSV; found an empty file", "found an empty file");
        check(b" \r\n\t", "found an empty file", "found an empty file");
        check(b"<!DOCTYPE html><html><body>", "looks like a web page", "looks like a web page");
        check(b"<HTML>", "looks like a web page", "looks like a web page");
        check(b"<?xml version='1.0'?><kml>", "looks like KML", "looks like KML");
        check(b"{\"a\":1}", "looks like JSON", "looks like JSON");
        check(b"log of a day\n$GPRMC,1,2", "at least one position or speed", "looks like NMEA 0183");
        check(b"(1.0) can0 7E8#03410D50\n", "looks like a CAN log. give it with --vehicle-log", "");
        check(b" can0  7E8   [4]  03 41 0D 50\n", "looks like a CAN log", "a time before each frame");
        check(b"\x1f\x8b\x08\0", "looks like gzip", "looks like gzip");
        check(b"PK\x03\x04..", "zip archive", "zip archive");
        check(b"abc\x01\x02,4", "binary data", "binary data");
        check(b"just some words\n", "a first line naming the columns", "a first line naming the columns");
        check(b"<rss><a/></rss>", "a GPX file, which begins with <gpx>; found <rss>", "GPX or other XML");
    }

    #[test]
    fn what_holds_nothing_of_use() {
        let gpx = |points: &str| format!("<gpx><trk><trkseg>{points}</trkseg></trk></gpx>").into_bytes();
        check(&gpx(""), "at least one position or speed", "give the track with --track");
        check(&gpx("<trkpt lat='1' lon='2'/>"), "expected times of the fixes; found not one", "GPX");
        check(&gpx("<trkpt lat='1' lon='2'><time>2019-05-24T11:50:21Z</time></trkpt>"), "", "GPX");
        check(b"t_s,lat,lon,mph\n", "at least one position or speed", "at least one row with a time");
        check(b"t_s,lat,lon,mph\n1,2,3,4\n", "", "");
        check(b"lat,lon\n1,2\n", "a column of times", "a column of times");
    }

    proptest! {
        #[test]
        fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..3000), chunk_bytes in 1usize..50) {
            prop_assert_eq!(read(&bytes, chunk_bytes), read(&bytes, 1 << 20));
        }
    }
}
