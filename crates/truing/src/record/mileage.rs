//! The true distance of a vehicle from its entries: which reading ratio was in force between which readings.
//!
//! Tires, parts and settings change at `write` and `equipment` entries; between two of these, in one *stretch*, the
//! reading ratio stays. A stretch takes its ratio from the last `estimate` made in it (`reading_ratio`, indicated over
//! true, with its standard uncertainty: `0.970 +/- 0.003`). One without an estimate of its own takes that of its
//! neighbour over a write, because a write changes the ratio by a known factor: a stored constant is what the module
//! assumes, so that the ratio goes with old over new; with `acts = signal` in the entry, as for a pulse ratio or a gear
//! that drives, with new over old. Over a change of equipment nothing is carried.
//!
//! What spans share is the estimate they rest on, and the wear of the tires where these are the same.
//!
//! Where an odometer stood at a moment between two readings is not known better than that it was between them: the
//! middle in proportion to time, with the standard uncertainty of a rectangular distribution (JCGM 100:2008, 4.3.7).

use super::chain::Entry;
use super::correction::{Corrections, Fields};
use super::distance::{Span, true_distance};
use super::event::EventKind;
use super::odometer::{self, Odometer, Reading};
use super::times::{DONE_ON, day_of, day_of_entry, time_of_entry};
use crate::problem::Problem;
use jiff::Timestamp;
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};
use std::collections::BTreeMap;

/// The field, and what stands in it, of a write that changed the signal itself and not what the module takes for a mile.
pub const CHANGES_SIGNAL: (&str, &str) = ("acts", "signal");
/// Relative standard uncertainty of a stretch's ratio from the wear of its tires; no unit. A judgement: from new to worn
/// the rolling circumference of a light truck's radial falls by up to about 1.7 % (geometry of a tread of 10/32 in
/// worn to 2/32 in), so an estimate made at any time in between is within 0.85 % of the stretch's mean: over sqrt(3).
const U_WEAR: f64 = 0.005;

/// A place on the odometer's way through the vehicle's life.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Place {
    /// Which odometer, counted from 0.
    pub dial: usize,
    /// What it showed, with the roll-overs of this dial added.
    pub at: Length,
    /// Standard uncertainty of that.
    pub u: Length,
}

/// A reading ratio with what it comes from.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct KnownRatio {
    /// Indicated over true.
    pub ratio: Measured<Ratio>,
    /// The estimate it rests on.
    pub estimate: u64,
}

/// A time in which tires, parts and settings stayed.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Stretch {
    /// The entry it begins with; `None` for the first.
    pub from_entry: Option<u64>,
    /// Where it begins; `None` where there was no reading before.
    pub start: Option<Place>,
    /// The reading ratio, where it is known.
    pub ratio: Option<KnownRatio>,
    /// The entry with which its tires were fitted, 0 for those of the beginning.
    tires: u64,
    /// Natural logarithm of the factor by which the ratio changed where it begins, if that is known.
    ln_factor: Option<f64>,
}

/// The life of one vehicle as its odometer tells it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mileage {
    /// The readings, in order.
    pub readings: Vec<Reading>,
    /// The stretches, in order.
    pub stretches: Vec<Stretch>,
    /// Odometers before which an unknown distance was gone.
    pub gaps: Vec<usize>,
    /// Where the odometer stood at what was done earlier than it was entered.
    dated: BTreeMap<u64, Place>,
    /// What cannot be used, by entry.
    pub problems: Vec<Problem>,
}

/// A true distance, or why it is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct TrueDistance {
    /// What the odometer counted.
    pub indicated: Length,
    /// True distance; `None` where it cannot be known.
    pub distance: Option<Measured<Length>>,
    /// Why not, or what is left out.
    pub unknowable: Vec<String>,
}

impl Mileage {
    /// From the entries of one vehicle in order, corrections among them.
    pub fn from_entries(entries: &[Entry]) -> Self {
        let corrections = Corrections::among(entries.iter());
        let mut found = Self::default();
        let mut odometer = Odometer::default();
        let mut changes = Vec::new();
        for entry in entries {
            let fields = corrections.over(entry);
            let (readings, problems) = odometer.feed(entry, &fields);
            found
                .problems
                .extend(problems.into_iter().map(|problem| super::chain::at(entry.sequence, problem)));
            found.readings.extend(readings);
            changes.extend(change(entry, &fields));
        }
        found.gaps = odometer.gaps().to_vec();
        found.dated = found.places_of_dated(entries, &corrections);
        found.stretches = found.stretches_of(&changes);
        found.give_ratios();
        found
    }

    fn places_of_dated(&self, entries: &[Entry], corrections: &Corrections) -> BTreeMap<u64, Place> {
        let place = |entry: &Entry| {
            let fields = corrections.over(entry);
            fields
                .get(DONE_ON)
                .filter(|_| day_of_entry(entry.event.time, &fields) < day_of(entry.event.time))?;
            let is_placed = self.readings.iter().any(|reading| reading.sequence == entry.sequence);
            let shown = odometer::read(&fields, "odometer").ok().flatten();
            let place = match shown.filter(|_| !is_placed) {
                Some(shown) => self.place_of_reading(shown.value, shown.resolution),
                None if is_placed => None,
                None => self.place_at(time_of_entry(entry.event.time, &fields)),
            };
            Some((entry.sequence, place?))
        };
        entries.iter().filter_map(place).collect()
    }

    fn stretches_of(&self, changes: &[(u64, Change)]) -> Vec<Stretch> {
        let mut stretches =
            vec![Stretch { from_entry: None, start: None, ratio: None, tires: 0, ln_factor: None }];
        let mut tires = 0;
        for (sequence, change) in changes {
            match change {
                Change::Ratio(ratio) => {
                    if let Some(stretch) = stretches.last_mut() {
                        stretch.ratio = Some(KnownRatio { ratio: *ratio, estimate: *sequence });
                    }
                }
                Change::Stretch { ln_factor, brings_tires } => {
                    tires = if *brings_tires { *sequence } else { tires };
                    let (from_entry, start) = (Some(*sequence), self.place_of_entry(*sequence));
                    stretches.push(Stretch { from_entry, start, ratio: None, tires, ln_factor: *ln_factor });
                }
            }
        }
        stretches
    }

    /// Carries ratios over writes: from the nearest stretch before, else from the nearest after.
    fn give_ratios(&mut self) {
        let own: Vec<Option<KnownRatio>> = self.stretches.iter().map(|stretch| stretch.ratio).collect();
        let factors: Vec<Option<f64>> = self.stretches.iter().map(|stretch| stretch.ln_factor).collect();
        let mut before = None;
        for (index, stretch) in self.stretches.iter_mut().enumerate() {
            before = own[index].or_else(|| times(before?, factors[index]?));
            stretch.ratio = before;
        }
        let mut after = None;
        for index in (0..own.len()).rev() {
            let factor = factors.get(index + 1).copied().flatten();
            after = own[index].or_else(|| times(after?, -factor?));
            self.stretches[index].ratio = self.stretches[index].ratio.or(after);
        }
    }

    /// Where the odometer stood at an entry: as it says itself, else between the readings around it.
    pub fn place_of_entry(&self, sequence: u64) -> Option<Place> {
        if let Some(own) = self.readings.iter().rev().find(|reading| reading.sequence == sequence) {
            return Some(place(own));
        }
        if let Some(dated) = self.dated.get(&sequence) {
            return Some(*dated);
        }
        let split = self.readings.partition_point(|reading| reading.sequence < sequence);
        let before = split.checked_sub(1).map(|index| &self.readings[index]);
        between(before, self.readings.get(split), 0.5)
    }

    /// Where it stood at a moment; before the first reading and after the last, what these say.
    pub fn place_at(&self, time: Timestamp) -> Option<Place> {
        let split = self.readings.partition_point(|reading| reading.time <= time);
        let before = split.checked_sub(1).map(|index| &self.readings[index]);
        let after = self.readings.get(split);
        let share = before.zip(after).map_or(0.5, |(before, after)| {
            let nanoseconds = |time: Timestamp| time.as_nanosecond() as f64;
            let whole = nanoseconds(after.time) - nanoseconds(before.time);
            ((nanoseconds(time) - nanoseconds(before.time)) / whole).clamp(0.0, 1.0)
        });
        between(before, after, share)
    }

    /// Where it showed this: on the last odometer that ever did.
    pub fn place_of_reading(&self, shown: Length, resolution: Length) -> Option<Place> {
        let dials = self.readings.last()?.dial;
        let on = |dial: usize| {
            let at = |reading: &&Reading| reading.dial == dial;
            let ends = (self.readings.iter().find(at)?, self.readings.iter().rev().find(at)?);
            (ends.0.at <= shown && shown <= ends.1.at).then_some(dial)
        };
        let dial = (0..=dials).rev().find_map(on)?;
        Some(Place { dial, at: shown, u: rectangular(resolution) })
    }

    /// The first and the last place.
    pub fn ends(&self) -> Option<(Place, Place)> {
        Some((place(self.readings.first()?), place(self.readings.last()?)))
    }

    /// True distance between two places.
    pub fn distance(&self, from: Place, to: Place) -> Result<TrueDistance, Problem> {
        if (from.dial, from.at) > (to.dial, to.at) {
            return Err(Problem::error(
                "true distance",
                "an end that is not before the start",
                "one that is",
            )
            .hint("Swap the two."));
        }
        let (mut spans, mut unknowable, mut indicated) = (Vec::new(), Vec::new(), Length::default());
        for dial in from.dial..=to.dial {
            let Some((start, end)) = self.on_dial(dial, from, to) else { continue };
            indicated = indicated + (end.at - start.at);
            self.spans(start, end, &mut spans, &mut unknowable);
        }
        let has_all = unknowable.is_empty();
        let is_crossed = |gap: &&usize| (from.dial + 1..=to.dial).contains(*gap);
        let gaps = self.gaps.iter().filter(is_crossed).count();
        if gaps > 0 {
            unknowable.push(format!(
                "Not counted: what was driven while the odometer was changed without both readings noted ({gaps} times)."
            ));
        }
        let distance = if has_all { Some(true_distance(&spans)?) } else { None };
        Ok(TrueDistance { indicated, distance, unknowable })
    }

    /// The part of a way that is on one odometer.
    fn on_dial(&self, dial: usize, from: Place, to: Place) -> Option<(Place, Place)> {
        let on = |reading: &&Reading| reading.dial == dial;
        let first = place(self.readings.iter().find(on)?);
        let last = place(self.readings.iter().rev().find(on)?);
        let start = if dial == from.dial { from } else { first };
        let end = if dial == to.dial { to } else { last };
        Some((start, end))
    }

    /// Cuts a way on one odometer where a stretch begins.
    fn spans(&self, start: Place, end: Place, spans: &mut Vec<Span>, unknowable: &mut Vec<String>) {
        let is_inside = |place: &Place| place.dial == start.dial && place.at > start.at && place.at < end.at;
        let first = self.stretch_at(start);
        let later = self.stretches.iter().enumerate().skip(first + 1);
        let cuts = later.filter_map(|(index, stretch)| Some((index, stretch.start.filter(is_inside)?)));
        let mut here = (first, start);
        for (index, cut) in cuts.chain([(usize::MAX, end)]) {
            if cut.at > here.1.at {
                let known =
                    self.stretches.get(here.0).and_then(|stretch| Some((stretch.ratio?, stretch.tires)));
                match known {
                    Some((known, tires)) => spans.push(span(here.1, cut, &known, tires)),
                    None => unknowable.push(self.unknown(here.0)),
                }
            }
            here = (index, cut);
        }
    }

    /// The stretch in force from a place on.
    fn stretch_at(&self, at: Place) -> usize {
        let begun =
            |stretch: &Stretch| stretch.start.is_none_or(|start| (start.dial, start.at) <= (at.dial, at.at));
        self.stretches.iter().rposition(begun).unwrap_or(0)
    }

    fn unknown(&self, stretch: usize) -> String {
        let from = self.stretches.get(stretch).and_then(|stretch| stretch.from_entry);
        let from = from.map_or("the beginning".to_string(), |entry| format!("entry {entry}"));
        format!(
            "The reading ratio from {from} on is not known. Add an estimate made with those tires and that \
             setting, such as \"0.970 +/- 0.003\", or the numbers stored before and after the write."
        )
    }
}

/// What an entry changes.
enum Change {
    /// Another stretch begins.
    Stretch {
        /// The natural logarithm of the factor on the ratio, if known.
        ln_factor: Option<f64>,
        /// Whether it has other tires.
        brings_tires: bool,
    },
    /// The ratio of this stretch was estimated.
    Ratio(Measured<Ratio>),
}

fn change(entry: &Entry, fields: &Fields) -> Option<(u64, Change)> {
    let change = match entry.event.kind {
        EventKind::Write if super::stored::is_unmade(fields) => return None,
        EventKind::Write => Change::Stretch { ln_factor: ln_factor(fields), brings_tires: false },
        // Another display alone changes no ratio; whether it does, nobody has said.
        EventKind::Equipment => Change::Stretch { ln_factor: None, brings_tires: brings_tires(fields) },
        EventKind::Estimate => Change::Ratio(ratio(fields)?),
        _ => return None,
    };
    Some((entry.sequence, change))
}

/// Whether a part that was fitted is tires.
fn brings_tires(fields: &Fields) -> bool {
    fields.get("part").is_some_and(|part| part.trim().to_lowercase().starts_with("tire"))
}

fn ln_factor(fields: &Fields) -> Option<f64> {
    let number =
        |name: &str| fields.get(name)?.trim().parse().ok().filter(|n: &f64| *n > 0.0 && n.is_finite());
    let ln = (number("from")? / number("to")?).ln();
    let (acts, signal) = CHANGES_SIGNAL;
    Some(if fields.get(acts).is_some_and(|value| value == signal) { -ln } else { ln })
}

/// `0.970 +/- 0.003`, or the second number in `standard_uncertainty`.
pub fn ratio(fields: &Fields) -> Option<Measured<Ratio>> {
    let text = fields.get("reading_ratio")?;
    let (value, u) = match text.split_once("+/-") {
        Some((value, u)) => (value, u),
        None => (text.as_str(), fields.get("standard_uncertainty")?.as_str()),
    };
    let (value, u): (f64, f64) = (value.trim().parse().ok()?, u.trim().parse().ok()?);
    let is_usable = value.is_finite() && value > 0.0 && u.is_finite() && u >= 0.0;
    is_usable.then(|| Measured::from_log(value.ln(), u / value, f64::INFINITY))
}

fn times(known: KnownRatio, ln_factor: f64) -> Option<KnownRatio> {
    let value = known.ratio.value.plain();
    let u = known.ratio.relative_uncertainty().plain();
    let ratio: Measured<Ratio> = Measured::from_log(value.ln() + ln_factor, u, known.ratio.dof);
    ratio.value.plain().is_finite().then_some(KnownRatio { ratio, ..known })
}

fn span(start: Place, end: Place, known: &KnownRatio, tires: u64) -> Span {
    Span {
        odometer_start: start.at,
        odometer_end: end.at,
        u_start: start.u,
        u_end: end.u,
        ln_ratio: known.ratio.value.plain().ln(),
        u_ln_ratio_shared: known.ratio.relative_uncertainty().plain(),
        source: known.estimate,
        u_ln_ratio_wear: U_WEAR,
        tires,
    }
}

/// Standard uncertainty of what is anywhere within a width.
fn rectangular(width: Length) -> Length {
    Length::from_m(width.m() / 12.0_f64.sqrt())
}

fn place(reading: &Reading) -> Place {
    Place { dial: reading.dial, at: reading.at, u: rectangular(reading.resolution) }
}

fn between(before: Option<&Reading>, after: Option<&Reading>, share: f64) -> Option<Place> {
    let (Some(low), Some(high)) = (before, after) else { return before.or(after).map(place) };
    if low.dial != high.dial {
        // Whatever lies between two odometers is on neither.
        return Some(place(if share < 1.0 { low } else { high }));
    }
    let width = high.at - low.at;
    let at = Length::from_m(low.at.m() + share * width.m());
    let at_end = share == 0.0 || share == 1.0;
    let u = if at_end { rectangular(low.resolution) } else { rectangular(width + low.resolution) };
    Some(Place { dial: low.dial, at, u })
}
