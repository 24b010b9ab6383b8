//! The vehicle's samples that can be used.

use super::fixes::count;
use super::times::Times;
use crate::logs::VehicleLog;
use crate::measure::drive::types::Rejected;
use crate::problem::Problem;
use metrology::order::usual_interval_s;
use metrology::quantity::Speed;

/// The search for lag and line begins with no more samples than this: ten hours' worth at one a second.
pub const THIN: usize = 40_000;

/// The vehicle's samples in rising time (s, m/s), the step they are rounded to (m/s), the usual time between them (s) and how late
/// they are on average because values were held (s).
pub struct Samples {
    pub time_s: Vec<f64>,
    pub speed: Vec<f64>,
    pub step: f64,
    pub interval_s: f64,
    pub late_s: f64,
}

impl Samples {
    /// Every so many-th sample, no more than [`THIN`]; nothing when there are no more.
    pub fn thinned(&self) -> Option<Samples> {
        let every = self.time_s.len().div_ceil(THIN);
        let thin = |values: &[f64]| values.iter().step_by(every).copied().collect();
        (every > 1).then(|| Samples { time_s: thin(&self.time_s), speed: thin(&self.speed), ..*self })
    }

    /// Those of a log in rising time; what is left out is counted with its reason, and a problem says what is wrong with its times.
    pub fn usable(source: &str, log: &VehicleLog) -> (Samples, Vec<Rejected>, Option<Problem>) {
        let mut rejected = Vec::new();
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
        count(&mut rejected, "vehicle log: time stands still", still);
        count(&mut rejected, "vehicle log: time runs backward", backward);
        let interval_s = usual_interval_s(time_s.iter().copied());
        let times = Times { of: "samples of the vehicle log", read: room, still, backward, interval_s };
        let problem = times.problem(source);
        let samples =
            Samples { time_s, speed, step: log.step.map_or(0.0, Speed::m_per_s), interval_s, late_s: 0.0 };
        (samples, rejected, problem)
    }
}
