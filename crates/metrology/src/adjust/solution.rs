//! What comes out of an adjustment: any functional of the unknowns, residuals, and how well it all agrees.

use super::columns::Columns;
use super::factors::Factors;
use super::space::{Space, coefficient_rows};
use super::whitening::Whitening;
use super::{Adjustment, AdjustmentError, Equation, OBSERVED};
use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ChiSquared, ContinuousCDF};
use std::sync::Arc;

/// An equation whose share of its own check is below this is checked by nothing else: rounding only.
const LONE_TOLERANCE: f64 = 1e-9;

/// Tail probability at which disagreement counts as real.
const SIGNIFICANCE: f64 = 0.05;

/// An unknown takes part in what is not known when its share is above this fraction of the largest share.
const PART_TOLERANCE: f64 = 1e-6;

/// A functional of the unknowns, as the evidence has it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct LinearEstimate {
    /// Best value.
    pub value: f64,
    /// Standard uncertainty, before any [`Solution::widening`].
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom (Welch-Satterthwaite over the equations); infinite when none has finite ones.
    pub dof: f64,
}

/// How far an equation is from the adjusted values, in its own unit: observed minus adjusted.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Residual {
    /// Observed minus adjusted, the equation itself included in the fit.
    pub residual: f64,
    /// Observed minus what all the others predict, known correlations of their errors used. `None` where nothing
    /// else determines it.
    pub leave_one_out: Option<f64>,
    /// `leave_one_out` over its own standard deviation; standard normal when all is well.
    pub normalised_leave_one_out: Option<f64>,
}

/// The fit. Functionals are lists of (index of unknown, coefficient).
#[derive(Clone, Debug)]
pub struct Solution {
    system: Arc<System>,
    unknowns: DVector<f64>,
    whitened_residuals: DVector<f64>,
}

/// All that does not depend on what was observed.
#[derive(Debug)]
struct System {
    equations: Vec<Equation>,
    columns: Columns,
    space: Space,
    whitening: Whitening,
    /// Indices of the equations that are not exact.
    soft: Vec<usize>,
    /// Their coefficients of the shared unknowns.
    coefficients: DMatrix<f64>,
    /// Of the whitened rows.
    factors: Factors,
}

impl System {
    fn new(adjustment: &Adjustment, columns: Columns) -> Result<Self, AdjustmentError> {
        let equations = adjustment.equations.clone();
        let space = Space::new(&equations, &columns);
        let soft: Vec<usize> = (0..equations.len()).filter(|&i| !equations[i].is_exact()).collect();
        let whitening = Whitening::new(adjustment, &soft)?;
        let coefficients = coefficient_rows(soft.iter().map(|&i| &equations[i]), &columns);
        let shared = whitening.whiten(&coefficients * &space.free);
        let held = |&index: &usize| {
            let equation = &equations[index];
            let (column, coefficient) = columns.held_in(equation)?;
            Some((column, coefficient / equation.standard_uncertainty))
        };
        let factors = Factors::new(shared, soft.iter().map(held).collect(), columns.held.len())?;
        Ok(Self { equations, columns, space, whitening, soft, coefficients, factors })
    }

    fn solve(self: Arc<Self>, observed: &[f64]) -> Result<Solution, AdjustmentError> {
        let origin = self.space.origin(&self.equations, observed)?;
        let right = DVector::from_iterator(self.soft.len(), self.soft.iter().map(|&index| observed[index]));
        let right = self.whitening.whiten_one(right - &self.coefficients * &origin);
        let factors = &self.factors;
        let mut free = factors.solve(factors.q_transposed(right.clone()));
        // One step of refinement wins back what the first pass rounded away.
        free += factors.solve(factors.q_transposed(&right - factors.rows(&free)));
        let whitened_residuals = &right - factors.rows(&free);
        free.component_div_assign(&factors.lengths);
        let (held, shared) = free.as_slice().split_at(self.columns.held.len());
        let shared = origin + &self.space.free * DVector::from_column_slice(shared);
        let unknowns = self.columns.together(held, &shared);
        if !unknowns.iter().chain(&whitened_residuals).all(|value| value.is_finite()) {
            return Err(AdjustmentError::Unbalanced);
        }
        Ok(Solution { system: self, unknowns, whitened_residuals })
    }
}

impl Solution {
    pub(super) fn fit(adjustment: &Adjustment, columns: Columns) -> Result<Self, AdjustmentError> {
        let observed: Vec<f64> = adjustment.equations.iter().map(|equation| equation.observed).collect();
        Arc::new(System::new(adjustment, columns)?).solve(&observed)
    }

    /// The same equations with other observed values, one per equation in order; coefficients and uncertainties
    /// stay, so nothing is decomposed again. For comparing models that differ only in constants.
    pub fn with_observed(&self, observed: &[f64]) -> Result<Self, AdjustmentError> {
        let equations = &self.system.equations;
        if observed.len() != equations.len() {
            let (expected, found) = (equations.len(), observed.len());
            return Err(AdjustmentError::WrongCount { expected, found });
        }
        for (equation, &value) in equations.iter().zip(observed) {
            let bad = |problem| AdjustmentError::BadNumber { label: equation.label.clone(), problem };
            OBSERVED.check(value).map_err(bad)?;
        }
        self.system.clone().solve(observed)
    }

    /// Best value, standard uncertainty and degrees of freedom; `None` when the equations do not determine it
    /// (or it names an unknown that does not exist).
    pub fn estimate(&self, functional: &[(usize, f64)]) -> Option<LinearEstimate> {
        let dense = self.dense(functional)?;
        let reach = self.reach(&dense)?;
        let dof = self.effective_dof(&self.shares(&reach));
        Some(LinearEstimate { value: dense.dot(&self.unknowns), standard_uncertainty: reach.norm(), dof })
    }

    /// The unknowns that cannot be told apart, or are not seen at all, where the functional is not determined;
    /// empty where it is. Evidence on enough of these settles it.
    pub fn unidentified(&self, functional: &[(usize, f64)]) -> Vec<usize> {
        let unseen = self
            .dense(functional)
            .and_then(|dense| self.system.space.unseen_part(&self.system.columns, &dense));
        let Some(unseen) = unseen else { return Vec::new() };
        let limit = PART_TOLERANCE * unseen.amax();
        (0..unseen.len()).filter(|&index| unseen[index].abs() > limit).collect()
    }

    /// Covariance of two functionals; `None` when either is not determined.
    pub fn covariance(&self, first: &[(usize, f64)], second: &[(usize, f64)]) -> Option<f64> {
        let first = self.reach(&self.dense(first)?)?;
        let second = self.reach(&self.dense(second)?)?;
        Some(first.dot(&second))
    }

    /// Share of each equation in the variance of the functional; the shares add up to 1. All are 0 where the
    /// functional is not determined, or known exactly. Between correlated equations a share may be negative.
    pub fn contributions(&self, functional: &[(usize, f64)]) -> Vec<f64> {
        let reach = self.dense(functional).and_then(|dense| self.reach(&dense));
        reach.map_or_else(|| vec![0.0; self.system.equations.len()], |reach| self.shares(&reach))
    }

    /// How far the functional moves for each unit that an equation is observed higher; 0 for exact equations. `None` where
    /// the functional is not determined.
    pub fn weights(&self, functional: &[(usize, f64)]) -> Option<Vec<f64>> {
        let reach = self.reach(&self.dense(functional)?)?;
        let weights = self.system.whitening.whiten_transposed(&self.system.factors.q(&reach));
        let mut out = vec![0.0; self.system.equations.len()];
        self.system.soft.iter().zip(&weights).for_each(|(index, weight)| out[*index] = *weight);
        Some(out)
    }

    /// One residual per equation, in order. Exact equations have none to speak of: 0, and no check.
    pub fn residuals(&self) -> Vec<Residual> {
        let exact = Residual { residual: 0.0, leave_one_out: None, normalised_leave_one_out: None };
        let mut out = vec![exact; self.system.equations.len()];
        let plain = self.system.whitening.colour(&self.whitened_residuals);
        for (position, &index) in self.system.soft.iter().enumerate() {
            out[index] = self.residual(position, plain[position]);
        }
        out
    }

    /// Sum of the squared whitened residuals, priors included.
    pub fn chi_square(&self) -> f64 {
        self.whitened_residuals.norm_squared()
    }

    /// Equations more than needed; the degrees of freedom of [`Solution::chi_square`].
    pub fn redundancy(&self) -> usize {
        self.system.soft.len() - self.system.factors.parameters()
    }

    /// Root of chi-square over redundancy: 1 when the scatter is what the uncertainties say. `None` without
    /// redundancy.
    pub fn birge_ratio(&self) -> Option<f64> {
        let redundancy = self.redundancy();
        (redundancy > 0).then(|| (self.chi_square() / redundancy as f64).sqrt())
    }

    /// Whether so much scatter would come by chance in less than 5 % of cases.
    pub fn birge_is_significant(&self) -> bool {
        let (chi_square, redundancy) = (self.chi_square(), self.redundancy() as f64);
        // Below its mean nothing is significant; the library panics on the far ends of the range.
        if redundancy == 0.0 || chi_square <= redundancy || !chi_square.is_finite() {
            return chi_square > redundancy && redundancy > 0.0;
        }
        ChiSquared::new(redundancy).is_ok_and(|distribution| distribution.sf(chi_square) < SIGNIFICANCE)
    }

    /// The factor for every standard uncertainty: the Birge ratio when it is above 1 and significant, else 1.
    /// Good agreement never shrinks an uncertainty.
    pub fn widening(&self) -> f64 {
        match self.birge_ratio() {
            Some(ratio) if self.birge_is_significant() => ratio.max(1.0),
            _ => 1.0,
        }
    }

    /// `ln` of the probability density of everything observed, the unknowns integrated out:
    /// `-½ [ m ln 2π + ln det V + χ² + ln det(AᵀV⁻¹A) ]` with `m` equations more than free parameters.
    ///
    /// An unknown with a prior is averaged over that prior (it is an equation like the others); one without is
    /// averaged over a flat density of 1 per unit, so the absolute figure then means nothing. Directions that
    /// no equation sees are left out, and an exact equation counts as the limit of a very certain one.
    /// Two models may be compared when all their unknowns have priors, or when their coefficients are the same
    /// and only `observed` (constants moved to the right) or the uncertainties differ.
    pub fn log_evidence(&self) -> f64 {
        let ln_two_pi = (2.0 * std::f64::consts::PI).ln();
        let System { space, whitening, factors, .. } = &*self.system;
        let surplus = 0.5 * (self.redundancy() as f64 * ln_two_pi + self.chi_square());
        space.ln_volume - surplus - whitening.ln_determinant() - factors.ln_determinant()
    }

    fn dense(&self, functional: &[(usize, f64)]) -> Option<DVector<f64>> {
        let mut dense = DVector::zeros(self.unknowns.len());
        for &(index, coefficient) in functional {
            *dense.get_mut(index)? += coefficient;
        }
        Some(dense)
    }

    /// The vector `t` with `Rᵀ t = f`: its squared length is the variance of `f`, `Q t` its whitened weights.
    fn reach(&self, functional: &DVector<f64>) -> Option<DVector<f64>> {
        let System { space, columns, factors, .. } = &*self.system;
        if space.unseen_part(columns, functional).is_some() {
            return None;
        }
        let along = space.along_free(columns, functional).component_div(&factors.lengths);
        Some(factors.solve_transposed(along))
    }

    fn shares(&self, reach: &DVector<f64>) -> Vec<f64> {
        let mut shares = vec![0.0; self.system.equations.len()];
        let variance = reach.norm_squared();
        if variance > 0.0 {
            let whitened = self.system.factors.q(reach);
            let weights = self.system.whitening.whiten_transposed(&whitened);
            let covered = self.system.whitening.colour(&whitened);
            for (position, &index) in self.system.soft.iter().enumerate() {
                shares[index] = weights[position] * covered[position] / variance;
            }
        }
        shares
    }

    fn effective_dof(&self, shares: &[f64]) -> f64 {
        let pairs = shares.iter().zip(&self.system.equations);
        // An empty sum of floats is -0; its inverse must not be minus infinity.
        1.0 / pairs.map(|(share, equation)| share * share / equation.dof).sum::<f64>().abs()
    }

    fn residual(&self, position: usize, residual: f64) -> Residual {
        // What a blunder of one unit in this equation alone looks like after whitening.
        let mut unit = DVector::zeros(self.system.soft.len());
        unit[position] = 1.0;
        let unit = self.system.whitening.whiten_one(unit);
        let factors = &self.system.factors;
        let checked = &unit - factors.q(&factors.q_transposed(unit.clone()));
        let information = checked.norm_squared();
        if information < LONE_TOLERANCE * unit.norm_squared() {
            return Residual { residual, leave_one_out: None, normalised_leave_one_out: None };
        }
        let pull = checked.dot(&self.whitened_residuals);
        Residual {
            residual,
            leave_one_out: Some(pull / information),
            normalised_leave_one_out: Some(pull / information.sqrt()),
        }
    }
}
