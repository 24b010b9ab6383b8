//! The track's own speeds beside themselves: a vehicle log that is a copy of what the receiver reported.
//!
//! Loggers write the receiver's speed into several columns, in several units. Taken as the vehicle's channel such a column gives a ratio of
//! 1 that says nothing of the vehicle. It shows in its residuals: a copy differs by no more than rounding, row by row, where two
//! independent measurements differ by the noise of both (a receiver's speed errs by some 0.05 m/s, a wheel's channel is late).

use crate::logs::{Track, VehicleLog};
use crate::measure::drive::checks::units::{SHORT_MILE_M, unit_factors};
use crate::problem::Problem;
use metrology::order::{quantile, usual_interval_s};
use metrology::quantity::METRES_PER_MILE;

/// Rows of one table have one time. Two files of one logger may differ by the digits of their times: so much (s), or this share of the
/// time between rows where that is less.
const TOGETHER_S: f64 = 0.02;
const TOGETHER_SHARE: f64 = 0.1;
/// Rows under way that are compared at least, and changes of the value among them: a governor's speed agrees with anything.
const LEAST: usize = 50;
const LEAST_CHANGES: usize = 20;
/// Standing rows agree for any two channels; under way is faster than this (m/s).
const UNDER_WAY_M_PER_S: f64 = 2.0;
/// A logger may write one of its columns a row or two after the other.
const ROWS_APART: isize = 2;
/// Share of the rows that must agree to within rounding. With a noise of 0.02 m/s, less than any receiver's, some 6 % of whole km/h
/// would not (twice the noise times 0.4 over the step); a copy has repeated or lost rows only.
const AGREE: f64 = 0.985;
/// Speeds printed with two decimals of any unit differ by half of the last one (m/s, knots being the largest unit).
const PRINTED_M_PER_S: f64 = 0.003;
/// Factors between units are compared to within this: some loggers have 1.6 for 1.609 km.
const FACTOR_WITHIN: f64 = 0.007;

/// A vehicle log that is the track's reported speed again.
#[derive(Clone, Debug, PartialEq)]
pub struct SameSource {
    /// Rows compared.
    pub compared: usize,
    /// Those that agree to within rounding.
    pub agree: usize,
    /// Logged over reported: 1, or a factor between two units.
    pub factor: f64,
}

impl SameSource {
    /// What is to be told: nothing of the vehicle is in such a log, whatever ratio comes out.
    pub fn problem(&self, source: &str) -> Problem {
        let converted = if (self.factor - 1.0).abs() < FACTOR_WITHIN {
            String::new()
        } else {
            format!(", {:.4} times as large", self.factor)
        };
        let found = format!(
            "the track's own reported speeds{converted}: {} of {} rows agree to within rounding, as no two independent sensors do",
            self.agree, self.compared
        );
        Problem::error(source, "a vehicle log measured by the vehicle", found)
            .hint("name the column that the vehicle itself reported; the receiver's speed says nothing of the speedometer")
    }
}

/// Whether the vehicle log is the track's reported speed again: the same column, rounded, in another unit, a row or two late. Both are
/// taken as read, before anything is left out: zeros and repetitions of a copy agree as well.
pub fn same_source(track: &Track, log: &VehicleLog) -> Option<SameSource> {
    if track.clock != log.clock {
        return None;
    }
    let pairs = pairs(track, log);
    let step = log.step.map_or(0.0, |step| step.m_per_s());
    (-ROWS_APART..=ROWS_APART).find_map(|rows| copied(&pairs, rows, step))
}

/// Reported and logged speeds of the rows that have the same time.
fn pairs(track: &Track, log: &VehicleLog) -> Vec<[f64; 2]> {
    let interval_s = usual_interval_s(log.samples.iter().map(|sample| sample.time.s()));
    let together_s = TOGETHER_S.min(TOGETHER_SHARE * interval_s.abs());
    let mut samples = log.samples.iter().peekable();
    let mut pairs = Vec::new();
    for fix in track.fixes.iter() {
        let (Some(time), Some(reported)) = (fix.time, fix.speed) else { continue };
        while samples.next_if(|sample| sample.time.s() < time.s() - together_s).is_some() {}
        let beside = samples.peek().filter(|sample| sample.time.s() <= time.s() + together_s);
        pairs.extend(beside.map(|sample| [reported.m_per_s(), sample.speed.m_per_s()]));
    }
    pairs
}

/// Whether the logged speeds are those reported `rows` rows before.
fn copied(pairs: &[[f64; 2]], rows: isize, step: f64) -> Option<SameSource> {
    let [reported_from, logged_from] = [(-rows).max(0), rows.max(0)].map(isize::unsigned_abs);
    let reported = pairs.iter().skip(reported_from).map(|pair| pair[0]);
    let logged = pairs.iter().skip(logged_from).map(|pair| pair[1]);
    let under_way: Vec<[f64; 2]> = reported
        .zip(logged)
        .filter(|(reported, logged)| *reported > UNDER_WAY_M_PER_S && *logged > 0.0)
        .map(|(reported, logged)| [reported, logged])
        .collect();
    let changes = under_way.windows(2).filter(|pair| pair[0][0] != pair[1][0] && pair[0][1] != pair[1][1]);
    if under_way.len() < LEAST || changes.count() < LEAST_CHANGES {
        return None;
    }
    // To the nearest step, or truncated.
    [0.0, -0.5 * step].into_iter().find_map(|middle| agreeing(&under_way, step, middle))
}

/// Whether the logged speeds are the reported ones times a factor between units, with rounding errors about `middle`.
fn agreeing(under_way: &[[f64; 2]], step: f64, middle: f64) -> Option<SameSource> {
    let mut ratios: Vec<f64> = under_way.iter().map(|pair| (pair[1] - middle) / pair[0]).collect();
    let ratio = quantile(&mut ratios, 0.5);
    let factor = unit_factors().find(|factor| (ratio / factor - 1.0).abs() < FACTOR_WITHIN)?;
    let factor = settled(ratio, factor);
    let half = 0.5 * step.max(factor * reported_step(under_way));
    let near = half.max(PRINTED_M_PER_S * factor.max(1.0)) * (1.0 + 1e-6);
    let agrees = |pair: &&[f64; 2]| (pair[1] - factor * pair[0] - middle).abs() <= near;
    let agree = under_way.iter().filter(agrees).count();
    let compared = under_way.len();
    (agree as f64 >= AGREE * compared as f64).then_some(SameSource { compared, agree, factor })
}

/// The factor itself, or the one with a mile of 1600 m, whichever is nearer.
fn settled(ratio: f64, factor: f64) -> f64 {
    let short = SHORT_MILE_M / METRES_PER_MILE;
    let near = |a: &f64, b: &f64| (ratio - a).abs().total_cmp(&(ratio - b).abs());
    [factor, factor * short, factor / short].into_iter().min_by(near).unwrap_or(factor)
}

/// The step in which speeds were reported: what all but a few changes are at least.
fn reported_step(under_way: &[[f64; 2]]) -> f64 {
    let changes =
        under_way.windows(2).map(|pair| (pair[1][0] - pair[0][0]).abs()).filter(|change| *change > 0.0);
    quantile(&mut changes.collect::<Vec<f64>>(), 0.02)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::{Clock, Fix, Sample};
    use metrology::quantity::{Instant, Speed};
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Ten minutes of stop and go at 1 Hz, reported with an error of `reported_error` (uniform, m/s); the log is what `logged` makes of row
    /// and true and reported speed (m/s), in steps of `step`.
    fn check(step: f64, logged: impl Fn(usize, f64, f64, &mut ChaCha8Rng) -> f64, same: bool) {
        let mut chance = ChaCha8Rng::seed_from_u64(5);
        let truth =
            |k: usize| (12.0 + 9.0 * (k as f64 / 11.0).sin() + 6.0 * (k as f64 / 31.0).sin()).max(0.0);
        let reported: Vec<f64> = (0..600)
            .map(|k| (100.0 * (truth(k) + chance.random_range(-0.1..0.1)).max(0.0)).round() / 100.0)
            .collect();
        let fixes = (0..600).map(|k| Fix {
            time: Some(Instant::from_s(k as f64)),
            speed: Some(Speed::from_m_per_s(reported[k])),
            ..Fix::default()
        });
        let track = Track { fixes: fixes.collect(), clock: Clock::Absolute, ..Track::default() };
        let samples = (0..600).map(|k| Sample {
            line: k,
            time: Instant::from_s(k as f64),
            speed: Speed::from_m_per_s(logged(k, truth(k), reported[k], &mut chance)),
        });
        let step = (step > 0.0).then(|| Speed::from_m_per_s(step));
        let log =
            VehicleLog { samples: samples.collect(), clock: Clock::Absolute, step, ..VehicleLog::default() };
        let found = same_source(&track, &log);
        assert_eq!(found.is_some(), same, "{found:?}");
        assert!(found.is_none_or(|found| found.problem("log").is_error()));
    }

    #[test]
    fn copies_and_independent_channels() {
        const KM_PER_H: f64 = 1.0 / 3.6;
        let whole = |v: f64| (v / KM_PER_H).round() * KM_PER_H;
        check(0.0, |_, _, reported, _| reported, true);
        check(KM_PER_H, |_, _, reported, _| whole(reported), true);
        check(KM_PER_H, |_, _, reported, _| (reported / KM_PER_H).floor() * KM_PER_H, true);
        // Written in km/h and mph with two decimals; and taken for mph.
        check(0.0, |_, _, reported, _| (360.0 * reported).round() / 360.0, true);
        check(0.0, |_, _, reported, _| (reported / 0.44704 * 100.0).round() / 100.0 * 0.44704, true);
        check(0.0, |_, _, reported, _| 1.609_344 * reported, true);
        check(0.0, |_, _, reported, _| 1.6 * reported, true);
        // A zero in a hundred rows.
        check(KM_PER_H, |k, _, reported, _| if k % 100 == 7 { 0.0 } else { whole(reported) }, true);
        // Another sensor: whole km/h of the truth itself, no error at all; and a fine one with little.
        check(KM_PER_H, |_, truth, _, _| whole(truth), false);
        check(0.0, |_, truth, _, chance| truth + chance.random_range(-0.05..0.05), false);
        check(KM_PER_H, |_, truth, _, _| whole(0.98 * truth), false);
        // A copy that somebody scaled for tires is no unit: nobody can tell it from the vehicle by a factor alone.
        check(KM_PER_H, |_, _, reported, _| whole(0.95 * reported), false);
        // Constant speed agrees with anything.
        check(KM_PER_H, |_, _, _, _| 20.0, false);
    }
}
