//! Flight recorders' logs (IGC), fed in chunks of any size: the position once a second or so, without speeds.
//!
//! Read are the date (`HFDTE`), the additions to fixes (`I`) and the fixes (`B`). Of the additions those count that make times
//! and positions finer: TDS, LAD and LOD. Fixes marked as not three-dimensional are left out, counted. Midnight is passed
//! where the time of day falls back by more than half a day; without a date, times count from midnight.
//!
//! Source: the international federation's technical specification for such recorders, appendix A (from memory).

use super::lines::Lines;
use super::tally::{Kind, Tally};
use super::time::days_since_1970;
use super::{Clock, Fix, Track, bounds};
use crate::problem::{Problem, Severity};
use metrology::quantity::{Angle, Instant, Length};

const DAY_S: f64 = 86_400.0;
/// Length of a fix without additions.
const FIX_BYTES: usize = 35;

/// A push parser for one IGC file; memory is bounded by one line beside the fixes themselves.
#[derive(Debug)]
pub struct IgcReader {
    source: String,
    lines: Lines,
    log: Log,
}

#[derive(Debug, Default)]
struct Log {
    track: Track,
    /// Seconds of the midnight that times count from, since 1970 where the date is known.
    midnight_s: f64,
    dated: bool,
    last_s: f64,
    additions: [Option<Place>; 3],
    tally: Tally,
}

/// First and last column of an addition, counted from 1 as the format does.
type Place = (usize, usize);

/// The additions that are read: fractions of a second, and of a thousandth of a minute of latitude and longitude.
const ADDITIONS: [&[u8]; 3] = [b"TDS", b"LAD", b"LOD"];

impl IgcReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self { source: source.into(), lines: Lines::default(), log: Log::default() }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { lines, log, .. } = self;
        lines.feed(bytes, |line| log.line(line.number, line.text));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        let Self { lines, log, .. } = &mut self;
        lines.finish(|line| log.line(line.number, line.text));
        let mut problems = super::encoding_problems(&self.lines.blocks.decoder, &self.source);
        let mut log = self.log;
        if !log.dated && !log.track.fixes.is_empty() {
            let note = Problem::note(&self.source, "the date of the log (HFDTE)", "none");
            problems.push(note.hint("times count from midnight of the first day"));
        }
        problems.extend(log.tally.into_problems(&self.source));
        log.track.clock = match (log.track.fixes.is_empty(), log.dated) {
            (true, _) => Clock::None,
            (false, true) => Clock::Absolute,
            (false, false) => Clock::Elapsed,
        };
        (log.track, problems)
    }
}

impl Log {
    fn line(&mut self, line: usize, text: &[u8]) {
        match text.first() {
            Some(b'H') => self.date(text),
            Some(b'I') => self.additions(text),
            Some(b'B') => match fix(text, self.additions) {
                Some(fix) => self.fix(line, fix),
                None => self.count(line, "whole fixes", "a damaged one"),
            },
            _ => {}
        }
    }

    /// `HFDTE240519` or `HFDTEDATE:240519,01`.
    fn date(&mut self, text: &[u8]) {
        let Some(rest) = text.strip_prefix(b"HFDTE") else { return };
        let rest = rest.strip_prefix(b"DATE:").unwrap_or(rest).trim_ascii_start();
        let two = |at: usize| number(rest.get(at..at + 2)?);
        let (Some(day), Some(month), Some(year)) = (two(0), two(2), two(4)) else { return };
        if self.dated || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
            return;
        }
        // Years of two digits: no log of this kind is older than 1980.
        let year = if year >= 80 { 1900 + year } else { 2000 + year };
        let midnight_s = days_since_1970(year as i64, month as i64, day as i64) as f64 * DAY_S;
        self.track.fixes.later_by(midnight_s);
        (self.midnight_s, self.dated) = (self.midnight_s + midnight_s, true);
        self.last_s += midnight_s;
    }

    /// `I023638FXA3940SIU`: how many, then first and last column with a name for each.
    fn additions(&mut self, text: &[u8]) {
        for addition in text.get(3..).unwrap_or_default().as_chunks::<7>().0 {
            let place = number(&addition[..2]).zip(number(&addition[2..4]));
            let known = ADDITIONS.iter().position(|name| *name == &addition[4..]);
            if let (Some((first, last)), Some(index)) = (place, known) {
                let sound = first > FIX_BYTES as u64 && first <= last;
                self.additions[index] = sound.then_some((first as usize, last as usize));
            }
        }
    }

    fn fix(&mut self, line: usize, read: Read) {
        if !read.sound {
            return self.count(line, "fixes in three dimensions (A)", "others (V)");
        }
        if self.midnight_s + read.time_s < self.last_s - DAY_S / 2.0 {
            self.midnight_s += DAY_S;
        }
        self.last_s = self.midnight_s + read.time_s;
        self.track.fixes.push(Fix {
            line,
            time: Some(Instant::from_s(self.last_s)),
            latitude: Some(Angle::from_deg(read.latitude)),
            longitude: Some(Angle::from_deg(read.longitude)),
            elevation: read.height.filter(|height| bounds::is_elevation(*height)).map(Length::from_m),
            starts_segment: self.track.fixes.is_empty(),
            ..Fix::default()
        });
    }

    fn count(&mut self, line: usize, expected: &'static str, found: &'static str) {
        let (severity, part, hint) = (Severity::Warning, "fix", "they were left out");
        self.tally.count(Kind { severity, part, expected, hint }, line, || found.to_owned());
    }
}

/// A fix as it stands in its line.
#[derive(Copy, Clone, Debug, PartialEq)]
struct Read {
    time_s: f64,
    latitude: f64,
    longitude: f64,
    height: Option<f64>,
    sound: bool,
}

/// `B1150214815038N01130000EA0051900520`: time, latitude, longitude, validity, pressure height, height.
fn fix(text: &[u8], additions: [Option<Place>; 3]) -> Option<Read> {
    let part = |from: usize, to: usize| number(text.get(from..to)?);
    let more = |index: usize| {
        let digits = additions[index].and_then(|(first, last)| text.get(first - 1..last));
        digits
            .and_then(|digits| Some(number(digits)? as f64 / 10f64.powi(digits.len() as i32)))
            .unwrap_or(0.0)
    };
    let (hours, minutes, seconds) = (part(1, 3)?, part(3, 5)?, part(5, 7)?);
    let angle =
        |degrees: u64, thousandths: u64, more: f64| degrees as f64 + (thousandths as f64 + more) / 60_000.0;
    let side = |at: usize, positive: u8, negative: u8| match text.get(at)? {
        sign if *sign == positive => Some(1.0),
        sign if *sign == negative => Some(-1.0),
        _ => None,
    };
    let latitude = side(14, b'N', b'S')? * angle(part(7, 9)?, part(9, 14)?, more(1));
    let longitude = side(23, b'E', b'W')? * angle(part(15, 18)?, part(18, 23)?, more(2));
    let height = text.get(30..35).and_then(|digits| match digits {
        [b'-', rest @ ..] => number(rest).map(|height| -(height as f64)),
        digits => number(digits).map(|height| height as f64),
    });
    let sound = match text.get(24)? {
        b'A' => true,
        b'V' => false,
        _ => return None,
    };
    let possible = hours < 24
        && minutes < 60
        && seconds < 61
        && latitude.abs() <= bounds::LATITUDE_DEG
        && longitude.abs() <= bounds::LONGITUDE_DEG;
    let time_s = (hours * 3600 + minutes * 60 + seconds) as f64 + more(0);
    possible.then_some(Read { time_s, latitude, longitude, height, sound })
}

/// A number of digits alone, at most twelve of them.
fn number(digits: &[u8]) -> Option<u64> {
    if digits.is_empty() || digits.len() > 12 {
        return None;
    }
    digits.iter().try_fold(0, |sum, sign| sign.is_ascii_digit().then(|| 10 * sum + u64::from(sign - b'0')))
}

/// Whether a line is one that only such a log has near its beginning.
pub(super) fn is_date(line: &str) -> bool {
    let rest = line.strip_prefix("HFDTE").map(|rest| rest.strip_prefix("DATE:").unwrap_or(rest).trim_start());
    rest.is_some_and(|rest| rest.len() >= 6 && rest.bytes().take(6).all(|sign| sign.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str, chunk_bytes: usize) -> (Track, Vec<String>) {
        let mut reader = IgcReader::new("log.igc");
        text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
        let (track, problems) = reader.finish();
        (track, problems.iter().map(Problem::to_string).collect())
    }

    fn check(text: &str, fixes: usize, told: &[&str]) -> Vec<Fix> {
        let (track, problems) = read(text, 11);
        assert_eq!((track.fixes.len(), problems.len()), (fixes, told.len()), "{text}: {problems:?}");
        assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
        track.fixes.iter().collect()
    }

    #[test]
    fn fixes() {
        let text = "AABC001\r\nHFDTE240519\r\nB1150214815000N01130000EA0051900520\r\nB1150224815600S01130000WA0051900521\r\n";
        let fixes = check(text, 2, &[]);
        // 1558698621 by `date -u -d 2019-05-24T11:50:21Z +%s`; 15.000 minutes are a quarter of a degree, 15.6 are 0.26.
        assert_eq!(fixes[0].time.unwrap().s(), 1_558_698_621.0);
        assert_eq!((fixes[0].latitude.unwrap().deg(), fixes[0].elevation.unwrap().m()), (48.25, 520.0));
        assert!((fixes[1].latitude.unwrap().deg() + 48.26).abs() < 1e-9);
        assert!((fixes[1].longitude.unwrap().deg() + 11.5).abs() < 1e-9);
        let long = text.replace("HFDTE240519", "HFDTEDATE:240519,01");
        assert_eq!(read(&long, 3), read(text, 1 << 20));
    }

    #[test]
    fn additions_make_it_finer() {
        let text = "HFDTE240519\nI033636LAD3737LOD3839TDS\nB1150214815000N01130000EA00519005206325\n";
        let fixes = check(text, 1, &[]);
        assert!((fixes[0].time.unwrap().s() - 1_558_698_621.25).abs() < 1e-6);
        assert!((fixes[0].latitude.unwrap().deg() - (48.0 + 15.0006 / 60.0)).abs() < 1e-12);
        assert!((fixes[0].longitude.unwrap().deg() - (11.0 + 30.0003 / 60.0)).abs() < 1e-12);
    }

    #[test]
    fn midnight_and_missing_dates() {
        let night = "B2359594815000N01130000EA0051900520\nB0000014815000N01130000EA0051900520\n";
        let fixes = check(night, 2, &["the date of the log"]);
        assert_eq!(fixes[1].time.unwrap().since(fixes[0].time.unwrap()).s(), 2.0);
        let late = check(&format!("{night}HFDTE240519\n{night}"), 4, &[]);
        assert_eq!(late[0].time.unwrap().s(), 1_558_698_621.0 - 42_621.0 + 86_399.0);
    }

    #[test]
    fn damaged_lines() {
        let good = "B1150214815000N01130000EA0051900520\n";
        let bad = [
            "B11502148",
            "B1150214899000N99930000EA0051900520",
            "B2550214815000N01130000EA0051900520",
            "B\u{e9}\u{e9}",
        ];
        check(
            &format!("HFDTE240519\n{good}{}\n", bad.join("\n")),
            1,
            &["whole fixes; found a damaged one (4 times"],
        );
        check(&format!("HFDTE240519\n{}", good.replace("EA", "EV")), 0, &["fixes in three dimensions"]);
        check("HFDTE999999\nI99\nI0136\nI013699TDS\n", 0, &[]);
    }

    proptest! {
        #[test]
        fn any_lines(lines in proptest::collection::vec("[BHI][A-Z0-9]{0,45}", 0..20), chunk_bytes in 1usize..40) {
            let text = lines.join("\n");
            prop_assert_eq!(read(&text, chunk_bytes), read(&text, 1 << 20));
        }
    }
}
