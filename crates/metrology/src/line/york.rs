//! The line with errors in both coordinates.

use super::{Line, LineError, ordinary};

/// A point with what is known about its errors.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct UncertainPoint {
    /// Abscissa.
    pub x: f64,
    /// Ordinate.
    pub y: f64,
    /// Standard uncertainty of `x`.
    pub x_standard_uncertainty: f64,
    /// Standard uncertainty of `y`.
    pub y_standard_uncertainty: f64,
    /// Correlation between the two errors of this point.
    pub correlation: f64,
}

/// The slope has settled when it moves by less than this fraction of itself (or of its size plus one where it
/// passes zero).
const SETTLED: f64 = 1e-14;

/// York's iteration needs about ten steps; more than this means the problem is not one of a line.
const MOST_STEPS: usize = 200;

/// Least squares with errors in both coordinates (York et al. 2004, eq. 13 and 14), the uncertainties being
/// those of their unified equations; not scaled by the scatter. Two points at least; a point may be exact in one
/// coordinate, not in both.
pub fn york(points: &[UncertainPoint]) -> Result<Line, LineError> {
    let x: Vec<f64> = points.iter().map(|point| point.x).collect();
    let y: Vec<f64> = points.iter().map(|point| point.y).collect();
    let start = ordinary(&x, &y)?;
    points.iter().enumerate().try_for_each(check)?;
    let mut slope = start.slope;
    for _ in 0..MOST_STEPS {
        let step = Step::of(points, slope);
        let next = step.slope(points);
        if !next.is_finite() {
            break;
        }
        let moved = (next - slope).abs();
        slope = next;
        if moved <= SETTLED * slope.abs().max(start.slope.abs()).max(f64::MIN_POSITIVE) {
            return Ok(Step::of(points, slope).line(points, slope));
        }
    }
    Err(LineError::NotSettled { iterations: MOST_STEPS })
}

fn check((index, point): (usize, &UncertainPoint)) -> Result<(), LineError> {
    let (x, y) = (point.x_standard_uncertainty, point.y_standard_uncertainty);
    if !(x.is_finite() && x >= 0.0 && y.is_finite() && y >= 0.0 && x + y > 0.0) {
        return Err(LineError::BadPoint { index, expected: "uncertainties of 0 or more, not both 0" });
    }
    if !(point.correlation.abs() < 1.0) {
        return Err(LineError::BadPoint { index, expected: "a correlation inside -1 to 1" });
    }
    Ok(())
}

/// Everything one pass of the iteration needs, for a trial slope.
struct Step {
    weights: Vec<f64>,
    /// Adjusted `x` of each point, from the weighted mean.
    adjusted: Vec<f64>,
    x_mean: f64,
    y_mean: f64,
}

impl Step {
    fn of(points: &[UncertainPoint], slope: f64) -> Self {
        let weight = |p: &UncertainPoint| {
            let (x, y) = (slope * p.x_standard_uncertainty, p.y_standard_uncertainty);
            1.0 / (x * x + y * y - 2.0 * p.correlation * x * y)
        };
        let weights: Vec<f64> = points.iter().map(weight).collect();
        let total: f64 = weights.iter().sum();
        let weighted = |of: fn(&UncertainPoint) -> f64| {
            weights.iter().zip(points).map(|(w, p)| w * of(p)).sum::<f64>() / total
        };
        let (x_mean, y_mean) = (weighted(|p| p.x), weighted(|p| p.y));
        let adjust = |(w, p): (&f64, &UncertainPoint)| {
            let (u, v) = (p.x - x_mean, p.y - y_mean);
            let (x, y) = (p.x_standard_uncertainty, p.y_standard_uncertainty);
            w * (u * y * y + slope * v * x * x - (slope * u + v) * p.correlation * x * y)
        };
        let adjusted = weights.iter().zip(points).map(adjust).collect();
        Self { weights, adjusted, x_mean, y_mean }
    }

    fn slope(&self, points: &[UncertainPoint]) -> f64 {
        let (mut top, mut bottom) = (0.0, 0.0);
        for ((weight, adjusted), point) in self.weights.iter().zip(&self.adjusted).zip(points) {
            top += weight * adjusted * (point.y - self.y_mean);
            bottom += weight * adjusted * (point.x - self.x_mean);
        }
        top / bottom
    }

    fn line(&self, points: &[UncertainPoint], slope: f64) -> Line {
        let total: f64 = self.weights.iter().sum();
        let weighted = || self.weights.iter().zip(&self.adjusted);
        let shift = weighted().map(|(w, a)| w * a).sum::<f64>() / total;
        let x_mean = self.x_mean + shift;
        let slope_variance = 1.0 / weighted().map(|(w, a)| w * (a - shift).powi(2)).sum::<f64>();
        let residual = |p: &UncertainPoint| (p.y - self.y_mean) - slope * (p.x - self.x_mean);
        Line {
            intercept: self.y_mean - slope * self.x_mean,
            slope,
            intercept_variance: 1.0 / total + x_mean * x_mean * slope_variance,
            slope_variance,
            covariance: -x_mean * slope_variance,
            sum_of_squares: self.weights.iter().zip(points).map(|(w, p)| w * residual(p).powi(2)).sum(),
            dof: points.len() - 2,
        }
    }
}
