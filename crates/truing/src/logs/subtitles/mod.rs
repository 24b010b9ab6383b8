//! Subtitles of drive cameras (SRT, WebVTT), fed in chunks of any size: position, speed and time out of free text.
//!
//! Each cue is a fix. What its text says is looked for in several spellings (`words`); what is not there stays unknown. Times
//! are those of the text where it has a date, made finer by the times of the cues within a second; else those of the cues,
//! which count from the start of the film. A speed counts only with its unit.
//!
//! Source: WebVTT (W3C) for cues; SRT and what cameras write into it have no formal description.

mod words;

use super::lines::Lines;
use super::tally::{Kind, Tally};
use super::{Clock, Fix, Track, bounds};
use crate::problem::{Problem, Severity};
use metrology::quantity::{Angle, Instant, Speed};
use words::Said;

/// Longest text of a cue that is looked at, in bytes.
const LONGEST_TEXT_BYTES: usize = 1 << 12;

/// A push parser for one file of subtitles; memory is bounded by one cue beside the fixes themselves.
#[derive(Debug)]
pub struct SubtitleReader {
    source: String,
    lines: Lines,
    cues: Cues,
}

#[derive(Debug, Default)]
struct Cues {
    track: Track,
    tally: Tally,
    /// Line, start (s) and text of the cue that is open.
    open: Option<(usize, f64, String)>,
    cues: usize,
    /// Time of a text (s), and the start of the first cue that said it.
    anchor: Option<(f64, f64)>,
}

impl SubtitleReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self { source: source.into(), lines: Lines::default(), cues: Cues::default() }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { lines, cues, .. } = self;
        lines.feed(bytes, |line| cues.line(line.number, &String::from_utf8_lossy(line.text)));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        let Self { lines, cues, .. } = &mut self;
        lines.finish(|line| cues.line(line.number, &String::from_utf8_lossy(line.text)));
        cues.end_cue();
        let mut problems = super::encoding_problems(&self.lines.blocks.decoder, &self.source);
        let Cues { mut track, tally, cues, anchor, .. } = self.cues;
        problems.extend(tally.into_problems(&self.source));
        if track.fixes.is_empty() {
            let found = format!("{cues} cues without one");
            let problem = Problem::warning(&self.source, "cues with a position or a speed", found);
            problems.push(
                problem.hint("these may be subtitles of speech; export the track of the drive as GPX or CSV"),
            );
        }
        track.clock = match (track.fixes.is_empty(), anchor) {
            (true, _) => Clock::None,
            (false, Some(_)) => Clock::Absolute,
            (false, None) => Clock::Elapsed,
        };
        (track, problems)
    }
}

impl Cues {
    fn line(&mut self, line: usize, text: &str) {
        if let Some(start_s) = cue_start_s(text) {
            self.end_cue();
            self.cues += 1;
            self.open = Some((line, start_s, String::new()));
        } else if let Some((_, _, all)) = &mut self.open
            && all.len() + text.len() <= LONGEST_TEXT_BYTES
            // The number of the next cue.
            && !text.trim().bytes().all(|sign| sign.is_ascii_digit())
        {
            all.push_str(text);
            all.push('\n');
        }
    }

    fn end_cue(&mut self) {
        let Some((line, start_s, text)) = self.open.take() else { return };
        let said = words::read(&text);
        self.tell(line, &said);
        let time_s = self.time_s(start_s, &said);
        let position = said.position.filter(|(latitude, longitude)| {
            latitude.abs() <= bounds::LATITUDE_DEG && longitude.abs() <= bounds::LONGITUDE_DEG
        });
        // Cameras write zeros while they have no fix.
        let position = position.filter(|place| *place != (0.0, 0.0));
        let speed = said.speed_m_per_s.filter(|speed| bounds::is_speed(*speed));
        if position.is_none() && speed.is_none() {
            return;
        }
        self.track.fixes.push(Fix {
            line,
            time: Some(Instant::from_s(time_s)),
            latitude: position.map(|(latitude, _)| Angle::from_deg(latitude)),
            longitude: position.map(|(_, longitude)| Angle::from_deg(longitude)),
            speed: speed.map(Speed::from_m_per_s),
            starts_segment: self.track.fixes.is_empty(),
            ..Fix::default()
        });
    }

    fn tell(&mut self, line: usize, said: &Said) {
        let note = |part, expected, hint| Kind { severity: Severity::Note, part, expected, hint };
        if said.speed_without_unit {
            let kind = note("speed", "the unit of the speed beside it", "these speeds were left out");
            self.tally.count(kind, line, || "none".to_owned());
        }
        if said.unlabelled_pair {
            let hint = "taken as latitude, then longitude; look at the track";
            self.tally.count(note("position", "which number is the latitude", hint), line, || {
                "two numbers".to_owned()
            });
        }
        if said.time.is_some_and(|time| !time.zone_said) {
            let kind = note("time", "a time with its zone, such as Z", "taken as UTC");
            self.tally.count(kind, line, || "times without a zone".to_owned());
        }
    }

    /// The time of a cue: a text says it by the second, the cues between two such texts go on by themselves.
    fn time_s(&mut self, start_s: f64, said: &Said) -> f64 {
        let Some(text_s) = said.time.map(|time| time.unix_s) else {
            return self.anchor.map_or(start_s, |(text_s, from_s)| text_s + start_s - from_s);
        };
        match self.anchor {
            // Within the second that the text says; its fraction is not known to be anything else.
            Some((anchor_s, from_s)) if anchor_s == text_s => text_s + (start_s - from_s).clamp(0.0, 0.999),
            anchor => {
                if anchor.is_none() {
                    self.track.fixes.later_by(text_s - start_s);
                }
                self.anchor = Some((text_s, start_s));
                text_s
            }
        }
    }
}

/// The start of a cue in `00:00:01,500 --> 00:00:02,000`, hours left out where there are none.
pub(super) fn cue_start_s(line: &str) -> Option<f64> {
    let (start, rest) = line.split_once("-->")?;
    rest.trim_start().bytes().next().filter(u8::is_ascii_digit)?;
    let mut sum = 0.0;
    let parts: Vec<&str> = start.trim().split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    for part in parts {
        let value = bounds::number(part.replace(',', ".")).filter(|value| (0.0..1000.0).contains(value))?;
        sum = sum * 60.0 + value;
    }
    Some(sum)
}

#[cfg(test)]
mod tests;
