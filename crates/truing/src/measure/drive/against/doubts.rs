//! What makes the ratio of a drive no answer: checks of a vehicle's log beside the truth.

use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::line::fit::{Fit, Observation};
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{Doubt, MOVING_M_PER_S};
use metrology::order::quantile;

/// A log of the same drive differs from the truth by less than this (median over the true speed), whatever its rounding and filters: a
/// channel in whole mph or km/h, held for seconds, by 1 to 3 %; another drive, at the lag where it fits best, by 10 % and more
/// (recorded drives of two cities beside one another; judgement between the two).
const SAME_DRIVE: f64 = 0.08;
/// A channel stands when this share of its samples shows one value...
const STANDS_SHARE: f64 = 0.97;
/// ... while the speed of the truck spreads by this much (from its tenth to its nine-tenth quantile, over the median).
const SPREADS: f64 = 0.15;

/// A channel that shows one value whatever the truck does.
pub fn channel_stands(study: &Study, samples: &Samples) -> Option<Doubt> {
    let mut speeds: Vec<f64> =
        study.truth.speed_m_per_s.iter().copied().filter(|speed| *speed > MOVING_M_PER_S).collect();
    let mut shown = samples.speed.clone();
    if speeds.is_empty() || shown.is_empty() {
        return None;
    }
    let [low, median, high] = [0.1, 0.5, 0.9].map(|share| quantile(&mut speeds, share));
    let usual = quantile(&mut shown, 0.5);
    let same = shown.iter().filter(|value| (*value - usual).abs() < 1e-9).count();
    let stands = same as f64 > STANDS_SHARE * shown.len() as f64;
    (stands && high - low > SPREADS * median).then_some(Doubt::ChannelStands)
}

/// A log that moves otherwise than the track.
pub fn other_drive(observations: &[Observation], line: &Fit) -> Option<Doubt> {
    let difference = |o: &Observation| ((o.indicated - line.offset) / line.ratio - o.truth).abs() / o.truth;
    let mut differences: Vec<f64> = observations.iter().map(difference).filter(|d| d.is_finite()).collect();
    if differences.is_empty() {
        return None;
    }
    let median_difference = quantile(&mut differences, 0.5);
    (median_difference > SAME_DRIVE).then_some(Doubt::OtherDrive { median_difference })
}
