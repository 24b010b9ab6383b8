//! Straight lines `y = intercept + slope · x`: ordinary, through the origin, with errors in both, and robust.
//!
//! **Units.** `x` and `y` in the caller's; slope in `y` per `x`.
//!
//! | function | errors in | uncertainty from |
//! |---|---|---|
//! | [`ordinary`], [`through_origin`] | `y` only, all alike | the scatter of the residuals |
//! | [`york`] | both, point by point, correlated within a point | the stated uncertainties |
//! | [`theil_sen`] | anything; up to 29 % of the points may be wild | ranks (95 % interval of the slope) |
//!
//! **Accuracy.** Certified slopes and intercepts of NIST Norris, NoInt1 and NoInt2 to 12 digits; Pearson's data
//! with York's weights to the ten published digits (`tests/reference.rs`). Ordinary fits centre `x` first, so a
//! large common offset in `x` costs only the digits it already cost in the data.
//!
//! **Sources.** York, Evensen, López Martínez, De Basabe Delgado 2004, Am. J. Phys. 72:367 (eq. 13 and 14);
//! Theil 1950; Sen 1968, JASA 63:1379; Gilbert 1987 for the interval with ties (from memory).
//!
//! ```
//! let line = metrology::line::ordinary(&[1.0, 2.0, 3.0], &[2.1, 3.9, 6.0])?;
//! assert!((line.slope - 1.95).abs() < 1e-12);
//! let (y, u) = line.predict(2.0);
//! assert!((y - 4.0).abs() < 1e-12 && u > 0.0);
//! # Ok::<(), metrology::line::LineError>(())
//! ```

mod robust;
mod york;

pub use robust::{MOST_ROBUST_POINTS, RobustLine, theil_sen};
pub use york::{UncertainPoint, york};

/// A fitted straight line with the covariance of its two parameters.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Line {
    /// `y` where `x` is 0.
    pub intercept: f64,
    /// `y` per `x`.
    pub slope: f64,
    /// Variance of the intercept.
    pub intercept_variance: f64,
    /// Variance of the slope.
    pub slope_variance: f64,
    /// Covariance of intercept and slope.
    pub covariance: f64,
    /// Weighted sum of squared residuals; unweighted where no uncertainties were given.
    pub sum_of_squares: f64,
    /// Points minus fitted parameters.
    pub dof: usize,
}

/// Why no line can be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LineError {
    /// `x` and `y` do not belong together.
    #[error("expected as many y as x ({x}), found {y}")]
    UnequalLengths {
        /// Number of `x`.
        x: usize,
        /// Number of `y`.
        y: usize,
    },
    /// Not enough points, or too many for the method.
    #[error("expected {expected}, found {found} points")]
    PointCount {
        /// What the method takes.
        expected: String,
        /// How many there were.
        found: usize,
    },
    /// All points share one `x`: any slope fits.
    #[error("expected points at different x, found all at the same; the slope is unknowable")]
    NoSpread,
    /// A coordinate or uncertainty that cannot be.
    #[error("point {index}: expected {expected}")]
    BadPoint {
        /// Which, from 0.
        index: usize,
        /// What is allowed.
        expected: &'static str,
    },
    /// The iteration did not settle: the errors are as large as the spread.
    #[error("the slope does not settle within {iterations} steps; the errors are too large for the spread")]
    NotSettled {
        /// Steps tried.
        iterations: usize,
    },
}

impl Line {
    /// Standard uncertainty of the intercept.
    pub fn intercept_standard_uncertainty(&self) -> f64 {
        self.intercept_variance.sqrt()
    }

    /// Standard uncertainty of the slope.
    pub fn slope_standard_uncertainty(&self) -> f64 {
        self.slope_variance.sqrt()
    }

    /// Root of the sum of squares over its degrees of freedom: the residual standard deviation of an ordinary
    /// fit, the Birge ratio of a weighted one. `None` without redundancy.
    pub fn scatter(&self) -> Option<f64> {
        (self.dof > 0).then(|| (self.sum_of_squares / self.dof as f64).sqrt())
    }

    /// The line's `y` at `x` and its standard uncertainty (of the line, not of a further point).
    pub fn predict(&self, x: f64) -> (f64, f64) {
        let variance = self.intercept_variance + 2.0 * x * self.covariance + x * x * self.slope_variance;
        (self.intercept + self.slope * x, variance.max(0.0).sqrt())
    }
}

/// Least squares with equal errors in `y` only. With two points the variances are unknown (NaN).
pub fn ordinary(x: &[f64], y: &[f64]) -> Result<Line, LineError> {
    check_points(x, y, 2)?;
    let (x_mean, y_mean) = (mean(x), mean(y));
    let x_squares: f64 = x.iter().map(|x| (x - x_mean).powi(2)).sum();
    if x_squares <= 0.0 {
        return Err(LineError::NoSpread);
    }
    let slope = x.iter().zip(y).map(|(x, y)| (x - x_mean) * (y - y_mean)).sum::<f64>() / x_squares;
    let residual = |(x, y): (&f64, &f64)| ((y - y_mean) - slope * (x - x_mean)).powi(2);
    let sum_of_squares: f64 = x.iter().zip(y).map(residual).sum();
    let dof = x.len() - 2;
    let variance = sum_of_squares / dof as f64;
    let slope_variance = variance / x_squares;
    Ok(Line {
        intercept: y_mean - slope * x_mean,
        slope,
        intercept_variance: variance / x.len() as f64 + x_mean * x_mean * slope_variance,
        slope_variance,
        covariance: -x_mean * slope_variance,
        sum_of_squares,
        dof,
    })
}

/// Least squares through the origin with equal errors in `y` only. With one point the variance is unknown (NaN).
pub fn through_origin(x: &[f64], y: &[f64]) -> Result<Line, LineError> {
    check_points(x, y, 1)?;
    let x_squares: f64 = x.iter().map(|x| x * x).sum();
    if x_squares <= 0.0 {
        return Err(LineError::NoSpread);
    }
    let slope = x.iter().zip(y).map(|(x, y)| x * y).sum::<f64>() / x_squares;
    let sum_of_squares: f64 = x.iter().zip(y).map(|(x, y)| (y - slope * x).powi(2)).sum();
    let dof = x.len() - 1;
    let slope_variance = sum_of_squares / dof as f64 / x_squares;
    let (intercept, intercept_variance, covariance) = (0.0, 0.0, 0.0);
    Ok(Line { intercept, slope, intercept_variance, slope_variance, covariance, sum_of_squares, dof })
}

fn check_points(x: &[f64], y: &[f64], least: usize) -> Result<(), LineError> {
    if x.len() != y.len() {
        return Err(LineError::UnequalLengths { x: x.len(), y: y.len() });
    }
    if x.len() < least {
        return Err(LineError::PointCount { expected: format!("{least} or more"), found: x.len() });
    }
    match x.iter().zip(y).position(|(x, y)| !x.is_finite() || !y.is_finite()) {
        Some(index) => Err(LineError::BadPoint { index, expected: "finite coordinates" }),
        None => Ok(()),
    }
}

/// Two-pass mean: the second pass takes away the rounding of the first.
fn mean(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let rough = values.iter().sum::<f64>() / count;
    rough + values.iter().map(|value| value - rough).sum::<f64>() / count
}

#[cfg(test)]
mod tests;
