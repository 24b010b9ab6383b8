//! The road over a gap in the track, as the vehicle's own log counts it.
//!
//! Where the track has a gap and the log has none, the log knows how far the truck went: what it shows, through the line that the rest of
//! the drive gave. That makes the length of the drive surer and tells nothing new of the ratio, which rests on what both logs saw. How
//! far such a length errs, stretches that both saw show: the line's own uncertainty beside it.

use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::line::fit::{Fit, Observation, block_of};
use crate::measure::drive::truth::Truth;
use nalgebra::Vector2;

/// Samples farther apart than so many of their usual intervals (s) leave a gap in the log as well.
const GAP_INTERVALS: f64 = 3.0;

/// The line that turns what is shown into what is true.
pub struct Carrier<'a> {
    pub samples: &'a Samples,
    /// The log's clock is this much ahead of the track's (s).
    pub lag_s: f64,
    pub line: &'a Fit,
    /// Degrees of freedom of the line.
    pub dof: f64,
    /// The speed (m/s) at which the line's ratio holds.
    pub usual_m_per_s: f64,
}

impl Carrier<'_> {
    /// Makes every gap that the log covers as long as the log says, where that is surer.
    pub fn bridge(&self, truth: &mut Truth, observations: &[Observation]) {
        let covariance = self.line.covariance.fixed_view::<2, 2>(0, 0);
        let walk = self.walk_m2_per_s(observations);
        let mut gaps = truth.take_gaps();
        for gap in &mut gaps {
            let Some((length_m, known)) = self.length_m(gap.start_s, gap.span_s) else { continue };
            let line = (known.transpose() * covariance * known)[0];
            let u_m = (line + walk * gap.span_s).sqrt();
            if u_m < gap.u_m {
                gap.carried(length_m, u_m, self.dof);
            }
        }
        truth.put_gaps(gaps);
    }

    /// True length (m) of what was shown for `span_s`, and its derivatives to ratio and offset; nothing where the log has a gap.
    fn length_m(&self, start_s: f64, span_s: f64) -> Option<(f64, Vector2<f64>)> {
        let (from_s, to_s) = (start_s + self.lag_s, start_s + self.lag_s + span_s);
        let times = &self.samples.time_s;
        let after = times.partition_point(|t| *t <= from_s);
        let longest_s = GAP_INTERVALS * self.samples.interval_s.max(1.0);
        let (mut length_m, mut moving_s, mut at_s) = (0.0, 0.0, from_s);
        for index in after.max(1)..times.len() {
            let (before_s, next_s) = (times[index - 1], times[index]);
            if before_s > from_s.max(at_s) || next_s - before_s > longest_s {
                return None;
            }
            let end_s = next_s.min(to_s);
            // The mean over this part, values straight between samples.
            let share = (0.5 * (at_s + end_s) - before_s) / (next_s - before_s);
            let shown = self.samples.speed[index - 1] * (1.0 - share) + self.samples.speed[index] * share;
            if shown > 0.0 {
                length_m += self.true_speed(shown) * (end_s - at_s);
                moving_s += end_s - at_s;
            }
            at_s = end_s;
            if at_s >= to_s {
                return Some((length_m, Vector2::new(-length_m, -moving_s) / self.line.ratio));
            }
        }
        None
    }

    /// The true speed (m/s) at which the line shows this: one step of Newton's method from the line without growth.
    fn true_speed(&self, shown_m_per_s: f64) -> f64 {
        let straight = ((shown_m_per_s - self.line.offset) / self.line.ratio).max(0.0);
        let bent = self.line.growth * straight * (straight - self.usual_m_per_s) / self.line.ratio;
        (straight - bent).max(0.0)
    }

    /// Variance that what the log says of a length gathers in a second (m²/s), from blocks of what both saw, the samples that are off
    /// among them.
    fn walk_m2_per_s(&self, observations: &[Observation]) -> f64 {
        let blocks = block_of(observations);
        let mut sums = vec![0.0; blocks.last().map_or(0, |last| last + 1)];
        for (o, block) in observations.iter().zip(blocks) {
            sums[block] += (self.true_speed(o.indicated) - o.truth) * o.share_s;
        }
        let total_s: f64 = observations.iter().map(|o| o.share_s).sum();
        sums.iter().map(|sum| sum * sum).sum::<f64>() / total_s.max(f64::MIN_POSITIVE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::drive::input::fixes::clean;
    use crate::measure::drive::truth::truth;
    use crate::measure::drive::types::DriveConditions;
    use crate::simulate::{Plan, Steps, drive};
    use metrology::quantity::Duration;
    use nalgebra::Matrix4;

    /// A drive with a minute of the track cut out: its length with the log's help is that of the whole track, to within what rounding
    /// and the receiver leave.
    #[test]
    fn a_hole_is_as_long_as_the_log_says() {
        let plan = Plan { steps: Steps::None, ..Plan::mixed(4, 1.03, Duration::from_s(5.0)) };
        let mut simulated = drive(&plan);
        let start = simulated.track.fixes.get(0).and_then(|fix| fix.time).expect("a first fix");
        simulated
            .track
            .fixes
            .retain_mut(|fix| fix.time.is_some_and(|time| !(300.0..360.0).contains(&time.since(start).s())));
        let (time_s, speed) =
            simulated.vehicle.samples.iter().map(|s| (s.time.s(), s.speed.m_per_s())).unzip();
        let samples =
            Samples { time_s, speed, step: 0.0, interval_s: 1.0, late_s: 0.0, refresh_s: None, row_s: 1.0 };
        let fit = Fit {
            ratio: 1.03,
            offset: 0.0,
            lag_step: 0.0,
            growth: 0.0,
            covariance: Matrix4::from_diagonal_element(1e-8),
            blocks: 20,
            lag_blocks: 20.0,
            weights: Vec::new(),
            inflation: 1.0,
            scale: 1.0,
            free: None,
            shown: None,
        };
        let length = |lag_s: f64, samples: &Samples| {
            let mut truth = truth(&mut clean(&simulated.track), &DriveConditions::default());
            let blind = truth.distance().expect("a length");
            let observation = Observation {
                time_s: 0.0,
                indicated: 20.6,
                truth: 20.0,
                one: 1.0,
                growth: 0.0,
                truth_rate: 0.0,
                sigma: 0.1,
                own: 0.1,
                share_s: 1.0,
            };
            let carrier = Carrier { samples, lag_s, line: &fit, dof: 18.0, usual_m_per_s: 20.0 };
            carrier.bridge(&mut truth, &[observation]);
            (blind, truth.distance().expect("a length"))
        };
        let (blind, carried) = length(5.0, &samples);
        let apart_m = (carried.value.m() - simulated.distance.m()).abs();
        assert!(apart_m < 2.0 * carried.standard_uncertainty.m(), "{apart_m} {carried:?}");
        assert!(carried.standard_uncertainty.m() < 0.5 * blind.standard_uncertainty.m(), "{blind:?}");
        // A log with a gap of its own there says nothing.
        let mut with_gap =
            Samples { time_s: samples.time_s.clone(), speed: samples.speed.clone(), ..samples };
        with_gap.time_s.drain(320..330);
        with_gap.speed.drain(320..330);
        let (blind, kept) = length(5.0, &with_gap);
        assert_eq!(blind, kept);
    }
}
