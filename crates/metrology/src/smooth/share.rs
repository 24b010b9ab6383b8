//! How much of a smoothed velocity's variance is noise let through, the rest being motion smoothed away.

use super::{LONGEST_STEP_S, Levels};
use nalgebra::{DMatrix, DVector};

/// Fixes on either side of the one that is looked at: far more than the smoother's memory at any of its levels.
const SIDE: usize = 40;
/// Variances of first position (m²) and first velocity (m²/s²): next to nothing known.
const PLACE_M2: f64 = 1e4;
const SPEED_M2_PER_S2: f64 = 900.0;

/// Share of the variance of a smoothed velocity, far from both ends, that comes from errors of the positions at steps of
/// `interval_s`.
///
/// By the model's own covariances, densely: with gain `K` of the velocity on all fixes and noise covariance `N` the
/// noise let through is `K N K'`; the whole is the posterior variance. For steps that are short beside the smoother's
/// memory and white error alone it is `B(3/4, 5/4) / (B(3/4, 5/4) + B(7/4, 1/4)) = 1/4`.
pub fn noise_share(levels: &Levels, interval_s: f64) -> f64 {
    let interval_s = interval_s.min(LONGEST_STEP_S);
    let times: Vec<f64> = (0..=2 * SIDE).map(|k| k as f64 * interval_s).collect();
    let walk = levels.walk_m2_per_s3;
    let noise = DMatrix::from_fn(times.len(), times.len(), |i, j| {
        let slow = levels.slow_m.powi(2) * (-(times[i] - times[j]).abs() / levels.slow_time_s).exp();
        slow + if i == j { levels.white_m.powi(2) } else { 0.0 }
    });
    let motion = DMatrix::from_fn(times.len(), times.len(), |i, j| {
        let (short, long) = (times[i].min(times[j]), times[i].max(times[j]));
        PLACE_M2 + SPEED_M2_PER_S2 * short * long + walk * short * short * (3.0 * long - short) / 6.0
    });
    let middle_s = times[SIDE];
    // Covariance of an integrated random walk with the walk itself.
    let beside = DVector::from_fn(times.len(), |j, _| {
        let common = times[j].min(middle_s);
        SPEED_M2_PER_S2 * times[j] + walk * (times[j] * common - common * common / 2.0)
    });
    let Some(cholesky) = (motion + &noise).cholesky() else { return 0.0 };
    let gain = cholesky.solve(&beside);
    let whole = SPEED_M2_PER_S2 + walk * middle_s - gain.dot(&beside);
    let through = (gain.transpose() * noise * &gain)[0];
    if whole > 0.0 { (through / whole).clamp(0.0, 1.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn levels(white_m: f64, slow_m: f64, walk_m2_per_s3: f64) -> Levels {
        Levels { white_m, slow_m, slow_time_s: 60.0, walk_m2_per_s3, reported_m_per_s: 0.1 }
    }

    /// Short steps, white error alone: the ratio of the integrals of `x²/(1+x⁴)²` and `x²/(1+x⁴)`, by hand 1/4.
    #[test]
    fn agrees_with_the_closed_form() {
        assert!((noise_share(&levels(1.0, 1e-6, 1.0), 0.25) - 0.25).abs() < 0.005);
    }

    /// Long steps: the positions hardly err beside what the body may have done between them.
    #[test]
    fn falls_with_the_step() {
        let shares = [0.3, 1.0, 5.0, 20.0].map(|step_s| noise_share(&levels(1.0, 0.5, 2.0), step_s));
        assert!(shares.is_sorted_by(|a, b| a > b), "{shares:?}");
        assert!(shares[3] < 0.01, "{shares:?}");
    }
}
