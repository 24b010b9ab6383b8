//! One door for each channel: the first bytes tell the format, never the name of the file.

mod known;

use super::bounds::too_many;
use super::can::{self, CanOptions, CanReader};
use super::csv::{CsvOptions, CsvReader};
use super::fit::{self, FitReader};
use super::gpx::GpxReader;
use super::igc::{self, IgcReader};
use super::json::JsonReader;
use super::kml::KmlReader;
use super::nmea::{self, NmeaReader};
use super::run::{self, RunReader};
use super::subtitles::{self, SubtitleReader};
use super::tcx::TcxReader;
use super::text::Blocks;
use super::{Track, VehicleLog};
use crate::problem::{Problem, any_error};
use known::{Known, known};

/// So many bytes are looked at before a reader is chosen.
const LOOKED_AT_BYTES: usize = 1024;
/// A logger may put a few lines of its own before the first sentence or cue.
const LINES_LOOKED_AT: usize = 10;
/// Control characters other than these do not occur in text; the last parts JSON texts (RFC 7464).
const TEXT_CONTROLS: [char; 5] = ['\t', '\n', '\r', '\u{c}', '\u{1e}'];
/// What can be read as a track, for messages.
const TRACKS: &str = "a track as GPX, NMEA 0183, CSV, JSON, KML, TCX, FIT, IGC or subtitles";
/// What can be read as a vehicle log.
const VEHICLE_LOGS: &str = "the vehicle's own speeds as CSV, JSON or a CAN log";
/// What a track is asked for instead.
const AS_A_TRACK: &str = "give it as the track; the vehicle's own speed comes as CSV, JSON or a CAN log";

/// What the first bytes tell.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Format {
    Empty,
    Xml,
    Kml,
    Tcx,
    Json,
    Run,
    Fit,
    Igc,
    Subtitles,
    Csv,
    Nmea,
    Can,
    Other(Known),
}

/// Something that is no log.
const fn other(name: &'static str, hint: &'static str) -> Format {
    Format::Other(Known { name, hint })
}

fn sniff(head: &[u8]) -> Format {
    if fit::begins_like_one(head) {
        return Format::Fit;
    }
    if let Some(known) = known(head) {
        return Format::Other(known);
    }
    if super::has_zeros_of_binary(head) {
        return other("binary data", "export the recording as GPX or CSV");
    }
    let mut blocks = Blocks::default();
    blocks.feed(head, |_| 0);
    sniff_text(blocks.rest().trim_start_matches('\u{FEFF}').trim_start())
}

fn sniff_text(text: &str) -> Format {
    let lower: String = text.chars().take(LOOKED_AT_BYTES).collect::<String>().to_lowercase();
    let starts = |start: &str| lower.starts_with(start);
    let lines = || text.lines().take(LINES_LOOKED_AT);
    match lower.as_str() {
        "" => Format::Empty,
        _ if starts("<!doctype html") || starts("<html") || starts("<head") || starts("<body") => {
            other("a web page", "download the file itself, not the page that shows it")
        }
        _ if starts("<") && (lower.contains("<kml") || lower.contains(":kml ")) => Format::Kml,
        _ if starts("<") && lower.contains("trainingcenterdatabase") => Format::Tcx,
        _ if starts("<") => Format::Xml,
        _ if starts(run::BEGINS) => Format::Run,
        _ if lower.trim_start_matches('\u{1e}').starts_with(['{', '[']) => Format::Json,
        _ if starts("webvtt") || lines().any(|line| subtitles::cue_start_s(line).is_some()) => {
            Format::Subtitles
        }
        _ if lines().any(nmea::is_sentence) => Format::Nmea,
        _ if lines().any(igc::is_date) => Format::Igc,
        _ if can::begins(text) => Format::Can,
        _ if lower.chars().any(|sign| sign.is_control() && !TEXT_CONTROLS.contains(&sign)) => {
            other("binary data", "export the recording as GPX or CSV")
        }
        _ => Format::Csv,
    }
}

fn cannot_read(source: &str, expected: &str, format: Format) -> Problem {
    let (found, hint) = match format {
        Format::Empty => {
            ("an empty file", "check the export or the copy; the recording may not have started")
        }
        Format::Xml => ("GPX or other XML", AS_A_TRACK),
        Format::Kml => ("KML", AS_A_TRACK),
        Format::Tcx => ("a training log (TCX)", AS_A_TRACK),
        Format::Run => ("a drive recorded with marks", AS_A_TRACK),
        Format::Fit => ("an activity file (FIT)", AS_A_TRACK),
        Format::Igc => ("a flight recorder's log (IGC)", AS_A_TRACK),
        Format::Subtitles => ("subtitles", AS_A_TRACK),
        Format::Nmea => ("NMEA 0183 sentences of a receiver", AS_A_TRACK),
        Format::Can => ("a CAN log", "give it as the vehicle's own log"),
        Format::Csv => ("CSV", ""),
        Format::Json => ("JSON", ""),
        Format::Other(Known { name, hint }) => (name, hint),
    };
    let found = if format == Format::Empty { found.to_owned() } else { format!("what looks like {found}") };
    Problem::error(source, expected, found).hint(hint)
}

#[derive(Debug)]
enum TrackState {
    Looking(Vec<u8>),
    Gpx(Box<GpxReader>),
    Kml(Box<KmlReader>),
    Tcx(Box<TcxReader>),
    Json(Box<JsonReader<Track>>),
    Run(Box<RunReader>),
    Fit(Box<FitReader>),
    Igc(Box<IgcReader>),
    Subtitles(Box<SubtitleReader>),
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
            TrackState::Kml(reader) => reader.feed(bytes),
            TrackState::Tcx(reader) => reader.feed(bytes),
            TrackState::Json(reader) => reader.feed(bytes),
            TrackState::Run(reader) => reader.feed(bytes),
            TrackState::Fit(reader) => reader.feed(bytes),
            TrackState::Igc(reader) => reader.feed(bytes),
            TrackState::Subtitles(reader) => reader.feed(bytes),
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
            Format::Kml => TrackState::Kml(Box::new(KmlReader::new(source))),
            Format::Tcx => TrackState::Tcx(Box::new(TcxReader::new(source))),
            Format::Json => TrackState::Json(Box::new(JsonReader::for_track(source, options))),
            Format::Run => TrackState::Run(Box::new(RunReader::new(source))),
            Format::Fit => TrackState::Fit(Box::new(FitReader::new(source))),
            Format::Igc => TrackState::Igc(Box::new(IgcReader::new(source))),
            Format::Subtitles => TrackState::Subtitles(Box::new(SubtitleReader::new(source))),
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
            TrackState::Kml(reader) => reader.finish(),
            TrackState::Tcx(reader) => reader.finish(),
            TrackState::Json(reader) => reader.finish(),
            TrackState::Run(reader) => reader.finish(),
            TrackState::Fit(reader) => reader.finish(),
            TrackState::Igc(reader) => reader.finish(),
            TrackState::Subtitles(reader) => reader.finish(),
            TrackState::Nmea(reader) => reader.finish(),
            TrackState::Csv(reader) => reader.finish(),
            TrackState::Refused(format) => {
                (Track::default(), vec![cannot_read(&self.source, TRACKS, format)])
            }
            TrackState::Looking(_) => Default::default(),
        };
        let count = track.fixes.len() + track.fixes.left_out();
        problems.extend(too_many(&self.source, count));
        if !any_error(&problems) {
            problems.extend(useless_track(&self.source, &track, !problems.is_empty()));
        }
        (track, problems)
    }
}

/// `is_told` is whether something was said already of why points were left out.
fn useless_track(source: &str, track: &Track, is_told: bool) -> Option<Problem> {
    if track.fixes.is_empty() {
        let hint = match is_told {
            true => "see the other messages about this file",
            false => "record with the receiver in view of the sky, and export the recorded track",
        };
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
    Json(Box<JsonReader<VehicleLog>>),
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
            VehicleState::Json(reader) => reader.feed(bytes),
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
            Format::Json => VehicleState::Json(Box::new(JsonReader::for_vehicle(source, options))),
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
            VehicleState::Json(reader) => reader.finish(),
            VehicleState::Can(reader) => reader.finish(),
            VehicleState::Refused(format) => {
                (VehicleLog::default(), vec![cannot_read(&self.source, VEHICLE_LOGS, format)])
            }
            VehicleState::Looking(_) => Default::default(),
        };
        if !any_error(&problems) && log.samples.is_empty() {
            let hint = "see the other messages; a choice of columns may be needed";
            let expected = "at least one row with a time and a speed";
            problems.push(Problem::error(&self.source, expected, "none that can be used").hint(hint));
        }
        (VehicleLog { source: self.source, ..log }, problems)
    }
}

#[cfg(test)]
mod tests;
