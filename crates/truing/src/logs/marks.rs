//! What was marked by hand while a track was recorded: speeds held, the odometer as it turned, gaps, notes. The format is described
//! in `docs/recording.md`.
//!
//! A device marks by its own steady clock, a receiver stamps its fixes by another. Where fixes carry both, the median of their
//! difference turns the one into the other; it holds the usual delay of a fix as well, which all marks then share.

use super::{Fixes, time};
use crate::problem::Problem;
use metrology::order::quantile;
use metrology::quantity::{Instant, Length, Speed};
use metrology::text::{self, Typed};

/// A fix that was delivered so much later than is usual (s) is one that the device had kept from before.
const STALE_S: f64 = 5.0;
/// A fix less sure than this (m) is no receiver's but a guess from radio masts (judgement).
pub(crate) const COARSE_M: f64 = 100.0;
/// Marks of one drive at most; a hand makes some hundred.
const MOST_MARKS: usize = 1000;
/// What the marks of a file are called in problems.
pub(crate) const MARKS: &str = "marks";

/// What was marked during a recording, each on the clock of its track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marks {
    /// Speeds that the dial showed steadily.
    pub holds: Vec<MarkedHold>,
    /// The odometer at moments at which it turned.
    pub odometer: Vec<MarkedOdometer>,
    /// Stretches of which the device recorded nothing, and knows why.
    pub gaps: Vec<MarkedGap>,
    /// What was noted.
    pub notes: Vec<MarkedNote>,
}

impl Marks {
    /// Whether any of them tells what the truck showed.
    pub fn tell_something(&self) -> bool {
        !self.holds.is_empty() || self.odometer.len() > 1
    }
}

/// A speed that the dial showed steadily.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct MarkedHold {
    /// Line of the file, counted from 1.
    pub line: usize,
    /// What was shown.
    pub shown: Speed,
    /// From here on.
    pub start: Instant,
    /// Up to here.
    pub end: Instant,
}

/// What the odometer showed at the moment at which it turned to it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct MarkedOdometer {
    /// Line of the file, counted from 1.
    pub line: usize,
    /// What it turned to.
    pub shown: Typed<Length>,
    /// When.
    pub at: Instant,
}

/// A stretch of which nothing was recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkedGap {
    /// Why, in a word of the device.
    pub reason: String,
    /// From here on.
    pub start: Instant,
    /// Up to here.
    pub end: Instant,
}

/// A note.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkedNote {
    /// Its words.
    pub text: String,
    /// When.
    pub at: Instant,
}

/// A moment as a file says it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum When {
    /// By the calendar, in seconds since 1970.
    Calendar(f64),
    /// On the steady clock of the device (s).
    Device(f64),
}

impl When {
    /// From text: a calendar time, or seconds of the device's clock.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let device = || super::bounds::number(text).map(When::Device);
        device().or_else(|| time::calendar_time(text).map(|time| When::Calendar(time.unix_s)))
    }
}

/// One mark as its file says it: texts still to be read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct RawMark<'a> {
    pub(crate) kind: &'a str,
    pub(crate) shown: Option<&'a str>,
    pub(crate) at: Option<&'a str>,
    pub(crate) start: Option<&'a str>,
    pub(crate) end: Option<&'a str>,
    pub(crate) text: Option<&'a str>,
}

/// A mark that was understood, before its moments are put on the clock of the track.
#[derive(Clone, Debug, PartialEq)]
enum Pending {
    Hold(usize, Speed, [When; 2]),
    Odometer(usize, Typed<Length>, When),
    Gap(String, [When; 2]),
    Note(String, When),
}

/// Collects marks while a file is read.
#[derive(Clone, Debug, Default)]
pub(crate) struct Marking {
    pending: Vec<Pending>,
    /// Device clock minus calendar of each fix that carries both (s), with the place of the fix.
    delays_s: Vec<(usize, f64)>,
    left_out: Vec<(usize, &'static str)>,
    coarse: usize,
}

impl Marking {
    /// Notes when a fix was delivered. `place` is that of the fix in its track.
    pub(crate) fn fix(&mut self, place: usize, time: Option<Instant>, delivered_s: Option<f64>) {
        if let (Some(time), Some(delivered_s)) = (time, delivered_s) {
            self.delays_s.push((place, delivered_s - time.s()));
        }
    }

    /// Whether a fix is one of a receiver; one that is not is counted.
    pub(crate) fn is_precise(&mut self, accuracy_m: Option<f64>) -> bool {
        let is_coarse = accuracy_m.is_some_and(|accuracy_m| accuracy_m > COARSE_M);
        self.coarse += usize::from(is_coarse);
        !is_coarse
    }

    /// Takes a mark in.
    pub(crate) fn mark(&mut self, line: usize, raw: &RawMark<'_>) {
        if self.pending.len() >= MOST_MARKS {
            return self.left_out.push((line, "no more than 1000 of them"));
        }
        match understood(line, raw) {
            Ok(mark) => self.pending.push(mark),
            Err(expected) => self.left_out.push((line, expected)),
        }
    }

    /// The marks on the clock of the track, without fixes that the device had kept from before.
    pub(crate) fn finish(self, source: &str, fixes: &mut Fixes, problems: &mut Vec<Problem>) -> Marks {
        let mut delays: Vec<f64> = self.delays_s.iter().map(|(_, delay_s)| *delay_s).collect();
        let usual_s = (!delays.is_empty()).then(|| quantile(&mut delays, 0.5));
        if let Some(usual_s) = usual_s {
            let stale = self.delays_s.iter().filter(|(_, delay_s)| delay_s - usual_s > STALE_S);
            leave_out_stale(source, fixes, stale.map(|(place, _)| *place).collect(), problems);
        }
        if self.coarse > 0 {
            let problem =
                Problem::note(source, "fixes of a receiver", format!("{} less sure than 100 m", self.coarse));
            problems.push(problem.hint("left out; allow the precise location where the device asks"));
        }
        let marks = Placing { usual_s }.place(self.pending);
        if let Some((line, expected)) = self.left_out.first() {
            let found = format!("{} that are not", self.left_out.len());
            let problem = Problem::warning(source, format!("marks with {expected}"), found);
            problems.push(problem.at_line(*line).in_part(MARKS).hint("left out; all others were read"));
        }
        marks.unwrap_or_else(|| {
            let found = "marks on the clock of the device, and no fix that carries it";
            let problem = Problem::warning(source, "fixes with the time of the device's clock", found);
            problems.push(problem.in_part(MARKS).hint("the marks were left out; the fixes were read"));
            Marks::default()
        })
    }
}

/// A device may first deliver its last known position, which can be an hour old.
fn leave_out_stale(source: &str, fixes: &mut Fixes, stale: Vec<usize>, problems: &mut Vec<Problem>) {
    if stale.is_empty() {
        return;
    }
    let (mut place, mut next, mut begins) = (0, stale.iter().peekable(), false);
    fixes.retain_mut(|fix| {
        let is_stale = next.next_if(|stale| **stale == place).is_some();
        place += 1;
        // A segment begins with its first fix that is kept.
        fix.starts_segment |= core::mem::take(&mut begins);
        begins = is_stale && fix.starts_segment;
        !is_stale
    });
    let found = format!("{} from before, kept by the device", stale.len());
    problems.push(Problem::note(source, "fixes as fresh as their delivery", found).hint("left out"));
}

/// What a mark says, or what was expected of it.
fn understood(line: usize, raw: &RawMark<'_>) -> Result<Pending, &'static str> {
    let when = |text: Option<&str>| text.map(str::trim).and_then(When::read);
    let span = || when(raw.start).zip(when(raw.end)).map(|(start, end)| [start, end]);
    let said = |text: Option<&str>| text.unwrap_or_default().trim().to_string();
    match raw.kind {
        "hold" => {
            let shown = raw.shown.and_then(|text| text::read::<Speed>(text).ok());
            let shown = shown.ok_or("a speed shown such as 45 mph")?;
            Ok(Pending::Hold(line, shown.value, span().ok_or("a start and an end")?))
        }
        "odometer" => {
            let shown = raw.shown.and_then(|text| text::read::<Length>(text).ok());
            let shown = shown.ok_or("an odometer shown such as 412.7 mi")?;
            Ok(Pending::Odometer(line, shown, when(raw.at).ok_or("the moment at which it turned")?))
        }
        "gap" => Ok(Pending::Gap(said(raw.text), span().ok_or("a start and an end")?)),
        "note" => Ok(Pending::Note(said(raw.text), when(raw.at).ok_or("the moment of a note")?)),
        _ => Err("one of the kinds hold, odometer, gap and note"),
    }
}

/// Puts moments on the clock of a track.
struct Placing {
    /// Device clock minus calendar (s), where fixes tell it.
    usual_s: Option<f64>,
}

impl Placing {
    fn instant(&self, when: When) -> Option<Instant> {
        match when {
            When::Calendar(unix_s) => Some(Instant::from_s(unix_s)),
            When::Device(device_s) => self.usual_s.map(|usual_s| Instant::from_s(device_s - usual_s)),
        }
    }

    /// All marks; nothing where one of them cannot be placed, as the others cannot be then either.
    fn place(&self, pending: Vec<Pending>) -> Option<Marks> {
        let mut marks = Marks::default();
        for mark in pending {
            match mark {
                Pending::Hold(line, shown, [start, end]) => {
                    let (start, end) = (self.instant(start)?, self.instant(end)?);
                    marks.holds.push(MarkedHold { line, shown, start, end });
                }
                Pending::Odometer(line, shown, at) => {
                    marks.odometer.push(MarkedOdometer { line, shown, at: self.instant(at)? });
                }
                Pending::Gap(reason, [start, end]) => {
                    let (start, end) = (self.instant(start)?, self.instant(end)?);
                    marks.gaps.push(MarkedGap { reason, start, end });
                }
                Pending::Note(text, at) => marks.notes.push(MarkedNote { text, at: self.instant(at)? }),
            }
        }
        Some(marks)
    }
}
