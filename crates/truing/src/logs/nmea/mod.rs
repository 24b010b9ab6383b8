//! NMEA 0183 sentences as receivers send them and loggers keep them, fed in chunks of any size.
//!
//! Read are RMC, VTG, GGA, GLL, GSA and ZDA of any talker; other sentences are passed over. What stands before the `$`
//! in a line, such as a logger's own time, is passed over too. Where line ends were lost, each `$` begins a sentence: those
//! whose checksum fits are whole.
//!
//! - **One epoch, one fix.** Sentences that carry the same time of day are joined. VTG and GSA carry none: they belong
//!   to the epoch that is open, unless it has such a sentence already; then they are the first of the next one.
//!   Where RMC says the speed, that of VTG is not used, so a doubtful neighbour does no harm.
//! - **Dates** come from RMC and ZDA. Between them the day goes on when the time of day falls back by more than half a
//!   day. Without any date, times count from midnight of the first day, and no date is made up.
//! - **A week counter that has rolled over** puts a date 1024 weeks into the past. A date that old is said; it is only
//!   repaired where the log itself gives both dates.
//! - **Fixes by other means** than satellites (estimated, typed in, simulated) are no truth and are left out, counted.
//!
//! Source: NMEA 0183 as publicly described; a knot is 1852 m/h (BIPM, SI brochure 8, table 8).
//!
//! ```
//! use truing::logs::nmea::NmeaReader;
//! let mut reader = NmeaReader::new("drive.log");
//! reader.feed(b"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230316,003.1,W*60\r\n");
//! let (track, problems) = reader.finish();
//! assert!(problems.is_empty());
//! assert!((track.fixes.get(0).unwrap().speed.unwrap().knots() - 22.4).abs() < 1e-12);
//! ```

mod epoch;
mod sentence;

use super::Track;
use super::lines::{Line, Lines};
use crate::problem::Problem;
use epoch::Epochs;
use sentence::{Refusal, Starts, sentence};

/// Signs that begin a sentence: an ordinary one, and one that wraps another message, which is passed over.
const BEGINS: [u8; 2] = *b"$!";

/// A push parser for one log of sentences; memory is bounded by one line beside the fixes themselves.
#[derive(Debug)]
pub struct NmeaReader {
    source: String,
    lines: Lines,
    log: Log,
}

/// What has been made of the lines so far.
#[derive(Debug, Default)]
struct Log {
    epochs: Epochs,
    checksums_seen: bool,
    damaged: Count,
    without_checksum: Count,
}

/// How often, and on which line first.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
struct Count {
    count: usize,
    first_line: usize,
}

impl Count {
    fn add(&mut self, line: usize) {
        if self.count == 0 {
            self.first_line = line;
        }
        self.count += 1;
    }

    fn problem(self, problem: Problem) -> Option<Problem> {
        (self.count > 0).then(|| problem.at_line(self.first_line))
    }
}

impl NmeaReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self { source: source.into(), lines: Lines::of_records(BEGINS), log: Log::default() }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { lines, log, .. } = self;
        lines.feed(bytes, |line| log.line(line));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        let Self { lines, log, .. } = &mut self;
        lines.finish(|line| log.line(line));
        let mut problems = self.log.problems(&self.source, self.lines.passed_over());
        let track = self.log.epochs.finish(&self.source, &mut problems);
        (track, problems)
    }
}

impl Log {
    fn line(&mut self, Line { number: line, text, runs_on }: Line<'_>) {
        let Some(text) = text.strip_prefix(b"$") else { return };
        match sentence(text, &mut Starts::default()) {
            Ok(sentence) => {
                if sentence.with_checksum {
                    self.checksums_seen = true;
                } else if self.checksums_seen || runs_on {
                    // The log has checksums, or another sentence begins in the same line: one without checksum was cut.
                    return self.damaged.add(line);
                } else {
                    self.without_checksum.add(line);
                }
                self.epochs.take(&sentence, line);
            }
            Err(Refusal::NotOurs) => {}
            Err(Refusal::Damaged) => self.damaged.add(line),
        }
    }

    fn problems(&self, source: &str, lines_passed_over: usize) -> Vec<Problem> {
        let Count { count, .. } = self.damaged;
        let expected = "sentences whose checksum fits";
        let damaged = Problem::warning(source, expected, format!("{count} damaged ones"))
            .hint("they were left out; many of them speak for a bad cable or a wrong baud rate");
        let Count { count: bare, .. } = self.without_checksum;
        let without = Problem::note(source, "sentences with a checksum", format!("{bare} without one"))
            .hint("they were taken as they are");
        let long = Problem::warning(source, "lines of sentences", format!("{lines_passed_over} far longer"))
            .hint("they were passed over");
        let long = (lines_passed_over > 0).then_some(long);
        self.damaged
            .problem(damaged)
            .into_iter()
            .chain(self.without_checksum.problem(without))
            .chain(long)
            .collect()
    }
}

/// Whether a line holds a sentence, as far as its first signs tell.
pub(super) fn is_sentence(line: &str) -> bool {
    let name = |rest: &str| {
        let (name, rest) = rest.split_at_checked(5)?;
        (rest.starts_with(',') && name.bytes().all(|sign| sign.is_ascii_uppercase() || sign.is_ascii_digit()))
            .then_some(())
    };
    line.split('$').skip(1).any(|rest| name(rest).is_some())
}

#[cfg(test)]
mod tests;
