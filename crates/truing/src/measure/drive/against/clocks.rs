//! The vehicle's clock beside the track's: where the same motion shows in both.

use crate::logs::Clock;
use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::line::fit::{Fit, Observation};
use crate::measure::drive::study::Study;
use crate::measure::drive::types::Doubt;
use crate::problem::Problem;
use metrology::align::{Lag, Series, lag};
use metrology::order::quantile;

/// Clocks that both show the date are taken to agree within this (s); a hand-set clock is minutes off, not hours.
const CLOCKS_WITHIN_S: f64 = 120.0;
/// Local times differ by no more than this (h): UTC-12 to UTC+14.
const ZONES_APART_H: f64 = 26.0;
/// Least common time (s), and share of the shorter log, for a lag to be believed.
const OVERLAP_S: f64 = 30.0;
const OVERLAP_SHARE: f64 = 0.3;
/// Log-likelihood gain and explained share below which the speeds show no common motion to align by.
const SCORE_NEEDED: f64 = 12.0;
const EXPLAINED_NEEDED: f64 = 0.5;
/// The same for dated clocks that differ by minutes: so much explained, and so many times the score of the next best lag, because the
/// dates speak against it (judgement; other stretches of the same drive reach half the score).
const FAR_EXPLAINED: f64 = 0.8;
const FAR_OVER_RIVAL: f64 = 1.5;
/// A rival lag within this of the best score cannot be told from it.
const RIVAL_WITHIN: f64 = 6.0;
/// Speeds are compared up to the one that so large a share of those under way is below, times this (judgement).
const CAP: (f64, f64) = (0.9, 1.5);
/// Two logs of one drive lie beside one another for more of the shorter one than this, or few samples are off the line
/// (judgement).
const MUCH_BESIDE: f64 = 0.7;
const MUCH_OFF: f64 = 0.03;
/// A speed is almost constant while it changes by less than this on average (relative, judgement).
const CONSTANT: f64 = 0.04;

/// How the clocks were brought together.
pub enum Clocks {
    /// A common motion fixed the lag.
    Found(Lag),
    /// No motion to align by: the lag may be anything within these (s).
    Unknown { low_s: f64, high_s: f64 },
}

/// Finds the lag of a log of `other` speeds; nothing, with the problem told, when the two cannot have met.
pub fn bring_together(study: &mut Study, other: Series) -> Option<Clocks> {
    let (value, other_value) = (capped(&study.truth.speed_m_per_s), capped(other.value));
    let reference = Series { time_s: &study.truth.time_s, value: &value };
    let other = Series { value: &other_value, ..other };
    let (from, to) = ends(reference.time_s);
    let (other_from, other_to) = ends(other.time_s);
    let shorter = (to - from).min(other_to - other_from);
    let absolute = study.clocks == (Clock::Absolute, Clock::Absolute);
    let (low_s, high_s, overlap_s) = if absolute {
        (-CLOCKS_WITHIN_S, CLOCKS_WITHIN_S, OVERLAP_S.min(0.5 * shorter))
    } else {
        (f64::NEG_INFINITY, f64::INFINITY, OVERLAP_S.min(0.5 * shorter).max(OVERLAP_SHARE * shorter))
    };
    let met = to.min(other_to + high_s) - from.max(other_from + low_s);
    if absolute && met < overlap_s {
        study.problems.push(apart(study.source, (from, to), (other_from, other_to)));
        return None;
    }
    let found = lag(reference, other, low_s, high_s, overlap_s);
    let believed = found.filter(|l| l.score >= SCORE_NEEDED && l.explained >= EXPLAINED_NEEDED);
    let believed = match believed {
        None if absolute => far_apart(reference, other, OVERLAP_S.max(OVERLAP_SHARE * shorter)),
        near => near,
    };
    study.problems.extend(believed.filter(|lag| absolute && lag.lag_s.abs() > CLOCKS_WITHIN_S).map(|lag| {
        let told = format!("the vehicle log's {:.0} s ahead of the track's", lag.lag_s);
        Problem::warning(study.log_source, "clocks that agree within two minutes", told)
            .hint("they were brought together by the changes of speed; set the logger's clock")
    }));
    if let Some(found) = believed {
        if found.rival_score.is_some_and(|rival| rival > found.score - RIVAL_WITHIN) {
            study.problems.push(
                Problem::warning(study.source, "one lag that fits best", "two lags that fit about equally")
                    .hint("the clock lag may be the wrong one of the two; a drive with more speed changes settles it"),
            );
        }
        return Some(Clocks::Found(found));
    }
    let free = if absolute { (low_s, high_s) } else { unaligned(from, to, other_from, other_to) };
    Some(Clocks::Unknown { low_s: free.0, high_s: free.1 })
}

/// Two dated logs whose clocks differ by more than [`CLOCKS_WITHIN_S`]: believed only where their motion agrees far better than at any
/// other lag, and said.
fn far_apart(reference: Series, other: Series, overlap_s: f64) -> Option<Lag> {
    let found = lag(reference, other, f64::NEG_INFINITY, f64::INFINITY, overlap_s)?;
    let rival = found.rival_score.unwrap_or(0.0);
    let alone = found.explained >= FAR_EXPLAINED && found.score > SCORE_NEEDED.max(FAR_OVER_RIVAL * rival);
    alone.then_some(found)
}

/// Speeds without what stands out: a few false ones of 255 km/h would outweigh all motion.
fn capped(speeds: &[f64]) -> Vec<f64> {
    let mut moving: Vec<f64> = speeds.iter().copied().filter(|speed| *speed > 0.0).collect();
    let cap = if moving.is_empty() { 0.0 } else { CAP.1 * quantile(&mut moving, CAP.0) };
    speeds.iter().map(|speed| speed.min(cap)).collect()
}

/// Warns of a log that was found a place by its motion alone, with little of it beside the track and much of that off the line.
pub fn same_drive(
    study: &Study,
    samples: &Samples,
    line: &Fit,
    observations: &[Observation],
) -> Option<Problem> {
    if study.clocks == (Clock::Absolute, Clock::Absolute) {
        return None;
    }
    let (track, log) = (ends(&study.truth.time_s), ends(&samples.time_s));
    let shorter = (track.1 - track.0).min(log.1 - log.0);
    let (first, last) = (observations.first()?.time_s, observations.last()?.time_s);
    let beside = (last - first) / shorter.max(f64::MIN_POSITIVE);
    let off = line.weights.iter().filter(|w| **w == 0.0).count() as f64 / line.weights.len().max(1) as f64;
    (beside < MUCH_BESIDE && off > MUCH_OFF).then(|| {
        let found = format!(
            "{:.0} % of the shorter one beside the other, and {:.0} % of its samples far from the line",
            100.0 * beside,
            100.0 * off
        );
        Problem::warning(study.source, "a track and a vehicle log with the same motion", found).hint(
            "the clocks have no date in common, so they were brought together by their speeds alone; check that both files are from the same drive",
        )
    })
}

/// Why the clocks could not be brought together: nothing changes, or what changes in one does not in the other.
pub fn no_common_motion(source: &str, observations: &[Observation]) -> (Problem, Option<Doubt>) {
    let mean = |of: &dyn Fn(&Observation) -> f64| {
        observations.iter().map(of).sum::<f64>() / observations.len().max(1) as f64
    };
    let truth = mean(&|o| o.truth);
    if mean(&|o| (o.truth - truth).abs()) > CONSTANT * truth {
        let expected = "the same changes of speed in the track and in the vehicle log";
        let hint = "check that both files are from the same drive, and the column of each speed; the ratio is a guess until then";
        let problem = Problem::warning(source, expected, "none that fit at any clock lag").hint(hint);
        return (problem, Some(Doubt::NoLag));
    }
    let problem =
        Problem::note(source, "speed changes to bring the two clocks together", "an almost constant speed");
    let hint = "the ratio does not need the clock lag here; the offset cannot be told from the ratio";
    (problem.hint(hint), None)
}

fn ends(time_s: &[f64]) -> (f64, f64) {
    (time_s.first().copied().unwrap_or(0.0), time_s.last().copied().unwrap_or(0.0))
}

/// Lags between "starts together" and "ends together" for logs without a date.
fn unaligned(from: f64, to: f64, other_from: f64, other_to: f64) -> (f64, f64) {
    let (a, b) = (other_from - from, other_to - to);
    (a.min(b), a.max(b))
}

fn apart(source: &str, track: (f64, f64), log: (f64, f64)) -> Problem {
    let shorter = (track.1 - track.0).min(log.1 - log.0);
    // Zones differ by whole hours, some by half ones.
    let hours = ((log.0 + log.1 - track.0 - track.1) / 3600.0).round() / 2.0;
    let shifted = track.1.min(log.1 - 3600.0 * hours) - track.0.max(log.0 - 3600.0 * hours);
    let away = if log.0 > track.1 { log.0 - track.1 } else { track.0 - log.1 };
    let problem = Problem::error(
        source,
        "a track and a vehicle log that overlap in time",
        format!(
            "the vehicle log {} the track, {:.0} s away",
            if log.0 > track.1 { "after" } else { "before" },
            away
        ),
    );
    if hours != 0.0 && hours.abs() <= ZONES_APART_H && shifted > 0.5 * shorter {
        let moved = if hours > 0.0 { "earlier" } else { "later" };
        problem.hint(format!(
            "they would overlap if the vehicle log's clock were {} h {moved}: is one of them in local time? give the log's times with their zone",
            hours.abs()
        ))
    } else {
        problem.hint("check that both files are from the same drive")
    }
}
