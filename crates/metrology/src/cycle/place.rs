//! From the folded pattern to the ring: spacing, faults, run-out.

use super::fold::Fold;
use super::slots::Slots;
use super::{Fault, FaultKind, Ring};
use crate::order::quantile;
use std::f64::consts::PI;

/// A space is at fault beyond this many robust standard deviations of the others ...
const FAULT_DEVIATIONS: f64 = 6.0;
/// ... and this share of a pitch. Judgement: sound rings are divided to a fraction of a per cent.
const FAULT_SHARE: f64 = 0.02;
/// Median absolute deviation to standard deviation of a normal law.
const ROBUST: f64 = 1.4826;
/// Two faulty spaces side by side belong to one displaced mark when they make up for each other to this share.
const MAKES_UP: f64 = 0.5;
/// A mark is missing when it shows in fewer than this share of the turns.
const SHOWS: f64 = 0.5;
/// So many spaces on each side of those next to a missing mark are not judged.
const PULLED: usize = 1;
/// The once-per-turn part stands out at this many times its standard deviation by chance, and at this share of a pitch.
const STANDS_OUT: f64 = 5.0;
const OFF_CENTRE_SHARE: f64 = 0.003;

/// The ring that a fold shows.
pub(super) fn ring(slots: &Slots, fold: &Fold, confidence: f64) -> Ring {
    let marks = fold.marks;
    let missing = missing(slots, marks);
    // The step behind slot k is the space before mark k + 1.
    let before = |mark: usize| fold.pattern[(mark + marks - 1) % marks];
    // A hole also pulls at the baseline, hence at the crossings beside it.
    let hidden = |mark: usize| {
        (0..=2 * PULLED + 1).any(|step| missing[(mark + marks * (PULLED + 1) + step - PULLED - 1) % marks])
    };
    let departures: Vec<Option<f64>> =
        (0..marks).map(|mark| before(mark).filter(|_| !hidden(mark))).collect();
    Ring {
        marks,
        confidence,
        explained: fold.explained,
        turns: slots.times_s.len() as f64 / marks as f64,
        first_s: slots.times_s.first().copied().unwrap_or(0.0),
        spacing: departures.iter().map(|d| d.map(|d| 1.0 + d)).collect(),
        faults: faults(&departures, &missing),
        faults_alone: false,
        off_centre: off_centre(&departures),
    }
}

fn missing(slots: &Slots, marks: usize) -> Vec<bool> {
    let mut shown = vec![(0.0, 0.0); marks];
    for (index, present) in slots.present.iter().enumerate() {
        let class = &mut shown[index % marks];
        class.0 += f64::from(u8::from(*present));
        class.1 += 1.0;
    }
    shown.iter().map(|(shown, turns)| *shown < SHOWS * turns).collect()
}

fn faults(departures: &[Option<f64>], missing: &[bool]) -> Vec<Fault> {
    // In a ring of few marks one wide space makes all others visibly narrow; the middle one is as a sound space is.
    let sound = median(departures.iter().flatten().copied());
    let spread = median(departures.iter().flatten().map(|d| (d - sound).abs()));
    let limit = (FAULT_DEVIATIONS * ROBUST * spread).max(FAULT_SHARE);
    let marks = departures.len();
    let beyond = |mark: usize| departures[mark % marks].filter(|d| (d - sound).abs() > limit);
    // Whether the spaces before and behind a mark are both off and make up for each other.
    let displaced = |mark: usize| match (beyond(mark), beyond(mark + 1)) {
        (Some(a), Some(b)) => a * b < 0.0 && (a + b).abs() < MAKES_UP * a.abs().max(b.abs()),
        _ => false,
    };
    let mut faults = Vec::new();
    for (mark, missing) in missing.iter().enumerate() {
        if *missing {
            faults.push(Fault { mark, kind: FaultKind::Missing, share: 1.0 });
        } else if let Some(share) = beyond(mark) {
            let kind = match share {
                _ if displaced(mark) => FaultKind::Displaced,
                // The narrow or wide rest of the neighbour's fault
                _ if displaced(mark + marks - 1) => continue,
                _ if share > 0.0 => FaultKind::WideBefore,
                _ => FaultKind::NarrowBefore,
            };
            faults.push(Fault { mark, kind, share });
        }
    }
    faults
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    if values.is_empty() { 0.0 } else { quantile(&mut values, 0.5) }
}

fn off_centre(departures: &[Option<f64>]) -> Option<f64> {
    let count = departures.iter().flatten().count() as f64;
    let angle = |mark: usize| 2.0 * PI * mark as f64 / departures.len() as f64;
    let known = || departures.iter().enumerate().filter_map(|(mark, d)| Some((angle(mark), (*d)?)));
    let (c, s) = known().fold((0.0, 0.0), |(c, s), (a, d)| (c + d * a.cos(), s + d * a.sin()));
    let (c, s) = (2.0 * c / count, 2.0 * s / count);
    let rest = known().map(|(a, d)| (d - c * a.cos() - s * a.sin()).abs());
    let chance = ROBUST * median(rest) * (2.0 / count).sqrt();
    let amplitude = c.hypot(s);
    (amplitude > OFF_CENTRE_SHARE && amplitude > STANDS_OUT * chance).then_some(amplitude)
}
