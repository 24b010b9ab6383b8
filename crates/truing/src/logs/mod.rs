//! Readers, one file per format: bytes in, records and problems out. None ever fails outright.

mod bounds;
pub mod can;
pub mod csv;
pub mod fit;
mod fixes;
pub mod gpx;
pub mod igc;
pub mod json;
pub mod kml;
mod lines;
pub mod logic;
mod marks;
pub mod nmea;
pub mod recording;
pub mod run;
mod signs;
pub mod sniff;
pub mod subtitles;
mod tally;
pub mod tcx;
mod text;
mod time;
mod units;
pub mod vcd;
pub mod wav;
mod xml;

use crate::problem::Problem;
pub use fixes::Fixes;
pub use marks::{MarkedGap, MarkedHold, MarkedNote, MarkedOdometer, Marks};
use metrology::quantity::{Angle, Duration, Frequency, Instant, Length, Speed};
use text::Decoder;

/// One byte of zero in so many is still damage in a text; binary data have far more. A judgement.
const ZEROS_OF_TEXT: usize = 8;

/// One fix of a track; whatever the log did not say is `None`.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Fix {
    /// Line of the log, counted from 1 (element start for XML); 0 when unknown.
    pub line: usize,
    /// When, on the log's own clock.
    pub time: Option<Instant>,
    /// Latitude, north positive, -90 to 90 degrees.
    pub latitude: Option<Angle>,
    /// Longitude, east positive.
    pub longitude: Option<Angle>,
    /// Height.
    pub elevation: Option<Length>,
    /// Speed over ground as the receiver reported it.
    pub speed: Option<Speed>,
    /// Direction of travel, clockwise from true north.
    pub course: Option<Angle>,
    /// Horizontal dilution of precision.
    pub hdop: Option<f64>,
    /// Starts a new segment: nothing is known between this fix and the one before.
    pub starts_segment: bool,
}

/// What the times of a log are counted from.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Clock {
    /// No time was found at all.
    #[default]
    None,
    /// Seconds since some start of its own.
    Elapsed,
    /// Seconds since 1970-01-01T00:00:00Z.
    Absolute,
}

/// A log of where and how fast, taken as the truth channel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Track {
    /// The fixes in file order, as read.
    pub fixes: Fixes,
    /// What the times are counted from.
    pub clock: Clock,
    /// What a passenger marked while it was recorded.
    pub marks: Marks,
}

impl Track {
    /// With the clock of a format whose times, where there are any, carry their date.
    fn with_dates(self) -> Track {
        let timed = self.fixes.iter().any(|fix| fix.time.is_some());
        Track { clock: if timed { Clock::Absolute } else { Clock::None }, ..self }
    }
}

/// One sample of the vehicle's own speed.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Sample {
    /// Line of the log, counted from 1.
    pub line: usize,
    /// When, on the log's own clock.
    pub time: Instant,
    /// Speed as the vehicle indicated it.
    pub speed: Speed,
}

/// One reading of a counter or shaft.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Reading<Q> {
    /// Line of the log, counted from 1.
    pub line: usize,
    /// When, on the log's own clock.
    pub time: Instant,
    /// What it read.
    pub value: Q,
}

/// Readings of one counter or shaft, in file order.
#[derive(Clone, Debug, PartialEq)]
pub struct Series<Q> {
    /// What it is, and which control unit said it.
    pub label: String,
    /// The step of its values.
    pub step: Q,
    /// The readings.
    pub readings: Vec<Reading<Q>>,
}

/// A log of what the vehicle itself indicated.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VehicleLog {
    /// What the log is called in problems; empty where nobody named it.
    pub source: String,
    /// The samples in file order, as read.
    pub samples: Vec<Sample>,
    /// What the times are counted from.
    pub clock: Clock,
    /// The step of the indicated value, where the values lie on one (1 km/h for many logs).
    pub step: Option<Speed>,
    /// Usual (median) span between samples, where known.
    pub interval: Option<Duration>,
    /// Distance counters, where the log has them.
    pub distances: Vec<Series<Length>>,
    /// Turns of the transmission's output shaft, where the log has them.
    pub shaft_speeds: Vec<Series<Frequency>>,
}

/// What the encoding of an input gives reason to say.
fn encoding_problems(decoder: &Decoder, source: &str) -> Vec<Problem> {
    let not_utf8 = (decoder.bad_bytes > 0).then(|| {
        let found = format!("{} bytes that are not", decoder.bad_bytes);
        Problem::note(source, "text in UTF-8", found).hint("they were taken as Latin-1; names may look odd")
    });
    not_utf8.into_iter().chain(zeros_problem(decoder, source)).collect()
}

/// What zeros in a text give reason to say.
fn zeros_problem(decoder: &Decoder, source: &str) -> Option<Problem> {
    let hint =
        "left out; recorders that lose their power leave such, and what stood beside them may be missing";
    let found = format!("{} of them", decoder.zero_bytes);
    let problem = Problem::warning(source, "text without bytes of zero", found).hint(hint);
    (decoder.zero_bytes > 0).then_some(problem)
}

/// Whether the beginning of a file has more zeros than damage leaves in a text; UTF-16 is half zeros and is text.
fn has_zeros_of_binary(head: &[u8]) -> bool {
    let zeros = memchr::memchr_iter(0, head).count();
    zeros * ZEROS_OF_TEXT > head.len() && !text::is_utf16(head)
}
