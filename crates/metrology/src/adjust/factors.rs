//! QR factors of the whitened rows: held unknowns by one reflection each, what is left dense and narrow.
//!
//! Parameters stand in one vector, the held ones first. `rows = Q R`, with `R = [D W; 0 r]`, `D` diagonal.

use super::AdjustmentError;
use super::space::{RANK_TOLERANCE, column_lengths};
use nalgebra::{DMatrix, DVector};

/// The rows that name one held unknown, and the reflection that clears all but the first of them.
#[derive(Debug)]
struct Block {
    /// Positions of the rows, the largest coefficient first: rows of very different size then do not blur each other
    /// (Björck 1996, ch. 4.4; from memory).
    rows: Vec<usize>,
    reflector: Vec<f64>,
    /// The square of its length.
    square: f64,
    diagonal: f64,
}

impl Block {
    fn new(mut entries: Vec<(usize, f64)>) -> Result<Self, AdjustmentError> {
        entries.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let (rows, mut reflector): (Vec<usize>, Vec<f64>) = entries.into_iter().unzip();
        let length = reflector.iter().map(|x| x * x).sum::<f64>().sqrt();
        let Some(first) = reflector.first_mut().filter(|_| length > RANK_TOLERANCE && length.is_finite())
        else {
            return Err(AdjustmentError::Unbalanced);
        };
        let diagonal = -length.copysign(*first);
        *first -= diagonal;
        let square = reflector.iter().map(|w| w * w).sum();
        Ok(Self { rows, reflector, square, diagonal })
    }

    /// Reflects the entries of these rows.
    fn reflect(&self, vector: &mut [f64]) {
        let along: f64 = self.rows.iter().zip(&self.reflector).map(|(row, w)| w * vector[*row]).sum();
        let times = 2.0 * along / self.square;
        for (row, w) in self.rows.iter().zip(&self.reflector) {
            vector[*row] -= times * w;
        }
    }
}

/// The factors, all columns brought to unit length.
#[derive(Debug)]
pub(super) struct Factors {
    blocks: Vec<Block>,
    /// Positions of the rows that are left when each block has given its first.
    rest: Vec<usize>,
    /// Rows of the shared parameters, and the held parameter each names with its coefficient.
    shared_rows: DMatrix<f64>,
    held_rows: Vec<Option<(usize, f64)>>,
    /// `W`: one row for each held parameter.
    above: DMatrix<f64>,
    q: DMatrix<f64>,
    r: DMatrix<f64>,
    /// Lengths by which the columns were divided, the held ones first.
    pub lengths: DVector<f64>,
}

impl Factors {
    /// From whitened rows: the shared columns, and for each row the held parameter it names; `held` of these there are.
    pub fn new(
        mut shared_rows: DMatrix<f64>,
        mut held_rows: Vec<Option<(usize, f64)>>,
        held: usize,
    ) -> Result<Self, AdjustmentError> {
        let is_finite = shared_rows.iter().all(|value| value.is_finite());
        if !is_finite || !held_rows.iter().flatten().all(|(_, value)| value.is_finite()) {
            return Err(AdjustmentError::Unbalanced);
        }
        let lengths = scale(&mut shared_rows, &mut held_rows, held);
        let mut entries: Vec<Vec<(usize, f64)>> = vec![Vec::new(); held];
        for (row, (column, value)) in held_rows.iter().enumerate().filter_map(|(row, it)| Some((row, (*it)?)))
        {
            entries[column].push((row, value));
        }
        let blocks: Vec<Block> = entries.into_iter().map(Block::new).collect::<Result<_, _>>()?;
        let mut turned = shared_rows.clone();
        for mut column in turned.column_iter_mut() {
            blocks.iter().for_each(|block| block.reflect(column.as_mut_slice()));
        }
        let first: Vec<usize> = blocks.iter().map(|block| block.rows[0]).collect();
        let mut is_first = vec![false; turned.nrows()];
        first.iter().for_each(|row| is_first[*row] = true);
        let rest: Vec<usize> = (0..turned.nrows()).filter(|row| !is_first[*row]).collect();
        let (q, r) = decompose(turned.select_rows(&rest))?;
        Ok(Self { above: turned.select_rows(&first), blocks, rest, shared_rows, held_rows, q, r, lengths })
    }

    /// How many parameters there are.
    pub fn parameters(&self) -> usize {
        self.lengths.len()
    }

    fn held(&self) -> usize {
        self.blocks.len()
    }

    /// `Qᵀ · vector`.
    pub fn q_transposed(&self, mut vector: DVector<f64>) -> DVector<f64> {
        self.blocks.iter().for_each(|block| block.reflect(vector.as_mut_slice()));
        let rest = DVector::from_iterator(self.rest.len(), self.rest.iter().map(|row| vector[*row]));
        let held = self.blocks.iter().map(|block| vector[block.rows[0]]);
        let shared = self.q.tr_mul(&rest);
        DVector::from_iterator(self.parameters(), held.chain(shared.iter().copied()))
    }

    /// `Q · parameters`: one entry for each row.
    pub fn q(&self, parameters: &DVector<f64>) -> DVector<f64> {
        let rest = &self.q * parameters.rows(self.held(), self.r.ncols());
        let mut vector = DVector::zeros(self.shared_rows.nrows());
        self.rest.iter().zip(&rest).for_each(|(row, value)| vector[*row] = *value);
        for (block, value) in self.blocks.iter().zip(parameters) {
            vector[block.rows[0]] = *value;
        }
        self.blocks.iter().for_each(|block| block.reflect(vector.as_mut_slice()));
        vector
    }

    /// The rows themselves times parameters.
    pub fn rows(&self, parameters: &DVector<f64>) -> DVector<f64> {
        let mut seen = &self.shared_rows * parameters.rows(self.held(), self.r.ncols());
        for (value, (column, coefficient)) in
            seen.iter_mut().zip(&self.held_rows).filter_map(|(value, it)| Some((value, (*it)?)))
        {
            *value += coefficient * parameters[column];
        }
        seen
    }

    /// Solves `R x = right`; the diagonal of `R` was checked to be far from zero.
    pub fn solve(&self, mut right: DVector<f64>) -> DVector<f64> {
        let mut shared = right.rows(self.held(), self.r.ncols()).into_owned();
        if !shared.is_empty() {
            self.r.solve_upper_triangular_mut(&mut shared);
        }
        right.rows_mut(self.held(), self.r.ncols()).copy_from(&shared);
        let above = &self.above * shared;
        for ((value, above), block) in right.iter_mut().zip(&above).zip(&self.blocks) {
            *value = (*value - above) / block.diagonal;
        }
        right
    }

    /// Solves `Rᵀ x = right`.
    pub fn solve_transposed(&self, mut right: DVector<f64>) -> DVector<f64> {
        for (value, block) in right.iter_mut().zip(&self.blocks) {
            *value /= block.diagonal;
        }
        let mut shared = right.rows(self.held(), self.r.ncols()).into_owned();
        shared -= self.above.tr_mul(&right.rows(0, self.held()));
        if !shared.is_empty() {
            self.r.tr_solve_upper_triangular_mut(&mut shared);
        }
        right.rows_mut(self.held(), self.r.ncols()).copy_from(&shared);
        right
    }

    /// `ln` of the determinant of `R` before the columns were scaled.
    pub fn ln_determinant(&self) -> f64 {
        let held = self.blocks.iter().map(|block| block.diagonal);
        let diagonal = held.chain(self.r.diagonal().iter().copied().collect::<Vec<_>>());
        diagonal.zip(&self.lengths).map(|(r, length)| (r * length).abs().ln()).sum()
    }
}

/// Brings every column to unit length.
fn scale(shared: &mut DMatrix<f64>, held_rows: &mut [Option<(usize, f64)>], held: usize) -> DVector<f64> {
    let of_shared = column_lengths(shared);
    for (mut column, &length) in shared.column_iter_mut().zip(&of_shared) {
        column /= length;
    }
    let mut of_held = vec![0.0; held];
    held_rows
        .iter()
        .flatten()
        .for_each(|(column, value)| of_held[*column] = f64::hypot(of_held[*column], *value));
    held_rows.iter_mut().flatten().for_each(|(column, value)| *value /= of_held[*column]);
    DVector::from_iterator(held + of_shared.len(), of_held.into_iter().chain(of_shared.iter().copied()))
}

fn decompose(rows: DMatrix<f64>) -> Result<(DMatrix<f64>, DMatrix<f64>), AdjustmentError> {
    if rows.ncols() == 0 {
        return Ok((DMatrix::zeros(rows.nrows(), 0), DMatrix::zeros(0, 0)));
    }
    if rows.nrows() < rows.ncols() {
        return Err(AdjustmentError::Unbalanced);
    }
    let qr = rows.qr();
    let (q, r) = (qr.q(), qr.r());
    let smallest = r.diagonal().iter().map(|d| d.abs()).fold(f64::INFINITY, f64::min);
    // Columns have unit length, so a full-rank factor has no diagonal element near zero.
    if smallest > RANK_TOLERANCE { Ok((q, r)) } else { Err(AdjustmentError::Unbalanced) }
}
