//! Singular value decomposition of small matrices by one-sided Jacobi rotations (Hestenes 1958, J. SIAM 6:51;
//! de Rijk 1989; both from memory).
//!
//! The library's own decomposition was tried first: on whole-number matrices without full rank, which is what
//! coefficients of products of factors are, it returned factors whose product misses the matrix by up to 2e-4. The
//! property test of the split by rank found that, and holds this one to a few roundings.

use nalgebra::{DMatrix, DVector};

/// Two columns count as orthogonal when the cosine between them is below this: a few roundings.
const ORTHOGONAL: f64 = 4.0 * f64::EPSILON;

/// Columns below this fraction of the whole matrix are rounding, and are left alone.
const VANISHED: f64 = f64::EPSILON / 4.0;

/// Small matrices settle within ten sweeps; the limit only guards against an endless loop.
const MOST_SWEEPS: usize = 60;

/// `matrix = left · diag(singular) · rightᵀ`, one column of `right` per column of the matrix; `left` has a
/// meaning only where the singular value is above zero. Not sorted.
pub(super) struct Decomposition {
    pub left: DMatrix<f64>,
    pub singular: DVector<f64>,
    pub right: DMatrix<f64>,
}

impl Decomposition {
    pub fn new(matrix: DMatrix<f64>) -> Self {
        // Many rows cost nothing when they are first turned into as many as there are columns.
        if matrix.nrows() > matrix.ncols() && matrix.ncols() > 0 {
            let qr = matrix.qr();
            let inner = Self::new(qr.r());
            return Self { left: qr.q() * inner.left, ..inner };
        }
        let width = matrix.ncols();
        let mut this =
            Self { right: DMatrix::identity(width, width), singular: DVector::zeros(width), left: matrix };
        let vanished = VANISHED * this.left.norm();
        for _ in 0..MOST_SWEEPS {
            let mut turned = false;
            for (first, second) in (0..width).flat_map(|p| (p + 1..width).map(move |q| (p, q))) {
                turned |= this.orthogonalise(first, second, vanished);
            }
            if !turned {
                break;
            }
        }
        for (mut column, singular) in this.left.column_iter_mut().zip(this.singular.iter_mut()) {
            *singular = column.norm();
            if *singular > 0.0 {
                column /= *singular;
            }
        }
        this
    }

    /// Turns two columns until they are orthogonal; says whether that was needed.
    fn orthogonalise(&mut self, first: usize, second: usize, vanished: f64) -> bool {
        let (a, b) = (self.left.column(first), self.left.column(second));
        let (a_length, b_length, together) = (a.norm(), b.norm(), a.dot(&b));
        let is_rounding = a_length <= vanished || b_length <= vanished;
        if is_rounding || together.abs() <= ORTHOGONAL * a_length * b_length {
            return false;
        }
        let cotangent = (b_length - a_length) * (b_length + a_length) / (2.0 * together);
        let tangent = cotangent.signum() / (cotangent.abs() + cotangent.hypot(1.0));
        let cosine = tangent.hypot(1.0).recip();
        for matrix in [&mut self.left, &mut self.right] {
            for row in 0..matrix.nrows() {
                let (x, y) = (matrix[(row, first)], matrix[(row, second)]);
                matrix[(row, first)] = cosine * (x - tangent * y);
                matrix[(row, second)] = cosine * (tangent * x + y);
            }
        }
        true
    }
}
