//! Which unknowns can be eliminated one by one, before anything dense is made.
//!
//! An unknown is *held* when an equation speaks of it alone, as a prior does; held unknowns are chosen so that no two of
//! them meet in an equation. A thousand measurements with a disturbance of their own each are as many unknowns, but only
//! those that measurements share are left for the dense factors (Björck 1996, ch. 6.3, block angular problems; from
//! memory). A held unknown is always seen, so that rank and null space are those of the shared columns.

use super::{Adjustment, Equation};
use nalgebra::DVector;
use std::collections::BTreeMap;

/// An unknown that more equations name is left to the dense factors: there can be few of them for so many equations, and
/// those of a polynomial keep the digits that a decomposition of all columns together gives.
const MOST_NAMED: usize = 16;

/// The column of an unknown.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Column {
    Held(usize),
    Shared(usize),
}

/// How the unknowns are parted.
#[derive(Debug)]
pub(super) struct Columns {
    /// The unknown of each held column.
    pub held: Vec<usize>,
    /// The unknown of each shared column.
    pub shared: Vec<usize>,
    places: Vec<Column>,
}

impl Columns {
    /// Those that few equations name are held first. With correlated equations all are shared: whitening mixes the rows.
    pub fn new(adjustment: &Adjustment) -> Self {
        let unknowns = adjustment.unknowns.len();
        if !adjustment.covariances.is_empty() {
            return Self::all_shared(unknowns);
        }
        let mut named: Vec<Vec<usize>> = vec![Vec::new(); unknowns];
        let (mut has_own, mut is_bound) = (vec![false; unknowns], vec![false; unknowns]);
        for (index, equation) in adjustment.equations.iter().enumerate() {
            let terms = terms(equation);
            terms.iter().for_each(|(unknown, _)| named[*unknown].push(index));
            match terms[..] {
                _ if equation.is_exact() => terms.iter().for_each(|(unknown, _)| is_bound[*unknown] = true),
                [(unknown, coefficient)] if coefficient.is_finite() => has_own[unknown] = true,
                _ => {}
            }
        }
        let may_be_held = |k: &usize| has_own[*k] && !is_bound[*k] && named[*k].len() <= MOST_NAMED;
        let mut candidates: Vec<usize> = (0..unknowns).filter(may_be_held).collect();
        candidates.sort_by_key(|unknown| named[*unknown].len());
        let mut is_taken = vec![false; adjustment.equations.len()];
        let mut is_held = vec![false; unknowns];
        for unknown in candidates {
            if named[unknown].iter().all(|equation| !is_taken[*equation]) {
                named[unknown].iter().for_each(|equation| is_taken[*equation] = true);
                is_held[unknown] = true;
            }
        }
        Self::parted(&is_held)
    }

    /// Nothing held.
    pub fn all_shared(unknowns: usize) -> Self {
        Self::parted(&vec![false; unknowns])
    }

    fn parted(is_held: &[bool]) -> Self {
        let (held, shared): (Vec<usize>, Vec<usize>) = (0..is_held.len()).partition(|k| is_held[*k]);
        let mut places = vec![Column::Shared(0); is_held.len()];
        held.iter().enumerate().for_each(|(column, unknown)| places[*unknown] = Column::Held(column));
        shared.iter().enumerate().for_each(|(column, unknown)| places[*unknown] = Column::Shared(column));
        Self { held, shared, places }
    }

    pub fn place(&self, unknown: usize) -> Column {
        self.places[unknown]
    }

    /// The held unknown that an equation names, with its coefficient.
    pub fn held_in(&self, equation: &Equation) -> Option<(usize, f64)> {
        terms(equation).into_iter().find_map(|(unknown, coefficient)| match self.place(unknown) {
            Column::Held(column) => Some((column, coefficient)),
            Column::Shared(_) => None,
        })
    }

    /// The entries of the shared unknowns.
    pub fn shared_part(&self, all: &DVector<f64>) -> DVector<f64> {
        DVector::from_iterator(self.shared.len(), self.shared.iter().map(|unknown| all[*unknown]))
    }

    /// One entry for each unknown, from those of the held and of the shared ones.
    pub fn together(&self, held: &[f64], shared: &DVector<f64>) -> DVector<f64> {
        let of = |place: &Column| match place {
            Column::Held(column) => held[*column],
            Column::Shared(column) => shared[*column],
        };
        DVector::from_iterator(self.places.len(), self.places.iter().map(of))
    }
}

/// The coefficients of an equation, each unknown once and none that cancel.
fn terms(equation: &Equation) -> Vec<(usize, f64)> {
    let mut sums: BTreeMap<usize, f64> = BTreeMap::new();
    for (unknown, coefficient) in &equation.coefficients {
        *sums.entry(*unknown).or_default() += coefficient;
    }
    sums.into_iter().filter(|(_, sum)| *sum != 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{LinearEstimate, Residual, Solution};
    use super::*;
    use proptest::prelude::*;

    const SHARED: usize = 3;

    /// What was seen: small whole coefficients of the shared unknowns, the held unknown in it with its coefficient, the
    /// value, and the decimal exponent of the uncertainty.
    type Seen = (Vec<i8>, Option<(usize, f64)>, f64, i32);

    fn seen(held: usize) -> impl Strategy<Value = Seen> {
        let named = prop::option::weighted(0.8, (0..held, 0.2..2.0f64));
        (prop::collection::vec(-1i8..=1, SHARED), named, -2.0..2.0f64, -3..=0i32)
    }

    fn adjustment(held: usize, all: &[Seen], exact: Option<f64>) -> Adjustment {
        let mut adjustment = Adjustment::new(vec![String::new(); SHARED + held]);
        for unknown in SHARED..SHARED + held {
            adjustment.push(Equation::prior("", [(unknown, 1.0)], 0.1, 10f64.powi(-(unknown as i32 % 3))));
        }
        for (cells, held, value, power) in all {
            let shared = cells.iter().enumerate().map(|(unknown, cell)| (unknown, f64::from(*cell)));
            let held = held.map(|(column, coefficient)| (SHARED + column, coefficient));
            let u = 10f64.powi(*power);
            adjustment.push(
                Equation::evidence("", shared.chain(held).collect::<Vec<_>>(), *value, u).with_dof(9.0),
            );
        }
        adjustment
            .equations
            .extend(exact.map(|value| Equation::evidence("", [(0, 1.0), (1, -1.0)], value, 0.0)));
        adjustment
    }

    /// Numbers up to 2 with uncertainties of 1e-3 to 1: a few of the sixteen digits go.
    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0) || a == b
    }

    /// The least uncertainty of what is seen.
    const LEAST_U: f64 = 1e-3;

    /// Values found by way of the normal equations lose as many digits as these are ill-conditioned: the square of the value's own
    /// uncertainty over the least that went in (Golub and Van Loan, section 5.3.7; from memory). Four roundings are allowed.
    fn near_for(a: &LinearEstimate, b: &LinearEstimate) -> bool {
        let condition = (b.standard_uncertainty / LEAST_U).powi(2);
        near(a.value, b.value) || (a.value - b.value).abs() <= 4.0 * f64::EPSILON * condition
    }

    fn same(a: Option<f64>, b: Option<f64>) -> bool {
        a.is_some() == b.is_some() && a.zip(b).is_none_or(|(a, b)| near(a, b))
    }

    fn functionals(held: usize) -> impl Iterator<Item = Vec<(usize, f64)>> {
        let single = (0..SHARED + held).map(|unknown| vec![(unknown, 1.0)]);
        single.chain([vec![(0, 1.0), (1, 1.0)], vec![(0, 1.0), (2, -1.0), (SHARED, 0.5)]])
    }

    fn all_the_same(fast: &Solution, slow: &Solution, held: usize) -> Result<(), TestCaseError> {
        prop_assert!(near(fast.chi_square(), slow.chi_square()));
        prop_assert!(near(fast.log_evidence(), slow.log_evidence()));
        prop_assert_eq!(fast.redundancy(), slow.redundancy());
        for functional in functionals(held) {
            let (a, b) = (fast.estimate(&functional), slow.estimate(&functional));
            prop_assert!(
                a.is_some() == b.is_some() && a.zip(b).is_none_or(|(a, b)| near_for(&a, &b)),
                "{a:?} {b:?}"
            );
            let (a, b) = (a.map(|e| e.standard_uncertainty), b.map(|e| e.standard_uncertainty));
            prop_assert!(same(a, b), "{a:?} {b:?}");
            prop_assert_eq!(fast.unidentified(&functional), slow.unidentified(&functional));
            let together = |solution: &Solution| solution.covariance(&functional, &[(SHARED, 1.0)]);
            prop_assert!(same(together(fast), together(slow)));
            let pairs = fast.contributions(&functional).into_iter().zip(slow.contributions(&functional));
            prop_assert!(pairs.into_iter().all(|(a, b)| near(a, b)));
            let (a, b) = (fast.weights(&functional), slow.weights(&functional));
            prop_assert_eq!(a.is_some(), b.is_some());
            prop_assert!(a.into_iter().flatten().zip(b.into_iter().flatten()).all(|(a, b)| near(a, b)));
        }
        for (a, b) in fast.residuals().iter().zip(slow.residuals()) {
            // What an equation says against the others is what it is off by, over the share of it that they check: half of
            // the digits of that share go, either way.
            let checked = b.leave_one_out.map_or(1.0, |off| (b.residual / off).abs().min(1.0));
            let parts = |r: &Residual| [r.leave_one_out, r.normalised_leave_one_out];
            let parts = parts(a)
                .into_iter()
                .zip(parts(&b))
                .map(|(a, b)| (a.map(|a| a * checked.sqrt()), b.map(|b| b * checked.sqrt())));
            prop_assert!(near(a.residual, b.residual));
            prop_assert!(parts.into_iter().all(|(a, b)| same(a, b)), "{a:?} {b:?}");
        }
        Ok(())
    }

    proptest! {
        /// Eliminated one by one or all at once: the same answers.
        #[test]
        fn as_one_dense_matrix_has_it(
            held in 1usize..6, all in prop::collection::vec(seen(5), 0..14), exact in prop::option::of(-1.0..1.0f64),
        ) {
            let all: Vec<Seen> = all.into_iter().map(|(cells, named, value, power)| {
                (cells, named.map(|(column, coefficient)| (column % held, coefficient)), value, power)
            }).collect();
            let adjustment = adjustment(held, &all, exact);
            let columns = Columns::new(&adjustment);
            prop_assert!(columns.held.len() >= held.min(1));
            let fast = Solution::fit(&adjustment, columns).unwrap();
            let slow = Solution::fit(&adjustment, Columns::all_shared(SHARED + held)).unwrap();
            all_the_same(&fast, &slow, held)?;
        }
    }

    #[test]
    fn what_meets_is_not_held_together() {
        let mut adjustment = Adjustment::new(vec![String::new(); 4]);
        for unknown in [0, 1, 3] {
            adjustment.push(Equation::prior("", [(unknown, 1.0)], 0.0, 1.0));
        }
        adjustment.push(Equation::evidence("", [(0, 1.0), (1, 1.0), (2, 1.0)], 0.0, 1.0));
        adjustment.push(Equation::evidence("", [(1, 1.0), (2, 1.0)], 0.0, 1.0));
        adjustment.push(Equation::evidence("", [(3, 1.0), (2, 1.0)], 0.0, 0.0));
        // 0 and 1 meet; 0 is named by fewer. 2 has no equation of its own; 3 is bound by an exact one.
        let columns = Columns::new(&adjustment);
        assert_eq!((columns.held.clone(), columns.shared.clone()), (vec![0], vec![1, 2, 3]));
        adjustment.correlate(0, 1, 0.1);
        assert!(Columns::new(&adjustment).held.is_empty());
    }
}
