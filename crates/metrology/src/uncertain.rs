//! Numbers that know what they were made of: a value and its derivative to every input it depends on.
//!
//! **Problem.** In `x - x` the errors cancel; in `x + x` they add; two results made of one input are correlated.
//! Carrying a bare uncertainty along gets all three wrong. Here a number carries derivatives, the inputs carry
//! the uncertainties (and correlations), and [`Inputs`] puts both together when asked.
//!
//! **Symbols.** `c_i` derivative to input `i`, `u_i` its standard uncertainty, `r_ij` correlation:
//! `u² = Σ c_i c_j u_i u_j r_ij` (JCGM 100:2008, eq. 13 and 16).
//!
//! **Units.** The caller's.
//!
//! **Accuracy.** Exact derivatives, one rounding per operation; the law itself is linear, see
//! [`crate::propagate`] for when that is not good enough.
//!
//! **Does not** guard domains: `ln` of a negative value is NaN, as for `f64`. Ids belong to the [`Inputs`] that
//! gave them; an id it did not give counts as exact.
//!
//! ```
//! use metrology::uncertain::Inputs;
//! let mut inputs = Inputs::default();
//! let x = inputs.add("x", 3.0, 0.1, f64::INFINITY)?;
//! let y = inputs.add("y", 4.0, 0.2, f64::INFINITY)?;
//! let nothing = inputs.combine(&(&x - &x));
//! assert_eq!((nothing.value, nothing.standard_uncertainty), (0.0, 0.0));
//! let length = inputs.combine(&(&x * &x + &y * &y).sqrt());
//! assert!((length.value - 5.0).abs() < 1e-12);
//! assert!((length.standard_uncertainty - (0.06f64.powi(2) + 0.16f64.powi(2)).sqrt()).abs() < 1e-12);
//! # Ok::<(), metrology::bounds::OutOfRange>(())
//! ```

use crate::bounds::{CORRELATION, DEGREES_OF_FREEDOM, FINITE, OutOfRange, STANDARD_UNCERTAINTY};
use std::ops::{Add, Div, Mul, Neg, Sub};

/// Which input, in the order they were added: the same run gives the same ids.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct InputId(pub(crate) usize);

/// A value with its derivatives to the inputs it depends on.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertain {
    value: f64,
    /// Sorted by id; no zeros.
    derivatives: Vec<(InputId, f64)>,
}

/// What is known about one input.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// What a person calls it.
    pub name: String,
    /// Best value.
    pub value: f64,
    /// Standard uncertainty.
    pub standard_uncertainty: f64,
    /// Degrees of freedom of the standard uncertainty.
    pub dof: f64,
}

/// All inputs of a calculation, with their correlations.
#[derive(Clone, Debug, Default)]
pub struct Inputs {
    inputs: Vec<Input>,
    correlations: Vec<(InputId, InputId, f64)>,
}

/// A result with the uncertainties of its inputs put in.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Combined {
    /// Best value.
    pub value: f64,
    /// Combined standard uncertainty.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom (Welch-Satterthwaite; JCGM 100:2008, eq. G.2b). Strictly for independent
    /// inputs; with correlated ones each input enters with its share of the variance.
    pub dof: f64,
}

impl Inputs {
    /// Adds an input and returns it as a number to calculate with.
    pub fn add(
        &mut self,
        name: impl Into<String>,
        value: f64,
        standard_uncertainty: f64,
        dof: f64,
    ) -> Result<Uncertain, OutOfRange> {
        FINITE.check(value)?;
        STANDARD_UNCERTAINTY.check(standard_uncertainty)?;
        DEGREES_OF_FREEDOM.check(dof)?;
        let id = InputId(self.inputs.len());
        self.inputs.push(Input { name: name.into(), value, standard_uncertainty, dof });
        Ok(Uncertain { value, derivatives: vec![(id, 1.0)] })
    }

    /// States how two inputs go together. Stating it again replaces it. Numbers that are not inputs themselves
    /// have no correlation of their own and are passed over.
    pub fn correlate(&mut self, first: &Uncertain, second: &Uncertain, r: f64) -> Result<(), OutOfRange> {
        CORRELATION.check(r)?;
        if let ([(first, _)], [(second, _)]) = (&first.derivatives[..], &second.derivatives[..]) {
            let pair = (*first.min(second), *first.max(second));
            self.correlations.retain(|&(a, b, _)| (a, b) != pair);
            if pair.0 != pair.1 {
                self.correlations.push((pair.0, pair.1, r));
            }
        }
        Ok(())
    }

    /// The input behind an id, if this collection gave it.
    pub fn get(&self, id: InputId) -> Option<&Input> {
        self.inputs.get(id.0)
    }

    /// Value, standard uncertainty and degrees of freedom of a result.
    pub fn combine(&self, result: &Uncertain) -> Combined {
        let shares = self.variance_parts(result, result);
        let variance: f64 = shares.iter().map(|(_, part)| part).sum();
        // Correlations that cannot all be true at once can make this negative; no error is then known of.
        let variance = variance.max(0.0);
        let spread = |&(id, part): &(InputId, f64)| {
            let dof = self.get(id).map_or(f64::INFINITY, |input| input.dof);
            if variance > 0.0 { (part / variance).powi(2) / dof } else { 0.0 }
        };
        // An empty sum of floats is -0; its inverse must not be minus infinity.
        let dof = 1.0 / shares.iter().map(spread).sum::<f64>().abs();
        Combined { value: result.value, standard_uncertainty: variance.sqrt(), dof }
    }

    /// Covariance of two results through the inputs they share.
    pub fn covariance(&self, first: &Uncertain, second: &Uncertain) -> f64 {
        self.variance_parts(first, second).iter().map(|(_, part)| part).sum()
    }

    /// Correlation coefficient of two results; NaN when either is exact.
    pub fn correlation(&self, first: &Uncertain, second: &Uncertain) -> f64 {
        let spread = self.covariance(first, first).sqrt() * self.covariance(second, second).sqrt();
        self.covariance(first, second) / spread
    }

    /// Part of the covariance that comes in by each input of `first`; for one result with itself, of its variance.
    pub(crate) fn variance_parts(&self, first: &Uncertain, second: &Uncertain) -> Vec<(InputId, f64)> {
        let reach = |number: &Uncertain, id: InputId| {
            let u = self.get(id).map_or(0.0, |input| input.standard_uncertainty);
            number.derivative(id) * u
        };
        let with_partners = |id: InputId| -> f64 {
            let partner = |&(a, b, r): &(InputId, InputId, f64)| match id {
                _ if id == a => r * reach(second, b),
                _ if id == b => r * reach(second, a),
                _ => 0.0,
            };
            reach(second, id) + self.correlations.iter().map(partner).sum::<f64>()
        };
        first.derivatives.iter().map(|&(id, _)| (id, reach(first, id) * with_partners(id))).collect()
    }
}

impl Uncertain {
    /// A number that is known exactly.
    pub fn exact(value: f64) -> Self {
        Self { value, derivatives: Vec::new() }
    }

    /// Best value.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Derivatives to the inputs, in the order of their ids; inputs that do not matter are left out.
    pub fn derivatives(&self) -> &[(InputId, f64)] {
        &self.derivatives
    }

    /// Derivative to one input.
    pub fn derivative(&self, id: InputId) -> f64 {
        let found = self.derivatives.binary_search_by_key(&id, |&(id, _)| id);
        found.map_or(0.0, |index| self.derivatives[index].1)
    }

    /// A function of this number, from its value and its derivative there.
    pub fn apply(&self, value: f64, derivative: f64) -> Self {
        merge(value, self, derivative, &Self::exact(0.0), 0.0)
    }

    /// Natural logarithm.
    pub fn ln(&self) -> Self {
        self.apply(self.value.ln(), 1.0 / self.value)
    }

    /// Natural exponential.
    pub fn exp(&self) -> Self {
        self.apply(self.value.exp(), self.value.exp())
    }

    /// Square root.
    pub fn sqrt(&self) -> Self {
        self.apply(self.value.sqrt(), 0.5 / self.value.sqrt())
    }

    /// Whole power.
    pub fn powi(&self, power: i32) -> Self {
        let derivative = if power == 0 { 0.0 } else { f64::from(power) * self.value.powi(power - 1) };
        self.apply(self.value.powi(power), derivative)
    }

    /// Sine of an angle in radians.
    pub fn sin(&self) -> Self {
        self.apply(self.value.sin(), self.value.cos())
    }

    /// Cosine of an angle in radians.
    pub fn cos(&self) -> Self {
        self.apply(self.value.cos(), -self.value.sin())
    }
}

/// A function of two numbers: `value`, and the derivatives to each.
fn merge(value: f64, first: &Uncertain, by_first: f64, second: &Uncertain, by_second: f64) -> Uncertain {
    let mut derivatives: Vec<(InputId, f64)> = Vec::new();
    let (mut left, mut right) = (first.derivatives.iter().peekable(), second.derivatives.iter().peekable());
    loop {
        let id = match (left.peek(), right.peek()) {
            (Some((a, _)), Some((b, _))) => *a.min(b),
            (Some((id, _)), None) | (None, Some((id, _))) => *id,
            (None, None) => break,
        };
        let left = left.next_if(|(known, _)| *known == id).map_or(0.0, |(_, c)| by_first * c);
        let right = right.next_if(|(known, _)| *known == id).map_or(0.0, |(_, c)| by_second * c);
        if left + right != 0.0 {
            derivatives.push((id, left + right));
        }
    }
    Uncertain { value, derivatives }
}

macro_rules! binary {
    ($trait:ident, $method:ident, |$x:ident, $y:ident| $value:expr, $by_x:expr, $by_y:expr) => {
        impl $trait<&Uncertain> for &Uncertain {
            type Output = Uncertain;
            fn $method(self, other: &Uncertain) -> Uncertain {
                let ($x, $y) = (self.value, other.value);
                merge($value, self, $by_x, other, $by_y)
            }
        }
        binary!(@owned $trait, $method, Uncertain, Uncertain, |a, b| (&a).$method(&b));
        binary!(@owned $trait, $method, &Uncertain, Uncertain, |a, b| a.$method(&b));
        binary!(@owned $trait, $method, Uncertain, &Uncertain, |a, b| (&a).$method(b));
        binary!(@owned $trait, $method, &Uncertain, f64, |a, b| a.$method(&Uncertain::exact(b)));
        binary!(@owned $trait, $method, Uncertain, f64, |a, b| (&a).$method(&Uncertain::exact(b)));
        binary!(@owned $trait, $method, f64, &Uncertain, |a, b| (&Uncertain::exact(a)).$method(b));
        binary!(@owned $trait, $method, f64, Uncertain, |a, b| (&Uncertain::exact(a)).$method(&b));
    };
    (@owned $trait:ident, $method:ident, $left:ty, $right:ty, |$a:ident, $b:ident| $call:expr) => {
        impl $trait<$right> for $left {
            type Output = Uncertain;
            fn $method(self, other: $right) -> Uncertain {
                let ($a, $b) = (self, other);
                $call
            }
        }
    };
}

binary!(Add, add, |x, y| x + y, 1.0, 1.0);
binary!(Sub, sub, |x, y| x - y, 1.0, -1.0);
binary!(Mul, mul, |x, y| x * y, y, x);
// Written so that x / x has derivatives that cancel to exactly 0.
binary!(Div, div, |x, y| x / y, 1.0 / y, -(x / y) * (1.0 / y));

impl Neg for &Uncertain {
    type Output = Uncertain;
    fn neg(self) -> Uncertain {
        self.apply(-self.value, -1.0)
    }
}

impl Neg for Uncertain {
    type Output = Uncertain;
    fn neg(self) -> Uncertain {
        -&self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair() -> (Inputs, Uncertain, Uncertain) {
        let mut inputs = Inputs::default();
        let x = inputs.add("x", 3.0, 0.1, 4.0).unwrap();
        let y = inputs.add("y", 7.0, 0.2, 9.0).unwrap();
        (inputs, x, y)
    }

    #[test]
    fn what_cancels_is_exactly_known() {
        let (inputs, x, y) = pair();
        for result in [&x - &x, &x / &x, &x * 2.0 - &x - &x, (&x + &y) - &y - &x, x.powi(0), &x * 0.0] {
            assert!(result.derivatives().is_empty(), "{result:?}");
            assert_eq!(inputs.combine(&result).standard_uncertainty, 0.0);
            assert_eq!(inputs.combine(&result).dof, f64::INFINITY);
        }
    }

    #[test]
    fn correlations_count() {
        let (mut inputs, x, y) = pair();
        inputs.correlate(&x, &y, 1.0).unwrap();
        // Fully together: uncertainties add plainly, with the signs of the derivatives.
        assert!((inputs.combine(&(&x + &y)).standard_uncertainty - 0.3).abs() < 1e-15);
        assert!((inputs.combine(&(&x - &y)).standard_uncertainty - 0.1).abs() < 1e-15);
        assert!((inputs.correlation(&x, &y) - 1.0).abs() < 1e-15);
        assert!(inputs.correlate(&x, &y, 1.1).is_err());
    }

    #[test]
    fn effective_degrees_of_freedom() {
        let (inputs, x, y) = pair();
        // u² = 0.01 + 0.04; by hand from JCGM 100:2008, eq. G.2b.
        let expected = 0.05f64.powi(2) / (0.01f64.powi(2) / 4.0 + 0.04f64.powi(2) / 9.0);
        assert!((inputs.combine(&(&x + &y)).dof - expected).abs() < 1e-9);
    }

    #[test]
    fn impossible_inputs_are_refused() {
        let mut inputs = Inputs::default();
        assert!(inputs.add("x", f64::NAN, 0.1, 4.0).is_err());
        assert!(inputs.add("x", 1.0, -0.1, 4.0).is_err());
        assert!(inputs.add("x", 1.0, 0.1, 0.0).is_err());
    }
}
