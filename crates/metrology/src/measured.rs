//! A quantity with its standard uncertainty, degrees of freedom and 95 % coverage interval.
//!
//! Two shapes occur: symmetric on the quantity itself, and symmetric on its logarithm (a product of factors).
//! Source: JCGM 100:2008 (GUM), G.3 for the coverage factor from Student's t.
//!
//! ```
//! use metrology::{measured::Measured, quantity::Length};
//! let l = Measured::symmetric(Length::from_m(2.0), Length::from_m(0.01), 9.0);
//! // t(97.5 %, 9) = 2.262 (JCGM 100:2008, table G.2)
//! assert!((l.high_95.m() - 2.02262).abs() < 1e-5);
//! ```

use crate::quantity::{Quantity, Ratio};
use statrs::distribution::{Continuous, ContinuousCDF, Normal, StudentsT};

/// A value, what one standard deviation of it is, and the interval that holds the truth with 95 % probability.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Measured<Q> {
    /// Best value.
    pub value: Q,
    /// Standard uncertainty, in the quantity's own unit.
    pub standard_uncertainty: Q,
    /// Degrees of freedom of the standard uncertainty; infinite when it is not itself an estimate.
    pub dof: f64,
    /// Lower end of the 95 % coverage interval.
    pub low_95: Q,
    /// Upper end of the 95 % coverage interval.
    pub high_95: Q,
}

/// The factor by which a standard uncertainty with `dof` degrees of freedom is multiplied to cover 95 %.
pub fn coverage_factor_95(dof: f64) -> f64 {
    student_quantile(0.975, dof)
}

/// Quantile of Student's t; the normal quantile when `dof` is infinite. `dof` below 1 is taken as 1.
pub fn student_quantile(probability: f64, dof: f64) -> f64 {
    if dof > 1e6 {
        return Normal::standard().inverse_cdf(probability);
    }
    match StudentsT::new(0.0, 1.0, dof.max(1.0)) {
        Ok(t) => t.inverse_cdf(probability),
        Err(_) => f64::NAN,
    }
}

/// Probability that Student's t lies below `z`; the normal probability when `dof` is infinite. `dof` below 1 is
/// taken as 1.
///
/// ```
/// use metrology::measured::student_cdf;
/// // t(97.5 %, 9) = 2.262 (JCGM 100:2008, table G.2); the table rounds to 5e-4.
/// assert!((student_cdf(2.262, 9.0) - 0.975).abs() < 2e-5);
/// ```
pub fn student_cdf(z: f64, dof: f64) -> f64 {
    if dof > 1e6 {
        return normal_cdf(z);
    }
    match StudentsT::new(0.0, 1.0, dof.max(1.0)) {
        Ok(t) => t.cdf(z),
        Err(_) => f64::NAN,
    }
}

/// Probability density of Student's t at `z`; the normal density when `dof` is infinite. `dof` below 1 is taken
/// as 1.
///
/// ```
/// use metrology::measured::student_density;
/// // With one degree of freedom the density at zero is 1 / pi; with endless ones 1 / sqrt(2 pi).
/// assert!((student_density(0.0, 1.0) - 0.318_309_886_183_790_7).abs() < 1e-12);
/// assert!((student_density(0.0, f64::INFINITY) - 0.398_942_280_401_432_7).abs() < 1e-12);
/// ```
pub fn student_density(z: f64, dof: f64) -> f64 {
    if dof > 1e6 {
        return Normal::standard().pdf(z);
    }
    match StudentsT::new(0.0, 1.0, dof.max(1.0)) {
        Ok(t) => t.pdf(z),
        Err(_) => f64::NAN,
    }
}

/// Probability that a standard normal variable lies below `z`.
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

impl<Q: Quantity> Measured<Q> {
    /// A value whose error is symmetric on the quantity itself.
    pub fn symmetric(value: Q, standard_uncertainty: Q, dof: f64) -> Self {
        let half = coverage_factor_95(dof) * standard_uncertainty.si();
        Self {
            value,
            standard_uncertainty,
            dof,
            low_95: Q::from_si(value.si() - half),
            high_95: Q::from_si(value.si() + half),
        }
    }

    /// A value whose error is symmetric on the logarithm: `ln` is the natural logarithm of the SI value and
    /// `u_ln` its standard uncertainty, which is the relative uncertainty of the value.
    pub fn from_log(ln: f64, u_ln: f64, dof: f64) -> Self {
        let half = coverage_factor_95(dof) * u_ln;
        let value = ln.exp();
        Self {
            value: Q::from_si(value),
            standard_uncertainty: Q::from_si(value * u_ln),
            dof,
            low_95: Q::from_si((ln - half).exp()),
            high_95: Q::from_si((ln + half).exp()),
        }
    }

    /// A value known exactly.
    pub fn exact(value: Q) -> Self {
        Self::symmetric(value, Q::from_si(0.0), f64::INFINITY)
    }

    /// Standard uncertainty over value.
    pub fn relative_uncertainty(&self) -> Ratio {
        Ratio::from_plain((self.standard_uncertainty.si() / self.value.si()).abs())
    }
}
