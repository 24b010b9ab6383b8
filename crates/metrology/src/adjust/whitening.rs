//! Turning correlated, unequally uncertain equations into independent ones of unit uncertainty.

use super::{Adjustment, AdjustmentError};
use nalgebra::{DMatrix, DVector};

/// The factor `L` of the covariance `V = L Lᵀ` of the equations that are not exact.
#[derive(Debug)]
pub(super) enum Whitening {
    /// Independent equations: their standard uncertainties.
    Independent(DVector<f64>),
    /// Lower triangular factor by Cholesky.
    Correlated(DMatrix<f64>),
}

impl Whitening {
    /// `soft` lists the equations that are not exact.
    pub fn new(adjustment: &Adjustment, soft: &[usize]) -> Result<Self, AdjustmentError> {
        let u = |&index: &usize| adjustment.equations[index].standard_uncertainty;
        let uncertainties = DVector::from_iterator(soft.len(), soft.iter().map(u));
        if adjustment.covariances.is_empty() {
            return Ok(Self::Independent(uncertainties));
        }
        // Correlations instead of covariances, so that the factor is as well conditioned as the case allows.
        let mut correlation = DMatrix::identity(soft.len(), soft.len());
        let bad = |index: usize| {
            let label = adjustment.equations.get(index).map(|e| e.label.clone()).unwrap_or_default();
            AdjustmentError::BadCovariance { label }
        };
        for &(first, second, covariance) in &adjustment.covariances {
            let row = soft.binary_search(&first).map_err(|_| bad(first))?;
            let column = soft.binary_search(&second).map_err(|_| bad(second))?;
            let share = covariance / (uncertainties[row] * uncertainties[column]);
            if row == column || !share.is_finite() {
                return Err(bad(first));
            }
            correlation[(row, column)] += share;
            correlation[(column, row)] += share;
        }
        let first = adjustment.covariances.first().map_or(0, |&(first, _, _)| first);
        let mut factor = correlation.cholesky().ok_or_else(|| bad(first))?.unpack();
        for (mut row, &u) in factor.row_iter_mut().zip(&uncertainties) {
            row *= u;
        }
        Ok(Self::Correlated(factor))
    }

    /// `L⁻¹ · rows`.
    pub fn whiten(&self, mut rows: DMatrix<f64>) -> DMatrix<f64> {
        match self {
            Self::Independent(u) => {
                for (mut row, u) in rows.row_iter_mut().zip(u) {
                    row /= *u;
                }
            }
            Self::Correlated(factor) => {
                factor.solve_lower_triangular_mut(&mut rows);
            }
        }
        rows
    }

    /// `L⁻ᵀ · vector`.
    pub fn whiten_transposed(&self, vector: &DVector<f64>) -> DVector<f64> {
        match self {
            Self::Independent(u) => vector.component_div(u),
            Self::Correlated(factor) => {
                let mut out = vector.clone();
                factor.tr_solve_lower_triangular_mut(&mut out);
                out
            }
        }
    }

    /// `L · vector`.
    pub fn colour(&self, vector: &DVector<f64>) -> DVector<f64> {
        match self {
            Self::Independent(u) => vector.component_mul(u),
            Self::Correlated(factor) => factor * vector,
        }
    }

    /// `L⁻¹ · vector`.
    pub fn whiten_one(&self, mut vector: DVector<f64>) -> DVector<f64> {
        match self {
            Self::Independent(u) => vector.component_div_assign(u),
            Self::Correlated(factor) => {
                factor.solve_lower_triangular_mut(&mut vector);
            }
        }
        vector
    }

    /// `ln det L`, half of `ln det V`.
    pub fn ln_determinant(&self) -> f64 {
        match self {
            Self::Independent(u) => u.iter().map(|u| u.ln()).sum(),
            Self::Correlated(factor) => factor.diagonal().iter().map(|d| d.ln()).sum(),
        }
    }
}
