//! The line through the median of all slopes.

use super::{LineError, check_points};
use crate::measured::student_quantile;

/// All pairs are formed: 5000 points make 12.5 million slopes, 100 MB. Thin longer series first.
pub const MOST_ROBUST_POINTS: usize = 5000;

/// A line that wild points cannot pull.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct RobustLine {
    /// Median of `y` minus slope times median of `x`.
    pub intercept: f64,
    /// Median of the slopes between all pairs of points at different `x`.
    pub slope: f64,
    /// Lower end of the 95 % interval of the slope.
    pub slope_low_95: f64,
    /// Upper end of the 95 % interval of the slope.
    pub slope_high_95: f64,
}

/// Theil-Sen line: breaks down only when more than 29 % of the points are wild. The interval is Sen's, by the
/// normal approximation to Kendall's statistic with ties in `x` and `y` allowed for.
pub fn theil_sen(x: &[f64], y: &[f64]) -> Result<RobustLine, LineError> {
    check_points(x, y, 2)?;
    if x.len() > MOST_ROBUST_POINTS {
        let expected = format!("at most {MOST_ROBUST_POINTS}");
        return Err(LineError::PointCount { expected, found: x.len() });
    }
    let mut slopes = pair_slopes(x, y);
    if slopes.is_empty() {
        return Err(LineError::NoSpread);
    }
    slopes.sort_by(f64::total_cmp);
    let slope = median_of_sorted(&slopes);
    let reach = student_quantile(0.975, f64::INFINITY) * kendall_variance(x, y).sqrt();
    let count = slopes.len() as f64;
    let low = ((count - reach) / 2.0).round() - 1.0;
    let high = ((count + reach) / 2.0).round();
    let at = |rank: f64| slopes[(rank.max(0.0) as usize).min(slopes.len() - 1)];
    let intercept = median(y) - slope * median(x);
    Ok(RobustLine { intercept, slope, slope_low_95: at(low), slope_high_95: at(high) })
}

fn pair_slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let mut slopes = Vec::with_capacity(x.len() * (x.len() - 1) / 2);
    for first in 0..x.len() {
        for second in first + 1..x.len() {
            let slope = (y[second] - y[first]) / (x[second] - x[first]);
            if x[second] != x[first] && slope.is_finite() {
                slopes.push(slope);
            }
        }
    }
    slopes
}

/// Variance of Kendall's statistic of independent series; groups of equal values make it smaller.
fn kendall_variance(x: &[f64], y: &[f64]) -> f64 {
    let term = |count: usize| (count * (count.max(1) - 1) * (2 * count + 5)) as f64;
    let ties = |values: &[f64]| -> f64 {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        sorted.chunk_by(|a, b| a == b).map(|group| term(group.len())).sum()
    };
    (term(x.len()) - ties(x) - ties(y)).max(0.0) / 18.0
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    median_of_sorted(&sorted)
}

fn median_of_sorted(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[middle] } else { 0.5 * (sorted[middle - 1] + sorted[middle]) }
}
