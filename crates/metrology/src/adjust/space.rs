//! What the coefficients alone decide: which directions of the unknowns are seen, and where exact knowledge
//! lets them move.

use super::columns::{Column, Columns};
use super::jacobi::Decomposition;
use super::{AdjustmentError, Equation};
use nalgebra::{DMatrix, DVector};

/// Singular values below this fraction of the largest count as zero. Coefficients are typed numbers on rows and
/// columns of unit length, so true zeros come out near 1e-16; the hardest certified polynomial (NIST Filip,
/// degree 10) reaches 3e-10 and must still count as seen.
pub(super) const RANK_TOLERANCE: f64 = 1e-13;

/// A functional counts as known when no more than this share of its length points where nothing was seen.
pub(super) const ESTIMABLE_TOLERANCE: f64 = 1e-9;

/// A functional has no part along a free direction when less than this fraction of its length points there:
/// rounding only. What exact equations fix must come out with no uncertainty at all, not with one of 1e-17.
const FIXED_TOLERANCE: f64 = 1e-14;

/// Exact equations agree when they miss each other by no more than rounding of this relative size.
const EXACT_TOLERANCE: f64 = 1e-11;

/// `x = origin + free · v` for the shared unknowns: every solution that the exact equations allow and any equation sees.
/// Held unknowns are seen and free, each by itself.
#[derive(Debug)]
pub(super) struct Space {
    /// Length of each column of the row-normalised coefficients; 1 for a column nobody uses.
    column_scale: DVector<f64>,
    /// The same of the held columns.
    held_scale: Vec<f64>,
    /// Orthonormal basis of what nothing sees, in unknowns multiplied by `column_scale`.
    null: DMatrix<f64>,
    /// Directions left free, in the caller's units; one column per free parameter.
    pub free: DMatrix<f64>,
    /// `ln` of the volume a unit cube of `v` has among the unknowns, times the density an exact equation adds.
    pub ln_volume: f64,
    exact: Exact,
}

/// The exact equations, ready for any right-hand side.
#[derive(Debug)]
struct Exact {
    indices: Vec<usize>,
    /// Length of each one's coefficients.
    lengths: Vec<f64>,
    /// All directions that are seen at all, in the caller's units.
    seen: DMatrix<f64>,
    /// Rows of unit length, in terms of `seen`.
    rows: DMatrix<f64>,
    split: Split,
}

impl Space {
    pub fn new(equations: &[Equation], columns: &Columns) -> Self {
        let unknowns = columns.shared.len();
        let mut rows = coefficient_rows(equations, columns);
        let mut held_squares = vec![0.0; columns.held.len()];
        for (mut row, equation) in rows.row_iter_mut().zip(equations) {
            let held = columns.held_in(equation);
            let length = nonzero(row.norm().hypot(held.map_or(0.0, |(_, coefficient)| coefficient)));
            row /= length;
            if let Some((column, coefficient)) = held {
                held_squares[column] += (coefficient / length).powi(2);
            }
        }
        let held_scale = held_squares.into_iter().map(f64::sqrt).map(nonzero).collect();
        let column_scale = column_lengths(&rows);
        for (mut column, &scale) in rows.column_iter_mut().zip(&column_scale) {
            column /= scale;
        }
        let split = Split::new(rows);
        let seen = if split.null.ncols() == 0 { DMatrix::identity(unknowns, unknowns) } else { split.seen };
        let (exact, ln_exact) = Exact::new(equations, columns, from_scaled(seen, &column_scale));
        let free =
            if exact.indices.is_empty() { exact.seen.clone() } else { &exact.seen * &exact.split.null };
        let ln_volume = ln_column_volume(&free) - ln_exact;
        Self { column_scale, held_scale, null: split.null, free, ln_volume, exact }
    }

    /// A solution of the exact equations, in the caller's units; `observed` has one number per equation.
    pub fn origin(&self, equations: &[Equation], observed: &[f64]) -> Result<DVector<f64>, AdjustmentError> {
        let Exact { indices, lengths, seen, rows, split } = &self.exact;
        let right = indices.iter().zip(lengths).map(|(&index, length)| observed[index] / length);
        let right = DVector::from_iterator(indices.len(), right);
        let start = split.solve(&right);
        let missed = rows * &start - &right;
        let reach = right.norm() + rows.norm() * start.norm();
        if let Some((worst, size)) = largest(&missed)
            && size > EXACT_TOLERANCE * reach
        {
            let label = equations[indices[worst]].label.clone();
            return Err(AdjustmentError::ExactContradiction { label, missed_by: size * lengths[worst] });
        }
        Ok(seen * start)
    }

    /// The functional in terms of the free parameters, the held ones first.
    pub fn along_free(&self, columns: &Columns, functional: &DVector<f64>) -> DVector<f64> {
        let (held, shared) = self.scaled(columns, functional);
        let size = held.norm().hypot(shared.norm());
        let seen = |along: f64, length: f64| {
            if along.abs() <= FIXED_TOLERANCE * size * length { 0.0 } else { along }
        };
        let of_held = columns.held.iter().zip(&self.held_scale);
        let of_held = of_held.map(|(unknown, scale)| seen(functional[*unknown], *scale));
        let plain = columns.shared_part(functional);
        let of_shared = self
            .free
            .column_iter()
            .map(|column| seen(column.dot(&plain), column.component_mul(&self.column_scale).norm()));
        DVector::from_iterator(columns.held.len() + self.free.ncols(), of_held.chain(of_shared))
    }

    /// Whether equations determine the functional; also the part of it, per unknown, that they do not.
    pub fn unseen_part(&self, columns: &Columns, functional: &DVector<f64>) -> Option<DVector<f64>> {
        let (held, shared) = self.scaled(columns, functional);
        let size = held.norm().hypot(shared.norm());
        let unseen = self.null.tr_mul(&shared);
        let none = vec![0.0; columns.held.len()];
        (unseen.norm() > ESTIMABLE_TOLERANCE * size).then(|| columns.together(&none, &(&self.null * unseen)))
    }

    /// The functional of unknowns multiplied by the lengths of their columns.
    fn scaled(&self, columns: &Columns, functional: &DVector<f64>) -> (DVector<f64>, DVector<f64>) {
        let held =
            columns.held.iter().zip(&self.held_scale).map(|(unknown, scale)| functional[*unknown] / scale);
        let shared = columns.shared_part(functional).component_div(&self.column_scale);
        (DVector::from_iterator(columns.held.len(), held), shared)
    }
}

impl Exact {
    /// Also the `ln` volume of the rows, for the density they stand for.
    fn new(equations: &[Equation], columns: &Columns, seen: DMatrix<f64>) -> (Self, f64) {
        let indices: Vec<usize> = (0..equations.len()).filter(|&index| equations[index].is_exact()).collect();
        let mut rows = coefficient_rows(indices.iter().map(|&index| &equations[index]), columns);
        let ln_volume = if indices.is_empty() { 0.0 } else { Split::new(rows.clone()).ln_volume() };
        let lengths = rows.row_iter().map(|row| nonzero(row.norm())).collect();
        normalise_rows(&mut rows);
        let rows = rows * &seen;
        let split = Split::new(rows.clone());
        (Self { indices, lengths, seen, rows, split }, ln_volume)
    }
}

/// A matrix split by singular values into what its rows see and what they do not.
#[derive(Debug)]
struct Split {
    left: DMatrix<f64>,
    singular: Vec<f64>,
    seen: DMatrix<f64>,
    null: DMatrix<f64>,
}

impl Split {
    fn new(matrix: DMatrix<f64>) -> Self {
        let svd = Decomposition::new(matrix);
        let limit = RANK_TOLERANCE * svd.singular.amax();
        let is_seen = |k: &usize| svd.singular[*k] > limit;
        let (seen, null): (Vec<usize>, Vec<usize>) = (0..svd.singular.len()).partition(is_seen);
        Self {
            left: svd.left.select_columns(&seen),
            singular: seen.iter().map(|&k| svd.singular[k]).collect(),
            seen: svd.right.select_columns(&seen),
            null: svd.right.select_columns(&null),
        }
    }

    /// The shortest solution of `matrix · x = right` in the sense of least squares.
    fn solve(&self, right: &DVector<f64>) -> DVector<f64> {
        let mut inner = self.left.tr_mul(right);
        for (value, singular) in inner.iter_mut().zip(&self.singular) {
            *value /= singular;
        }
        &self.seen * inner
    }

    fn ln_volume(&self) -> f64 {
        self.singular.iter().map(|s| s.ln()).sum()
    }
}

/// Dense coefficients of the shared unknowns, one row per equation.
pub(super) fn coefficient_rows<'a>(
    equations: impl IntoIterator<Item = &'a Equation, IntoIter: ExactSizeIterator>,
    columns: &Columns,
) -> DMatrix<f64> {
    let equations = equations.into_iter();
    let mut rows = DMatrix::zeros(equations.len(), columns.shared.len());
    for (row, equation) in equations.enumerate() {
        for &(unknown, coefficient) in &equation.coefficients {
            if let Column::Shared(column) = columns.place(unknown) {
                rows[(row, column)] += coefficient;
            }
        }
    }
    rows
}

/// Length of each column, 1 where it is all zeros.
pub(super) fn column_lengths(matrix: &DMatrix<f64>) -> DVector<f64> {
    DVector::from_iterator(matrix.ncols(), matrix.column_iter().map(|column| nonzero(column.norm())))
}

/// `ln` of the volume spanned by the columns, which are independent.
fn ln_column_volume(matrix: &DMatrix<f64>) -> f64 {
    if matrix.ncols() == 0 {
        return 0.0;
    }
    matrix.clone().qr().r().diagonal().iter().map(|d| d.abs().ln()).sum()
}

fn normalise_rows(matrix: &mut DMatrix<f64>) {
    for mut row in matrix.row_iter_mut() {
        let length = nonzero(row.norm());
        row /= length;
    }
}

fn from_scaled(mut basis: DMatrix<f64>, column_scale: &DVector<f64>) -> DMatrix<f64> {
    for (mut row, &scale) in basis.row_iter_mut().zip(column_scale) {
        row /= scale;
    }
    basis
}

fn nonzero(length: f64) -> f64 {
    if length > 0.0 { length } else { 1.0 }
}

fn largest(vector: &DVector<f64>) -> Option<(usize, f64)> {
    let sizes = vector.iter().map(|value| value.abs()).enumerate();
    sizes.max_by(|a, b| a.1.total_cmp(&b.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A few hundred roundings of numbers up to 12; a wrong singular vector would be wrong by far more.
    const ROUNDING: f64 = 2e-12;

    proptest! {
        /// Small whole numbers make every kind of rank deficiency; the split must be one of orthonormal bases
        /// and must put the matrix together again.
        #[test]
        fn split_is_orthonormal_and_complete(
            height in 1usize..7, width in 1usize..7, cells in prop::collection::vec(-2i8..=2, 49),
        ) {
            let matrix = DMatrix::from_fn(height, width, |i, j| f64::from(cells[7 * i + j]));
            let split = Split::new(matrix.clone());
            let basis = DMatrix::from_columns(
                &split.seen.column_iter().chain(split.null.column_iter()).collect::<Vec<_>>(),
            );
            let error = (basis.tr_mul(&basis) - DMatrix::identity(width, width)).amax();
            prop_assert!(error < ROUNDING, "not orthonormal by {error:e}");
            prop_assert!(split.null.is_empty() || (&matrix * &split.null).amax() < ROUNDING);
            let middle = DMatrix::from_diagonal(&DVector::from_vec(split.singular.clone()));
            let again = &split.left * middle * split.seen.transpose();
            let error = (again - matrix).amax();
            prop_assert!(error < ROUNDING, "not put together again by {error:e}");
        }
    }
}
