//! What kind of error it is, with the statistic behind it.

use crate::measure::drive::line::fit::{Fit, Observation, block_of};
use crate::measure::drive::types::Diagnosis;
use metrology::measured::student_quantile;
use metrology::order::quantile;
use metrology::quantity::{Ratio, Speed};
use nalgebra::{Matrix3, Vector3};

/// Probability of chance below which an offset is more than rounding or a prior can explain: 3.5 deviations where these
/// are well known, more with few blocks (Student's t).
const OFFSET_CHANCE: f64 = 2.3e-4;
/// An offset smaller than this is no fault (m/s): 1 mph. A sound dash may add as much on purpose.
const OFFSET_MATTERS_M_PER_S: f64 = 0.447;
/// Share of steady samples far off the line from which the signal is called erratic.
const ERRATIC_SHARE: f64 = 0.05;
/// A sample is far off when it differs by so much of the true speed, and by so much at least (m/s): more than any rounding, filter or
/// outlier of a receiver makes while the speed is steady (judgement).
const FAR_OFF_SHARE: f64 = 0.15;
const FAR_OFF_M_PER_S: f64 = 2.0;
/// Samples to either side that tell what a channel usually shows there.
const AROUND: usize = 15;
/// Steady is a speed that changes by less than this (m/s²): a value that is a few seconds old is then still near.
const STEADY_M_PER_S2: f64 = 0.3;
/// Under power is a speed that rises faster than this (m/s²).
const POWER_M_PER_S2: f64 = 0.3;
/// Wheels spin where a sample under power is above the line by this share of the true speed, and by so much at least (m/s): three times
/// the slip that tires have before they spin (judgement).
const SPINS_SHARE: f64 = 0.1;
const SPINS_M_PER_S: f64 = 1.5;
/// From so many such samples, and such a share of those under power, it is no single stone in the road (judgement).
const SPINS_AT_LEAST: usize = 8;
const SPINNING_SHARE: f64 = 0.1;
/// What is off to both sides is a lag or an error of the track: so many times as many above as below are slip.
const ONE_SIDED: usize = 8;
/// Curvature of less chance than this, and of this share of the reading, is not chance. Tires that grow by 1 % and their slip bend a
/// reading by less than this; a worn magnetic head by several per cent.
const CURVED_CHANCE: f64 = 5e-4;
const CURVED_SHARE: f64 = 0.012;
/// Averages needed to see a bow.
const AVERAGES_NEEDED: usize = 15;
/// Fewer independent stretches than this tell nothing about the kind of error.
const BLOCKS_NEEDED: usize = 6;

/// Share of the samples at a steady speed that are far off the line, and off what the channel shows around them: a track that errs for
/// a while puts its samples off the line, not off one another.
fn far_off(samples: &[Observation], line: &Fit) -> f64 {
    let (mut steady, mut off) = (0_usize, 0_usize);
    for (index, o) in samples.iter().enumerate().filter(|(_, o)| o.truth_rate.abs() < STEADY_M_PER_S2) {
        let far = (FAR_OFF_SHARE * o.truth).max(FAR_OFF_M_PER_S);
        steady += 1;
        let beside = (o.indicated - line.offset) / line.ratio - o.truth;
        if beside.abs() > far {
            off += usize::from((o.indicated - usual_around(samples, index)).abs() > far * line.ratio);
        }
    }
    off as f64 / steady.max(1) as f64
}

/// The share of the samples under power that are far above the line, where hardly any is as far below it.
fn spinning(samples: &[Observation], line: &Fit) -> Option<f64> {
    let above = |o: &Observation| (o.indicated - line.offset) / line.ratio - o.truth;
    let far = |o: &Observation| (SPINS_SHARE * o.truth).max(SPINS_M_PER_S);
    let under_power = samples.iter().filter(|o| o.truth_rate > POWER_M_PER_S2);
    let (all, spins) = under_power
        .fold((0_usize, 0_usize), |(all, spins), o| (all + 1, spins + usize::from(above(o) > far(o))));
    let below = samples.iter().filter(|o| above(o) < -far(o)).count();
    let share = spins as f64 / all.max(1) as f64;
    (spins >= SPINS_AT_LEAST && share >= SPINNING_SHARE && spins >= ONE_SIDED * below).then_some(share)
}

/// Median of what the channel shows around a sample (m/s).
fn usual_around(samples: &[Observation], index: usize) -> f64 {
    let from = index.saturating_sub(AROUND);
    let mut around: Vec<f64> =
        samples[from..samples.len().min(index + AROUND + 1)].iter().map(|o| o.indicated).collect();
    quantile(&mut around, 0.5)
}

/// `samples` tell what is off; `line` is the line through `averages`.
pub fn diagnose(samples: &[Observation], line: &Fit, averages: &[Observation], step: f64) -> Diagnosis {
    let off = far_off(samples, line);
    if off > ERRATIC_SHARE {
        return Diagnosis::Erratic { far_off: Ratio::from_plain(off) };
    }
    if let Some(share) = spinning(samples, line) {
        return Diagnosis::Slipping { spinning: Ratio::from_plain(share) };
    }
    let Some((_, offset, offset_u)) = line.free.filter(|_| line.blocks >= BLOCKS_NEEDED) else {
        return Diagnosis::Undetermined;
    };
    let beyond = (offset + step / 4.0).abs() - step / 4.0;
    let dof = (line.blocks - 2) as f64;
    if beyond > student_quantile(1.0 - OFFSET_CHANCE, dof) * offset_u && beyond > OFFSET_MATTERS_M_PER_S {
        return Diagnosis::Offset { offset: Speed::from_m_per_s(offset), deviations: beyond / offset_u };
    }
    if let Some((z, share)) = curvature(line, averages).filter(|(z, share)| {
        z.abs() > student_quantile(1.0 - CURVED_CHANCE, dof) && share.abs() > CURVED_SHARE
    }) {
        return Diagnosis::Curved { middle: Ratio::from_plain(share), deviations: z.abs() };
    }
    let [offset, standard_uncertainty] = [offset, offset_u].map(Speed::from_m_per_s);
    Diagnosis::Proportional { offset, standard_uncertainty }
}

/// How far the middle of the speeds lies off the straight line through the slow and the fast end: in deviations, and as a
/// share of the reading. From a parabola through the averages; its deviation is found by leaving out one block at a time
/// (jackknife; Efron & Tibshirani 1993, ch. 11).
fn curvature(line: &Fit, averages: &[Observation]) -> Option<(f64, f64)> {
    let (ratio, ..) = line.free?;
    let ends =
        averages.iter().fold((f64::MAX, f64::MIN), |(low, high), o| (low.min(o.truth), high.max(o.truth)));
    let (middle, half) = (0.5 * (ends.0 + ends.1), 0.5 * (ends.1 - ends.0));
    let blocks = block_of(averages);
    let mut parts = vec![(Matrix3::zeros(), Vector3::zeros()); blocks.last()? + 1];
    for (o, block) in averages.iter().zip(blocks) {
        let x = (o.truth - middle) / half;
        let row = Vector3::new(1.0, x, x * x);
        let weight = 1.0 / (o.sigma * o.sigma);
        parts[block].0 += row * row.transpose() * weight;
        parts[block].1 += row * ((o.indicated - ratio * o.truth) * weight);
    }
    parts.retain(|part| part.0[(0, 0)] > 0.0);
    let whole =
        parts.iter().fold((Matrix3::zeros(), Vector3::zeros()), |sum, part| (sum.0 + part.0, sum.1 + part.1));
    let bow = |left: Matrix3<f64>, right: Vector3<f64>| Some(-(left.cholesky()?.solve(&right))[2]);
    let left_out: Option<Vec<f64>> =
        parts.iter().map(|part| bow(whole.0 - part.0, whole.1 - part.1)).collect();
    let left_out = left_out?;
    let n = left_out.len() as f64;
    let mean = left_out.iter().sum::<f64>() / n;
    let u = ((n - 1.0) / n * left_out.iter().map(|b| (b - mean).powi(2)).sum::<f64>()).sqrt();
    let bow = bow(whole.0, whole.1)?;
    (u > 0.0 && averages.len() >= AVERAGES_NEEDED).then(|| (bow / u, bow / (ratio * middle)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::drive::DiagnosisKind;
    use crate::measure::drive::line::fit::{Normal, Prior, fit};

    const STEP: f64 = 1.0 / 3.6;

    /// What is found of a channel that shows `indicated(true speed, number)`: the kind, and its offset (m/s) or share.
    fn check(indicated: impl Fn(f64, usize) -> f64, kind: DiagnosisKind, expected: f64) {
        let observations: Vec<Observation> = (0..600)
            .map(|k| {
                let truth = 18.0 + 9.0 * (k as f64 / 17.0).sin();
                let error = 0.05 * [1.0, -1.0, 0.5, -0.5, 0.0][k % 5];
                let indicated = indicated(truth, k) + error;
                Observation {
                    time_s: 2.0 * k as f64,
                    indicated,
                    truth,
                    one: 1.0,
                    growth: 0.0,
                    truth_rate: 0.0,
                    sigma: 0.1,
                    own: 0.1,
                    share_s: 2.0,
                }
            })
            .collect();
        let prior = Prior { offset: Normal { mean: 0.0, u: 0.15 }, growth: Normal { mean: 0.0, u: 1e-6 } };
        let line = fit(&observations, prior, false).unwrap();
        let found = diagnose(&observations, &line, &observations, STEP);
        assert_eq!(found.kind(), kind, "{found:?}");
        let (number, within) = match found {
            Diagnosis::Proportional { offset, standard_uncertainty } => {
                (offset.m_per_s(), 4.0 * standard_uncertainty.m_per_s())
            }
            Diagnosis::Offset { offset, .. } => (offset.m_per_s(), 0.05),
            Diagnosis::Curved { middle, .. } => (middle.plain(), 0.005),
            Diagnosis::Erratic { far_off } => (far_off.plain(), 0.005),
            Diagnosis::Slipping { spinning } => (spinning.plain(), 0.02),
            _ => (f64::NAN, 0.0),
        };
        assert!((number - expected).abs() < within, "{number} for {expected}: {found:?}");
    }

    #[test]
    fn kinds() {
        let three_mph = Speed::from_mi_per_h(3.0).m_per_s();
        check(|v, _| 1.03 * v, DiagnosisKind::Proportional, 0.0);
        // Half a step low is what truncation does.
        check(|v, _| 1.03 * v - STEP / 2.0, DiagnosisKind::Proportional, -STEP / 2.0);
        check(|v, _| v + three_mph, DiagnosisKind::Offset, three_mph);
        check(|v, _| v - three_mph, DiagnosisKind::Offset, -three_mph);
        // From 9 to 27 m/s: 3e-4 of 81 at either end is 2.4 % less there than in the middle.
        check(|v, _| v * (1.0 - 3e-4 * (v - 18.0).powi(2)), DiagnosisKind::Curved, 0.0243);
        check(|v, k| if k % 9 == 0 { 0.0 } else { v }, DiagnosisKind::Erratic, 1.0 / 9.0);
    }

    /// The same with the speed rising and falling, and what the channel shows at each rate.
    fn check_rate(indicated: impl Fn(f64, f64) -> f64, slips: bool) {
        let observations: Vec<Observation> = (0..600)
            .map(|k| {
                let at = k as f64 / 10.0;
                let (truth, truth_rate) = (18.0 + 9.0 * at.sin(), 0.9 * at.cos());
                Observation {
                    time_s: k as f64,
                    indicated: indicated(truth, truth_rate) + 0.05 * [1.0, -1.0, 0.5, -0.5, 0.0][k % 5],
                    truth,
                    one: 1.0,
                    growth: 0.0,
                    truth_rate,
                    sigma: 0.1,
                    own: 0.1,
                    share_s: 1.0,
                }
            })
            .collect();
        let prior = Prior { offset: Normal { mean: 0.0, u: 0.15 }, growth: Normal { mean: 0.0, u: 1e-6 } };
        let line = fit(&observations, prior, false).unwrap();
        let found = diagnose(&observations, &line, &observations, STEP);
        assert_eq!(found.kind() == DiagnosisKind::Slipping, slips, "{found:?}");
    }

    #[test]
    fn wheels_that_spin() {
        let spins = |share: f64| move |v: f64, rate: f64| if rate > 0.7 { v * (1.0 + share) } else { v };
        check_rate(spins(0.25), true);
        // What tires slip before they spin is no fault; and a lag is off to both sides.
        check_rate(spins(0.03), false);
        check_rate(|v, rate| v - 4.0 * rate, false);
        check_rate(|v, rate| v + 4.0 * rate, false);
    }
}
