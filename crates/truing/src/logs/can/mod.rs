//! CAN logs, fed in chunks of any size: the text of candump, ASC, TRC, and tables of frames (`dialect`).
//!
//! Understood of candump are the log shape (`(1735270496.916858) can0 110#00112233`, FD frames with `##`, remote frames `#R`, a
//! direction at the end) and the console shape with times (` (0.916858)  can0  110   [4]  00 11 22 33`). Read from it:
//!
//! | what | from |
//! |---|---|
//! | speed, whole km/h | OBD-II answers to 0D, single or many frames |
//! | odometer, 0.1 km | OBD-II answers to A6 |
//! | wheel-based speed, tachograph speed, 1/256 km/h | J1939 SPN 84, 1624 |
//! | total and trip distance | J1939 SPN 917, 918 (5 m), 245, 244 (0.125 km) |
//! | output shaft, 0.125 /min | J1939 SPN 191 |
//! | anything else | one [`CanSignal`] that the user describes, or picks from a DBC file ([`dbc`]) |
//!
//! "Not available" and "error" are no values: they are dropped and counted. Of several speeds one is taken, and which
//! one is said: the signal the user chose, then SPN 84, then 0D, then SPN 1624; between senders the one that said most.
//!
//! Sources: SAE J1939-71 and SAE J1979 as several public decoders agree; the text shape has no formal description.
//!
//! ```
//! use truing::logs::can::{CanOptions, CanReader};
//! let mut reader = CanReader::new("bus.log", CanOptions::default());
//! reader.feed(b"(1735270496.916858) can0 18FEF100#FF0064FFFFFFFFFF\n");
//! let (log, _) = reader.finish();
//! assert_eq!(log.samples[0].speed.km_per_h(), 100.0);
//! ```

mod asc;
mod bits;
mod channels;
pub mod dbc;
mod decode;
mod dialect;
mod frame;
mod obd;
mod signal;
mod table;
mod trc;

use super::lines::Lines;
use super::tally::{Kind, Tally};
use super::{Clock, VehicleLog};
use crate::problem::{Problem, Severity};
use channels::Channels;
use decode::Decoder;
use dialect::Dialect;
use frame::{Frame, Stamp};
pub use signal::CanSignal;

/// Seconds of the year 1979 since 1970: less is elapsed time.
const EARLIEST_DATE_S: f64 = 3e8;
/// Share of steps back in time from which on the times are spans between frames and no times; a judgement.
const SPANS_SHARE: f64 = 0.25;
/// A logger may put some lines of its own before the first frame.
const LINES_LOOKED_AT: usize = 30;
/// Fewer frames than this tell nothing about it.
const FRAMES_TO_TELL: usize = 20;

/// What to look for in a CAN log beside what the standards say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CanOptions {
    /// A signal of the vehicle's own.
    pub signal: Option<CanSignal>,
}

/// A push parser for one CAN log; memory is bounded by one line beside the readings themselves.
#[derive(Debug)]
pub struct CanReader {
    source: String,
    lines: Lines,
    bus: Bus,
}

#[derive(Debug, Default)]
struct Bus {
    dialect: Dialect,
    decoder: Decoder,
    channels: Channels,
    tally: Tally,
    /// What a table of frames counted by itself.
    tallies: Vec<Tally>,
    clock: Clock,
    frames: usize,
    last_s: f64,
    times: usize,
    steps_back: usize,
}

impl CanReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>, options: CanOptions) -> Self {
        let bus = Bus { decoder: Decoder::new(options), ..Bus::default() };
        Self { source: source.into(), lines: Lines::default(), bus }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { lines, bus, .. } = self;
        lines.feed(bytes, |line| bus.line(line.number, line.text));
    }

    /// What was understood, and what was not. Speeds in the order of the log; distances beside them.
    pub fn finish(mut self) -> (VehicleLog, Vec<Problem>) {
        let Self { lines, bus, .. } = &mut self;
        lines.finish(|line| bus.line(line.number, line.text));
        bus.end();
        let Self { source, bus, lines } = self;
        let tallies = core::iter::once(bus.tally).chain(bus.tallies);
        let mut problems: Vec<Problem> = tallies.flat_map(|tally| tally.into_problems(&source)).collect();
        problems.extend(super::zeros_problem(&lines.blocks.decoder, &source));
        let spans = bus.times >= FRAMES_TO_TELL && bus.steps_back as f64 > SPANS_SHARE * bus.times as f64;
        if spans {
            let found = format!("{} of {} steps back in time", bus.steps_back, bus.times);
            let problem = Problem::error(&source, "times that go on", found);
            problems.push(problem.hint("these look like spans between frames; record with absolute times"));
            return (VehicleLog::default(), problems);
        }
        let log = bus.channels.finish(&source, bus.clock, bus.frames, &mut problems);
        (log, problems)
    }
}

impl Bus {
    fn line(&mut self, line: usize, text: &[u8]) {
        if matches!(self.dialect, Dialect::Candump) {
            return self.found(line, Frame::new(text));
        }
        let mut dialect = core::mem::take(&mut self.dialect);
        dialect.line(line, text, self);
        self.dialect = dialect;
    }

    /// What still waits in a log whose first rows are looked at together.
    fn end(&mut self) {
        let mut dialect = core::mem::take(&mut self.dialect);
        dialect.end(self);
    }

    /// Takes what a line was found to be.
    #[inline]
    fn found(&mut self, line: usize, found: Result<Frame<'_>, frame::Refusal>) {
        match found {
            Ok(frame) => {
                self.frames += 1;
                if self.decoder.wants(&frame) {
                    self.frame(line, &frame);
                }
            }
            Err(frame::Refusal::NoFrame) => {}
            Err(frame::Refusal::Damaged) => {
                self.count(line, Severity::Warning, "whole frames", "damaged ones")
            }
        }
    }

    fn frame(&mut self, line: usize, frame: &Frame<'_>) {
        let Some(time_s) = self.time_s(line, frame) else { return };
        let Some(data) = frame.data() else {
            return self.count(line, Severity::Warning, "whole frames", "damaged ones");
        };
        let Self { decoder, channels, tally, .. } = self;
        decoder.decode(frame, line, time_s, data.bytes(), channels, &mut |trouble| {
            tally.count(trouble.kind(), line, || trouble.found().to_owned());
        });
    }

    fn time_s(&mut self, line: usize, frame: &Frame<'_>) -> Option<f64> {
        let seconds = match frame.stamp() {
            Stamp::Seconds(seconds) => seconds,
            Stamp::Calendar(time) => {
                if !time.zone_said {
                    self.count_zone(line);
                }
                time.unix_s
            }
            Stamp::None => {
                self.count(line, Severity::Error, "a time before each frame", "none");
                return None;
            }
            Stamp::Unreadable => {
                self.count(line, Severity::Warning, "times such as (1735270496.916858)", "others");
                return None;
            }
        };
        self.steps_back += usize::from(seconds < self.last_s && self.times > 0);
        self.times += 1;
        self.last_s = seconds;
        if self.clock == Clock::None {
            self.clock = if seconds >= EARLIEST_DATE_S { Clock::Absolute } else { Clock::Elapsed };
        }
        Some(seconds)
    }

    fn count_zone(&mut self, line: usize) {
        self.count(line, Severity::Note, "times with their zone", "times without; taken as UTC");
    }

    fn count(&mut self, line: usize, severity: Severity, expected: &'static str, found: &'static str) {
        let hint = match severity {
            Severity::Error => "record with times",
            Severity::Warning => "they were left out",
            Severity::Note => "",
        };
        self.tally.count(Kind { severity, part: "frame", expected, hint }, line, || found.to_owned());
    }
}

/// Whether a file that begins so is a CAN log, whatever stands in its frames.
pub fn begins_with_frames(head: &[u8]) -> bool {
    let head = core::str::from_utf8(head)
        .unwrap_or_else(|error| core::str::from_utf8(&head[..error.valid_up_to()]).unwrap_or_default());
    begins(head)
}

/// The same for text.
pub(super) fn begins(head: &str) -> bool {
    head.lines().take(LINES_LOOKED_AT).any(|line| Dialect::new(line.as_bytes()).is_some())
}

#[cfg(test)]
mod dialect_tests;
#[cfg(test)]
mod tests;
