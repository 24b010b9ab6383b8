//! The area under a smooth curve, piece by piece.

/// Halvings of a piece; the smallest is then 2^-30 of it, far below what the tolerance asks of a step.
const MOST_HALVINGS: u32 = 30;

/// Integral over each span between neighbouring `nodes` (rising), by Simpson's rule halved until two levels
/// agree to `tolerance` in each piece (Lyness 1969, from memory). The curve should be smooth between nodes.
pub(super) fn integrate(curve: &dyn Fn(f64) -> f64, nodes: &[f64], tolerance: f64) -> f64 {
    let piece = |span: &[f64]| Piece::new(curve, span[0], span[1]).refined(curve, tolerance, MOST_HALVINGS);
    nodes.windows(2).map(piece).sum()
}

#[derive(Copy, Clone)]
struct Piece {
    from: f64,
    to: f64,
    /// The curve at the start, the middle and the end.
    values: [f64; 3],
}

impl Piece {
    fn new(curve: &dyn Fn(f64) -> f64, from: f64, to: f64) -> Self {
        Self { from, to, values: [curve(from), curve(0.5 * (from + to)), curve(to)] }
    }

    fn area(&self) -> f64 {
        (self.to - self.from) / 6.0 * (self.values[0] + 4.0 * self.values[1] + self.values[2])
    }

    fn halves(&self, curve: &dyn Fn(f64) -> f64) -> [Self; 2] {
        let middle = 0.5 * (self.from + self.to);
        let half = |from: f64, to: f64, first: f64, last: f64| Self {
            from,
            to,
            values: [first, curve(0.5 * (from + to)), last],
        };
        let [first, centre, last] = self.values;
        [half(self.from, middle, first, centre), half(middle, self.to, centre, last)]
    }

    fn refined(&self, curve: &dyn Fn(f64) -> f64, tolerance: f64, halvings: u32) -> f64 {
        let [left, right] = self.halves(curve);
        let (whole, both) = (self.area(), left.area() + right.area());
        let error = (both - whole) / 15.0;
        // Written so that a value that is no number ends the search at once.
        if halvings == 0 || error.is_nan() || error.abs() <= tolerance {
            return both + error;
        }
        let half = 0.5 * tolerance;
        left.refined(curve, half, halvings - 1) + right.refined(curve, half, halvings - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_known_in_closed_form() {
        let check = |curve: &dyn Fn(f64) -> f64, nodes: &[f64], expected: f64| {
            let found = integrate(curve, nodes, 1e-12);
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        };
        check(&|x| x * x * x - x, &[0.0, 1.0, 3.0], 81.0 / 4.0 - 9.0 / 2.0);
        check(&f64::sin, &[0.0, core::f64::consts::PI], 2.0);
        check(&|x| (-x).exp(), &[0.0, 40.0], 1.0);
        check(&|x| f64::from(u8::from(x > 0.3)), &[0.0, 1.0], 0.7);
        assert_eq!(integrate(&|x| x, &[1.0], 1e-12), 0.0);
        assert!(integrate(&|_| f64::NAN, &[0.0, 1.0], 1e-12).is_nan());
    }
}
