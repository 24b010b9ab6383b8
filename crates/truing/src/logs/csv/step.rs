//! The step on which indicated speeds lie, and the usual span between samples.

use super::super::Sample;
use metrology::order::quantile;
use metrology::quantity::{Duration, Quantity, Speed};

/// Fewer distinct values than this could lie on a step by chance.
const FEWEST_VALUES: usize = 20;
/// Share of the samples in motion that must lie on the step; the rest may be interpolated by the logger or damaged.
const LEAST_SHARE: f64 = 0.9;
/// Values written in another unit than the step's are off by their last digit; a step must be well above that.
const STEP_OVER_ROUNDING: f64 = 20.0;
/// Error of arithmetic in the conversion of units, relative; a thousand times the rounding of a double is ample.
const ARITHMETIC: f64 = 1e-12;
/// Steps of displays and buses in their unit.
const STEPS: [f64; 8] = [1.0, 0.5, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01];

/// How the values of a column are written.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Writing {
    /// Unit of the column, in m/s.
    pub(super) factor: f64,
    /// Most digits after the decimal mark; `None` where an exponent was used.
    pub(super) decimals: Option<i32>,
}

/// The coarsest step of whole or decimal mph, km/h, knots or m/s on which the speeds lie.
pub(super) fn step(samples: &[Sample], writing: Writing) -> Option<Speed> {
    let mut speeds: Vec<f64> = samples.iter().map(|sample| sample.speed.si()).collect();
    speeds.sort_by(f64::total_cmp);
    let units = [
        Speed::from_knots(1.0),
        Speed::from_mi_per_h(1.0),
        Speed::from_km_per_h(1.0),
        Speed::from_m_per_s(1.0),
    ];
    let mut candidates: Vec<(f64, f64)> =
        units.iter().flat_map(|unit| STEPS.map(|step| (step * unit.si(), unit.si()))).collect();
    candidates.sort_by(|one, other| other.0.total_cmp(&one.0));
    candidates
        .into_iter()
        .find(|&(step, unit)| lies_on(&speeds, step, rounding(writing, unit)))
        .map(|(step, _)| Speed::from_si(step))
}

/// How far a value may be off because of its last digit; nothing when it was written in the unit of the step.
fn rounding(writing: Writing, unit: f64) -> f64 {
    let own_unit = (writing.factor / unit - 1.0).abs() < ARITHMETIC;
    match writing.decimals {
        Some(decimals) if !own_unit => 0.5 * 10f64.powi(-decimals) * writing.factor,
        _ => 0.0,
    }
}

fn lies_on(sorted_speeds: &[f64], step: f64, rounding: f64) -> bool {
    if rounding * STEP_OVER_ROUNDING > step {
        return false;
    }
    let (mut on_step, mut distinct, mut last) = (0usize, 0, f64::NAN);
    // Zero lies on every step.
    let moving = &sorted_speeds[sorted_speeds.partition_point(|&speed| speed <= 0.0)..];
    for speed in moving {
        let count = (speed / step).round();
        if (speed - count * step).abs() <= rounding + speed * 1000.0 * ARITHMETIC {
            on_step += 1;
            if count != last {
                (distinct, last) = (distinct + 1, count);
            }
        }
    }
    distinct >= FEWEST_VALUES && on_step as f64 >= LEAST_SHARE * moving.len() as f64
}

/// Median of the spans forward in time.
pub(in super::super) fn usual_interval(samples: &[Sample]) -> Option<Duration> {
    let spans = samples.windows(2).map(|pair| pair[1].time.since(pair[0].time).s());
    let mut forward: Vec<f64> = spans.filter(|span| *span > 0.0).collect();
    (!forward.is_empty()).then(|| Duration::from_s(quantile(&mut forward, 0.5)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Instant;

    fn samples(speeds_m_per_s: impl Iterator<Item = f64>) -> Vec<Sample> {
        let sample = |(index, speed)| Sample {
            line: index,
            time: Instant::from_s(index as f64 * 0.2),
            speed: Speed::from_m_per_s(speed),
        };
        speeds_m_per_s.enumerate().map(sample).collect()
    }

    /// Speeds 0 to 40 steps of `unit_step`, written in a unit with so many decimals.
    fn check(unit_step: Speed, factor: f64, decimals: i32, expected: Option<Speed>) {
        let written = |count: usize| {
            let scale = 10f64.powi(decimals);
            (count as f64 * unit_step.si() / factor * scale).round() / scale * factor
        };
        let found = step(&samples((0..41).map(written)), Writing { factor, decimals: Some(decimals) });
        let close = |(found, expected): (Speed, Speed)| (found.si() / expected.si() - 1.0).abs() < 1e-9;
        assert_eq!(found.is_some(), expected.is_some(), "{unit_step:?} {factor} {decimals}: {found:?}");
        assert!(found.zip(expected).is_none_or(close), "{unit_step:?} {factor} {decimals}: {found:?}");
    }

    #[test]
    fn steps() {
        let (km_per_h, mi_per_h) = (Speed::from_km_per_h(1.0), Speed::from_mi_per_h(1.0));
        check(km_per_h, 1.0 / 3.6, 0, Some(km_per_h));
        check(km_per_h, 1.0 / 3.6, 1, Some(km_per_h));
        check(km_per_h, 1.0, 15, Some(km_per_h));
        check(km_per_h, 1.0, 2, Some(km_per_h));
        check(mi_per_h, 1.0 / 3.6, 2, Some(mi_per_h));
        check(mi_per_h, 0.44704, 0, Some(mi_per_h));
        check(km_per_h * 0.1, 1.0 / 3.6, 1, Some(km_per_h * 0.1));
        check(km_per_h * 0.001, 1.0 / 3.6, 5, None);
        // One digit of m/s cannot show whole km/h; what is left is the step of the writing.
        check(km_per_h, 1.0, 1, Some(Speed::from_m_per_s(0.1)));
    }

    #[test]
    fn too_few_values_tell_nothing() {
        let few = samples((0..100).map(|index| f64::from(index % 19) / 3.6));
        assert_eq!(step(&few, Writing { factor: 1.0 / 3.6, decimals: Some(0) }), None);
        assert_eq!(step(&[], Writing { factor: 1.0, decimals: None }), None);
    }

    #[test]
    fn intervals() {
        assert_eq!(
            usual_interval(&samples([1.0; 9].into_iter())).map(|span| (span.s() * 1e9).round()),
            Some(2e8)
        );
        assert_eq!(usual_interval(&[]), None);
    }
}
