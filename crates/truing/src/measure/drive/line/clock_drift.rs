//! Two clocks that do not run alike: over a long drive the lag between them grows.

use crate::measure::drive::line::fit::Prior;
use crate::measure::drive::line::fit::{Observation, fit};
use crate::problem::Problem;

/// A stretch that tells a lag of its own (s), and how many there must be.
const STRETCH_S: f64 = 600.0;
const STRETCHES_NEEDED: usize = 3;
/// A drift this many standard uncertainties from zero is not chance.
const DEVIATIONS: f64 = 5.0;
/// Less lag than this over the whole drive (s) does nothing to the line.
const MATTERS_S: f64 = 0.1;
/// No clock is this far off: 0.5 % is 18 s in an hour.
const WORST: f64 = 5e-3;

/// How much faster the vehicle's clock runs, and when it is right.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Drift {
    faster: f64,
    middle_s: f64,
}

impl Drift {
    /// Times as a clock like the track's would have shown them.
    pub fn corrected(self, times_s: &[f64]) -> Vec<f64> {
        times_s.iter().map(|t| t - self.faster * (t - self.middle_s)).collect()
    }

    pub fn problem(self, source: &str) -> Problem {
        let found = format!("the vehicle's gains {:+.2} s an hour on the track's", 3600.0 * self.faster);
        Problem::note(source, "two clocks that run alike", found)
            .hint("its times were brought to the track's rate")
    }
}

/// The drift that the lags of ten minutes each show; nothing when they show none.
pub fn find(observations: &[Observation], prior: Prior) -> Option<Drift> {
    let first_s = observations.first()?.time_s;
    let stretch = |o: &Observation| ((o.time_s - first_s) / STRETCH_S) as usize;
    let lags: Vec<(f64, f64, f64)> = observations
        .chunk_by(|a, b| stretch(a) == stretch(b))
        .filter_map(|part| {
            let line = fit(part, prior, true)?;
            let u = line.covariance[(2, 2)].sqrt();
            let middle_s = part.iter().map(|o| o.time_s).sum::<f64>() / part.len() as f64;
            (line.blocks >= STRETCHES_NEEDED && u > 0.0).then_some((middle_s, line.lag_step, u.powi(-2)))
        })
        .collect();
    if lags.len() < STRETCHES_NEEDED {
        return None;
    }
    let mean = |get: fn(&(f64, f64, f64)) -> f64| {
        lags.iter().map(|l| l.2 * get(l)).sum::<f64>() / lags.iter().map(|l| l.2).sum::<f64>()
    };
    let (middle_s, middle_lag_s) = (mean(|l| l.0), mean(|l| l.1));
    let spread: f64 = lags.iter().map(|l| l.2 * (l.0 - middle_s).powi(2)).sum();
    let faster = lags.iter().map(|l| l.2 * (l.0 - middle_s) * (l.1 - middle_lag_s)).sum::<f64>() / spread;
    let over_s = faster.abs() * (observations.last()?.time_s - first_s);
    let sure = faster.abs() > DEVIATIONS / spread.sqrt() && over_s > MATTERS_S && faster.abs() < WORST;
    sure.then_some(Drift { faster, middle_s })
}
