//! What the line is drawn through, what is known of it beforehand, and how much each observation counts.

use metrology::order::quantile;
use nalgebra::{Matrix2, Vector2, Vector4};

/// Tukey's constant for 95 % efficiency under normal errors (Huber & Ronchetti 2009).
const BIWEIGHT: f64 = 4.685;

/// One sample of the vehicle's channel beside the truth at the same moment.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Observation {
    /// Time (s).
    pub time_s: f64,
    /// Indicated speed (m/s).
    pub indicated: f64,
    /// True speed (m/s).
    pub truth: f64,
    /// What the offset counts for: 1, but for rows that were made independent of one another.
    pub one: f64,
    /// What the growth counts for: true speed times what it is above the usual one (m²/s²).
    pub growth: f64,
    /// Rate of change of the true speed (m/s²).
    pub truth_rate: f64,
    /// Standard deviation expected of this sample (m/s).
    pub sigma: f64,
    /// The same without what the truth errs (m/s).
    pub own: f64,
    /// Time this sample stands for (s).
    pub share_s: f64,
}

/// A normal distribution: what is known of one parameter before the drive.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Normal {
    /// Expected value.
    pub mean: f64,
    /// Standard uncertainty.
    pub u: f64,
}

impl Normal {
    /// Precision, one over the variance.
    pub fn precision(self) -> f64 {
        1.0 / (self.u * self.u)
    }
}

/// What is known of the line before the drive.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Prior {
    /// Of the offset (m/s).
    pub offset: Normal,
    /// Of the growth: relative change of the ratio with speed (s/m).
    pub growth: Normal,
}

/// What the drive alone shows of offset (m/s) and growth (s/m), as good as nothing known of either before.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Shown {
    /// Offset and relative growth.
    pub value: Vector2<f64>,
    /// Their covariance.
    pub covariance: Matrix2<f64>,
}

/// What is left of an observation beside the line (m/s).
pub fn residual(o: &Observation, solution: Vector4<f64>) -> f64 {
    let shown = solution[1] * o.one + solution[3] * o.growth;
    o.indicated - shown - solution[0] * (o.truth - o.truth_rate * solution[2])
}

/// Median absolute residual in units of the expected deviation, made a standard deviation; at least 1, because the
/// expected deviation is a floor. `sizes` is room to work in.
pub fn robust_scale(observations: &[Observation], solution: Vector4<f64>, sizes: &mut Vec<f64>) -> f64 {
    sizes.clear();
    sizes.extend(observations.iter().map(|o| (residual(o, solution) / o.sigma).abs()));
    (1.4826 * quantile(sizes, 0.5)).max(1.0)
}

/// Tukey's biweight of each observation.
pub fn biweights(observations: &[Observation], solution: Vector4<f64>, scale: f64) -> Vec<f64> {
    let weight = |o: &Observation| {
        let u = residual(o, solution) / (BIWEIGHT * scale * o.sigma);
        if u.abs() < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
    };
    observations.iter().map(weight).collect()
}
