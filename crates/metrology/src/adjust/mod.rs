//! Linear adjustment: many uncertain equations in a few unknowns, solved together.
//!
//! **Problem.** Evidence comes as equations `a · x = y` with a standard uncertainty each; a prior is an equation
//! like any other. Wanted are functionals `f · x` of the unknowns, which may be known although the unknowns
//! themselves are not.
//!
//! **Symbols.** `A` coefficients (equation by unknown), `y` observed, `V` covariance of the equations (diagonal
//! `u²` unless [`Adjustment::correlate`] says more), `V = L Lᵀ` (Cholesky), `B = L⁻¹ A` the whitened rows.
//!
//! **Units.** Whatever the caller's are; mixed units are fine, because rank is judged on rows and columns of
//! unit length.
//!
//! **Method.** Generalised least squares by Householder QR of the whitened rows, with one step of iterative
//! refinement; normal equations are never formed. Unknowns that an equation speaks of alone are eliminated first, one by
//! one, where few equations name them: a thousand measurements with a disturbance of their own each then cost their
//! square at most, not their cube. What can be known at all does not depend on how well it is
//! measured, so rank and null space come from a singular value decomposition of the *coefficients*, not of the
//! whitened rows. Exact knowledge (`standard_uncertainty == 0`) is eliminated before the fit: the unknowns move
//! only in the null space of the exact equations. Exact equations that contradict each other are refused.
//!
//! **Accuracy.** Against a dense reference: 1e-10 relative (`tests/reference.rs`). The digits lost grow with the
//! condition number of the whitened rows after scaling of columns:
//!
//! | data set | digits agreed: coefficients | their standard deviations |
//! |---|---|---|
//! | NIST Norris, NoInt1, NoInt2 (lower to average difficulty) | 13 or more | 13 or more |
//! | NIST Longley (collinear) | 10 | 12 |
//! | NIST Wampler 1 to 5 (powers up to 5, more and more noise) | 11, 12, 9, 7, 5 | 9 or more |
//! | NIST Filip (powers up to 10) | 7 | 7 |
//!
//! **Sources.** Björck 1996, *Numerical Methods for Least Squares Problems*, ch. 2, 4.3 and 5.1 (from memory);
//! Baarda 1968, *A testing procedure for use in geodetic networks* (the normalised residual, from memory);
//! Birge 1932, Phys. Rev. 40:207; JCGM 100:2008 G.4 (Welch-Satterthwaite).
//!
//! ```
//! use metrology::adjust::{Adjustment, Equation};
//! // The product of two factors was seen once, the second factor is known from before: logarithms add.
//! let mut adjustment = Adjustment::new(vec!["ln a".into(), "ln b".into()]);
//! adjustment.push(Equation::evidence("product", [(0, 1.0), (1, 1.0)], 1.20, 0.003));
//! adjustment.push(Equation::prior("b from before", [(1, 1.0)], 0.50, 0.004));
//! let solution = adjustment.solve()?;
//! let a = solution.estimate(&[(0, 1.0)]).expect("both equations together determine a");
//! assert!((a.value - 0.70).abs() < 1e-12);
//! assert!((a.standard_uncertainty - 0.005).abs() < 1e-12);
//! # Ok::<(), metrology::adjust::AdjustmentError>(())
//! ```

mod columns;
mod factors;
mod jacobi;
mod solution;
mod space;
mod whitening;

pub use solution::{LinearEstimate, Residual, Solution};

use crate::bounds::{DEGREES_OF_FREEDOM, FINITE, OutOfRange, Range, STANDARD_UNCERTAINTY};

const COEFFICIENT: Range = Range { name: "a coefficient", ..FINITE };
const OBSERVED: Range = Range { name: "an observed value", ..FINITE };

/// One piece of evidence: `Σ coefficient · unknown = observed`, give or take its standard uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Equation {
    /// What a person calls it.
    pub label: String,
    /// Index of the unknown and its coefficient. An unknown named twice gets the sum.
    pub coefficients: Vec<(usize, f64)>,
    /// Right-hand side, in the unit the coefficients and unknowns make.
    pub observed: f64,
    /// Standard uncertainty in the unit of `observed`; 0 means exact knowledge, a constraint.
    pub standard_uncertainty: f64,
    /// Degrees of freedom of the standard uncertainty; infinite when it is not itself an estimate.
    pub dof: f64,
    /// Whether this was believed before anything was measured. It changes no number, only what is said.
    pub is_prior: bool,
}

impl Equation {
    /// Something measured, its uncertainty taken as known (infinite degrees of freedom).
    pub fn evidence(
        label: impl Into<String>,
        coefficients: impl Into<Vec<(usize, f64)>>,
        observed: f64,
        standard_uncertainty: f64,
    ) -> Self {
        let (label, coefficients) = (label.into(), coefficients.into());
        Self { label, coefficients, observed, standard_uncertainty, dof: f64::INFINITY, is_prior: false }
    }

    /// Something believed before.
    pub fn prior(
        label: impl Into<String>,
        coefficients: impl Into<Vec<(usize, f64)>>,
        observed: f64,
        standard_uncertainty: f64,
    ) -> Self {
        Self { is_prior: true, ..Self::evidence(label, coefficients, observed, standard_uncertainty) }
    }

    /// The same equation with a standard uncertainty that is itself an estimate.
    pub fn with_dof(self, dof: f64) -> Self {
        Self { dof, ..self }
    }

    pub(crate) fn is_exact(&self) -> bool {
        self.standard_uncertainty == 0.0
    }
}

/// Why a set of equations cannot be adjusted. A lack of evidence is not among these: it is answered per
/// functional by [`Solution::estimate`].
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AdjustmentError {
    /// An equation names an unknown that does not exist.
    #[error("equation \"{label}\" names unknown {index}, but there are only {unknowns} (counted from 0)")]
    NoSuchUnknown {
        /// The equation.
        label: String,
        /// The unknown it names.
        index: usize,
        /// How many there are.
        unknowns: usize,
    },
    /// A number that cannot stand where it stands.
    #[error("equation \"{label}\": {problem}")]
    BadNumber {
        /// The equation.
        label: String,
        /// What is allowed and what was given.
        problem: OutOfRange,
    },
    /// Exact equations that cannot all be true.
    #[error(
        "exact equations contradict each other: \"{label}\" is missed by {missed_by:e}; give one of them an uncertainty"
    )]
    ExactContradiction {
        /// The equation that is missed most.
        label: String,
        /// By how much, in its own unit.
        missed_by: f64,
    },
    /// The covariances given do not belong to any set of random variables, or tie equations that cannot be tied.
    #[error(
        "the covariances between the equations are impossible (near \"{label}\"): a correlation must lie inside -1 to 1, and an exact equation has none"
    )]
    BadCovariance {
        /// An equation concerned.
        label: String,
    },
    /// Not one observed value per equation.
    #[error("expected {expected} observed values, one per equation, found {found}")]
    WrongCount {
        /// How many equations there are.
        expected: usize,
        /// How many values were given.
        found: usize,
    },
    /// Uncertainties so unequal that the weakest evidence drowns in rounding.
    #[error(
        "the uncertainties differ by more than the arithmetic can carry; enter the smallest ones as exact (0)"
    )]
    Unbalanced,
}

/// Unknowns and equations, collected; [`Adjustment::solve`] fits them.
#[derive(Clone, Debug, Default)]
pub struct Adjustment {
    pub(crate) unknowns: Vec<String>,
    pub(crate) equations: Vec<Equation>,
    pub(crate) covariances: Vec<(usize, usize, f64)>,
}

impl Adjustment {
    /// Starts with named unknowns and no evidence.
    pub fn new(unknowns: Vec<String>) -> Self {
        Self { unknowns, equations: Vec::new(), covariances: Vec::new() }
    }

    /// Adds an equation and returns its index.
    pub fn push(&mut self, equation: Equation) -> usize {
        self.equations.push(equation);
        self.equations.len() - 1
    }

    /// States that the errors of two equations go together, with this covariance (product of their units).
    /// Stating it again adds up. A nuisance parameter with a prior does the same and explains itself better.
    pub fn correlate(&mut self, first: usize, second: usize, covariance: f64) {
        self.covariances.push((first, second, covariance));
    }

    /// Names of the unknowns, in order.
    pub fn unknowns(&self) -> &[String] {
        &self.unknowns
    }

    /// The equations, in the order they were pushed.
    pub fn equations(&self) -> &[Equation] {
        &self.equations
    }

    /// Fits everything. Fails only on impossible input, never for want of evidence.
    pub fn solve(&self) -> Result<Solution, AdjustmentError> {
        self.equations.iter().try_for_each(|equation| self.check(equation))?;
        Solution::fit(self, columns::Columns::new(self))
    }

    fn check(&self, equation: &Equation) -> Result<(), AdjustmentError> {
        let unknowns = self.unknowns.len();
        if let Some(&(index, _)) = equation.coefficients.iter().find(|(index, _)| *index >= unknowns) {
            return Err(AdjustmentError::NoSuchUnknown { label: equation.label.clone(), index, unknowns });
        }
        let numbers = || {
            equation.coefficients.iter().try_for_each(|&(_, value)| COEFFICIENT.check(value).map(drop))?;
            OBSERVED.check(equation.observed)?;
            STANDARD_UNCERTAINTY.check(equation.standard_uncertainty)?;
            DEGREES_OF_FREEDOM.check(equation.dof)
        };
        let bad = |problem| AdjustmentError::BadNumber { label: equation.label.clone(), problem };
        numbers().map(drop).map_err(bad)
    }
}

#[cfg(test)]
mod tests;
