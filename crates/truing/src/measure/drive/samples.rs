//! The vehicle's samples that can be used.

use super::Study;
use super::clean::count;
use super::times::Times;
use crate::logs::VehicleLog;
use metrology::order::usual_interval_s;
use metrology::quantity::Speed;

/// The search for lag and line begins with no more samples than this: ten hours' worth at one a second.
pub(super) const THIN: usize = 40_000;

/// The vehicle's samples in rising time (s, m/s), the step they are rounded to (m/s), the usual time between them (s) and how late
/// they are on average because values were held (s).
pub(super) struct Samples {
    pub(super) time_s: Vec<f64>,
    pub(super) speed: Vec<f64>,
    pub(super) step: f64,
    pub(super) interval_s: f64,
    pub(super) late_s: f64,
}

impl Samples {
    /// Every so manieth sample, no more than [`THIN`]; nothing when there are no more.
    pub(super) fn thinned(&self) -> Option<Samples> {
        let every = self.time_s.len().div_ceil(THIN);
        let thin = |values: &[f64]| values.iter().step_by(every).copied().collect();
        (every > 1).then(|| Samples { time_s: thin(&self.time_s), speed: thin(&self.speed), ..*self })
    }

    /// Those of a log in rising time; what is left out is counted.
    pub(super) fn usable(study: &mut Study, log: &VehicleLog) -> Samples {
        let room = log.samples.len();
        let (mut time_s, mut speed): (Vec<f64>, Vec<f64>) =
            (Vec::with_capacity(room), Vec::with_capacity(room));
        let (mut still, mut backward) = (0, 0);
        for sample in &log.samples {
            match time_s.last().map(|last| sample.time.s().total_cmp(last)) {
                Some(core::cmp::Ordering::Equal) => still += 1,
                Some(core::cmp::Ordering::Less) => backward += 1,
                _ => {
                    time_s.push(sample.time.s());
                    speed.push(sample.speed.m_per_s());
                }
            }
        }
        count(&mut study.points.rejected, "vehicle log: time stands still", still);
        count(&mut study.points.rejected, "vehicle log: time runs backward", backward);
        let interval_s = usual_interval_s(time_s.iter().copied());
        let times = Times { of: "samples of the vehicle log", read: room, still, backward, interval_s };
        study.problems.extend(times.problem(study.source));
        Samples { time_s, speed, step: log.step.map_or(0.0, Speed::m_per_s), interval_s, late_s: 0.0 }
    }
}
