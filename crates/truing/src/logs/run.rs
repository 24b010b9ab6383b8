//! A drive recorded with marks, as JSON Lines: one record a line, its kind under `run`. The format is described in
//! `docs/recording.md`; GPX with the same marks in its extensions says the same.
//!
//! Source: RFC 8259 (JSON), read by `serde_json`. A line that is cut short, as the last one may be, leaves all before it.

use super::lines::Lines;
use super::marks::{Marking, RawMark};
use super::tally::{Kind, Tally};
use super::{Fix, Track, bounds, encoding_problems, time};
use crate::problem::{Problem, Severity};
use metrology::quantity::{Angle, Instant, Length, Speed};
use serde::Deserialize;

/// What the first line of a file begins with.
pub(crate) const BEGINS: &str = "{\"run\":";
/// The version of the format that is read.
const VERSION: u64 = 1;

/// Whether a file that begins so is such a drive.
pub fn begins(head: &[u8]) -> bool {
    head.starts_with(BEGINS.as_bytes())
}

/// Whether a line is a record of a run; the first one says that it starts, by which its file is known.
pub fn is_record(line: &str, is_first: bool) -> bool {
    let starts = |record: &Record| record.run == "start" && line.starts_with(BEGINS);
    let read = serde_json::from_str::<Record>(line);
    read.is_ok_and(|record| if is_first { starts(&record) } else { !record.run.is_empty() })
}

/// One line.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Record {
    run: String,
    version: Option<u64>,
    time: Option<String>,
    delivered: Option<f64>,
    latitude: Option<f64>,
    longitude: Option<f64>,
    accuracy_m: Option<f64>,
    height_m: Option<f64>,
    speed_m_per_s: Option<f64>,
    course_deg: Option<f64>,
    shown: Option<String>,
    at: Option<Moment>,
    start: Option<Moment>,
    end: Option<Moment>,
    reason: Option<String>,
    text: Option<String>,
}

/// A moment: a calendar time, or seconds of the device's clock.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Moment {
    Device(f64),
    Text(String),
}

impl Moment {
    fn text(&self) -> String {
        match self {
            Moment::Device(seconds) => seconds.to_string(),
            Moment::Text(text) => text.clone(),
        }
    }
}

/// A push parser of one such file.
#[derive(Debug)]
pub struct RunReader {
    source: String,
    lines: Lines,
    records: Records,
}

#[derive(Debug, Default)]
struct Records {
    track: Track,
    marking: Marking,
    tally: Tally,
    segment_starts: bool,
    newer: Option<u64>,
}

impl RunReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        let records = Records { segment_starts: true, ..Records::default() };
        Self { source: source.into(), lines: Lines::default(), records }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { lines, records, .. } = self;
        lines.feed(bytes, |line| records.take(line.number, line.text));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        let Self { source, lines, records } = &mut self;
        lines.finish(|line| records.take(line.number, line.text));
        let mut problems = encoding_problems(&lines.blocks.decoder, source);
        let Records { mut track, marking, tally, newer, .. } = self.records;
        if let Some(version) = newer {
            let found = format!("version {version}");
            let problem = Problem::warning(&self.source, "version 1 of the format", found);
            problems.push(problem.hint("what this version knows was read; a newer program may know more"));
        }
        problems.extend(tally.into_problems(&self.source));
        track.marks = marking.finish(&self.source, &mut track.fixes, &mut problems);
        (track.with_dates(), problems)
    }
}

impl Records {
    fn take(&mut self, line: usize, text: &[u8]) {
        let Ok(record) = serde_json::from_slice::<Record>(text) else {
            return self.wrong(line, "a record of the run in each line", "left out; the others were read");
        };
        match record.run.as_str() {
            "start" => self.newer = record.version.filter(|version| *version > VERSION),
            "segment" => self.segment_starts = true,
            "fix" => self.fix(line, &record),
            _ => self.mark(line, &record),
        }
    }

    fn wrong(&mut self, line: usize, expected: &'static str, hint: &'static str) {
        let kind = Kind { severity: Severity::Warning, part: "run", expected, hint };
        self.tally.count(kind, line, || "something else".into());
    }

    fn fix(&mut self, line: usize, record: &Record) {
        if !self.marking.is_precise(record.accuracy_m) {
            return;
        }
        let when = record.time.as_deref().and_then(time::calendar_time);
        if record.time.is_some() && when.is_none() {
            self.wrong(line, "a time such as 2024-05-24T11:50:21Z", "the fix was kept without a time");
        }
        let within = |value: Option<f64>, fits: &dyn Fn(f64) -> bool| value.filter(|value| fits(*value));
        let degrees = |limit: f64| move |degrees: f64| degrees.abs() <= limit;
        let fix = Fix {
            line,
            time: when.map(|when| Instant::from_s(when.unix_s)),
            latitude: within(record.latitude, &degrees(bounds::LATITUDE_DEG)).map(Angle::from_deg),
            longitude: within(record.longitude, &degrees(bounds::LONGITUDE_DEG)).map(Angle::from_deg),
            elevation: within(record.height_m, &bounds::is_elevation).map(Length::from_m),
            speed: within(record.speed_m_per_s, &bounds::is_speed).map(Speed::from_m_per_s),
            course: within(record.course_deg, &bounds::is_course).map(Angle::from_deg),
            hdop: None,
            starts_segment: core::mem::take(&mut self.segment_starts),
        };
        self.marking.fix(self.track.fixes.len(), fix.time, record.delivered);
        self.track.fixes.push(fix);
    }

    fn mark(&mut self, line: usize, record: &Record) {
        let moment = |moment: &Option<Moment>| moment.as_ref().map(Moment::text);
        let (at, start, end) = (moment(&record.at), moment(&record.start), moment(&record.end));
        let raw = RawMark {
            kind: &record.run,
            shown: record.shown.as_deref(),
            at: at.as_deref(),
            start: start.as_deref(),
            end: end.as_deref(),
            text: record.text.as_deref().or(record.reason.as_deref()),
        };
        self.marking.mark(line, &raw);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Clock;

    /// Reads lines in chunks of some bytes; the track, and problems as they are printed.
    fn read(lines: &[&str], chunk_bytes: usize) -> (Track, Vec<String>) {
        let mut reader = RunReader::new("run.jsonl");
        lines.join("\n").as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
        let (track, problems) = reader.finish();
        (track, problems.iter().map(ToString::to_string).collect())
    }

    const START: &str = r#"{"run":"start","version":1}"#;
    const FIX: &str = r#"{"run":"fix","time":"2026-05-01T10:00:00Z","delivered":100.25,"latitude":50.5,"longitude":-3.25,"speed_m_per_s":12.5,"accuracy_m":4}"#;
    const NEXT: &str =
        r#"{"run":"fix","time":"2026-05-01T10:00:01Z","delivered":101.25,"latitude":50.5,"longitude":-3.25}"#;

    #[test]
    fn fixes_and_marks_come_on_one_clock() {
        let hold = r#"{"run":"hold","shown":"45 mph","start":101.25,"end":"2026-05-01T10:00:21Z"}"#;
        let turned = r#"{"run":"odometer","shown":"412.7 mi","at":100.25}"#;
        let gap = r#"{"run":"gap","reason":"screen-locked","start":100.25,"end":101.25}"#;
        let note = r#"{"run":"note","text":"gravel","at":100.25}"#;
        for chunk_bytes in [7, 1 << 16] {
            let (track, told) = read(&[START, FIX, hold, turned, gap, note, NEXT], chunk_bytes);
            assert_eq!((told, track.fixes.len(), track.clock), (Vec::new(), 2, Clock::Absolute));
            let first_s = track.fixes.get(0).unwrap().time.unwrap().s();
            let held = track.marks.holds[0];
            assert!((held.shown.mi_per_h() - 45.0).abs() < 1e-12);
            assert_eq!((held.start.s() - first_s, held.end.s() - first_s), (1.0, 21.0));
            let odometer = track.marks.odometer[0];
            assert!((odometer.shown.value.mi() - 412.7).abs() < 1e-9 && odometer.at.s() == first_s);
            assert_eq!(track.marks.gaps[0].reason, "screen-locked");
            assert_eq!(track.marks.notes[0].text, "gravel");
        }
    }

    fn check(lines: &[&str], fixes: usize, expected: &[&str]) {
        let (track, told) = read(lines, 1 << 16);
        assert_eq!((track.fixes.len(), told.len()), (fixes, expected.len()), "{told:?}");
        for (told, expected) in told.iter().zip(expected) {
            assert!(told.contains(expected), "{told} should hold {expected}");
        }
    }

    #[test]
    fn what_is_no_record_is_told_and_leaves_the_rest() {
        let stale =
            r#"{"run":"fix","time":"2026-05-01T09:00:00Z","delivered":99.5,"latitude":50,"longitude":-3}"#;
        let coarse = r#"{"run":"fix","time":"2026-05-01T10:00:00Z","delivered":100.5,"latitude":50,"longitude":-3,"accuracy_m":1500}"#;
        check(&[START, FIX, NEXT], 2, &[]);
        check(&[START, FIX, "{\"run\":\"fix\",\"ti"], 1, &["a record of the run"]);
        check(&[START, stale, FIX, NEXT], 2, &["1 from before, kept by the device"]);
        check(&[START, coarse, FIX, NEXT], 2, &["less sure than 100 m"]);
        check(&[r#"{"run":"start","version":2}"#, FIX], 1, &["version 2"]);
        check(&[START, FIX, r#"{"run":"hold","shown":"45","start":1,"end":2}"#], 1, &["a speed shown"]);
        check(&[START, FIX, r#"{"run":"odometer","shown":"412.7 mi"}"#], 1, &["at which it turned"]);
        check(&[START, FIX, r#"{"run":"bell"}"#], 1, &["hold, odometer, gap and note"]);
        let without = r#"{"run":"fix","time":"2026-05-01T10:00:00Z","latitude":50.5,"longitude":-3.25}"#;
        check(
            &[START, without, r#"{"run":"odometer","shown":"1 mi","at":5}"#],
            1,
            &["no fix that carries it"],
        );
    }

    #[test]
    fn one_line_is_known_for_a_record() {
        let check = |line, is_first, expected| assert_eq!(is_record(line, is_first), expected, "{line}");
        check(START, true, true);
        check(FIX, true, false);
        check(r#"{"version":1,"run":"start"}"#, true, false);
        check(FIX, false, true);
        check("{}", false, false);
        check("[1]", false, false);
        check(r#"{"run":"fix","time":5}"#, false, false);
        check("{\"run\":\"fix\"", false, false);
    }

    #[test]
    fn more_marks_than_a_hand_makes_are_left_out() {
        let turned = |at| format!(r#"{{"run":"odometer","shown":"1 mi","at":{at}}}"#);
        let marks: Vec<String> = (0..1002).map(turned).collect();
        let lines: Vec<&str> = [START, FIX].into_iter().chain(marks.iter().map(String::as_str)).collect();
        let (track, told) = read(&lines, 1 << 16);
        assert_eq!((track.marks.odometer.len(), told.len()), (1000, 1), "{told:?}");
        assert!(told[0].contains("2 that are not"), "{told:?}");
    }

    #[test]
    fn the_segment_of_a_fix_that_is_left_out_begins_with_the_next() {
        let stale =
            r#"{"run":"fix","time":"2026-05-01T09:00:00Z","delivered":99.5,"latitude":50,"longitude":-3}"#;
        let (track, _) = read(&[START, stale, FIX, NEXT, r#"{"run":"segment"}"#, NEXT], 1 << 16);
        let starts: Vec<bool> = track.fixes.iter().map(|fix| fix.starts_segment).collect();
        assert_eq!(starts, [true, false, true]);
    }
}
