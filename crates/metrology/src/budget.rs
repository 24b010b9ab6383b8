//! The uncertainty budget: who contributes how much to a result.
//!
//! ```
//! use metrology::{budget::Budget, uncertain::Inputs};
//! let mut inputs = Inputs::default();
//! let length = inputs.add("length", 12.0, 0.03, 9.0)?;
//! let turns = inputs.add("turns", 5.0, 0.004, f64::INFINITY)?;
//! let budget = Budget::of(&inputs, &(&length / &turns));
//! assert_eq!(budget.rows[0].name, "length");
//! assert!(budget.rows[0].share > 0.90);
//! assert!(budget.to_string().starts_with("2.4000 +/- 0.0063"));
//! # Ok::<(), metrology::bounds::OutOfRange>(())
//! ```

use crate::text::round_to_uncertainty;
use crate::uncertain::{Combined, Inputs, Uncertain};
use std::fmt;

/// What one input does to the result.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    /// The input.
    pub name: String,
    /// Its standard uncertainty, in its own unit.
    pub standard_uncertainty: f64,
    /// Degrees of freedom of that.
    pub dof: f64,
    /// Derivative of the result to it.
    pub sensitivity: f64,
    /// Standard uncertainty it alone would give the result, in the result's unit.
    pub contribution: f64,
    /// Its part of the result's variance; the parts add up to 1. Between correlated inputs it may be negative.
    pub share: f64,
}

/// A result with its inputs, the largest share first.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The result.
    pub result: Combined,
    /// One row per input that matters.
    pub rows: Vec<BudgetRow>,
}

impl Budget {
    /// Splits the variance of a result among its inputs.
    pub fn of(inputs: &Inputs, result: &Uncertain) -> Self {
        let combined = inputs.combine(result);
        let variance = combined.standard_uncertainty.powi(2);
        let row = |(id, part)| {
            let input = inputs.get(id)?;
            let sensitivity = result.derivative(id);
            Some(BudgetRow {
                name: input.name.clone(),
                standard_uncertainty: input.standard_uncertainty,
                dof: input.dof,
                sensitivity,
                contribution: (sensitivity * input.standard_uncertainty).abs(),
                share: if variance > 0.0 { part / variance } else { 0.0 },
            })
        };
        let mut rows: Vec<BudgetRow> =
            inputs.variance_parts(result, result).into_iter().filter_map(row).collect();
        rows.sort_by(|a, b| b.share.abs().total_cmp(&a.share.abs()));
        Self { result: combined, rows }
    }
}

/// One line for the result, one per input.
impl fmt::Display for Budget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Combined { value, standard_uncertainty, dof } = self.result;
        writeln!(
            f,
            "{} ({} degrees of freedom)",
            round_to_uncertainty(value, standard_uncertainty),
            whole(dof)
        )?;
        let width = self.rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
        for row in &self.rows {
            let BudgetRow { name, contribution, share, dof, .. } = row;
            writeln!(
                f,
                "{name:width$}  {contribution:>9.2e}  {:>5.1} %  dof {}",
                100.0 * share,
                whole(*dof)
            )?;
        }
        Ok(())
    }
}

/// Degrees of freedom are rounded down before use (JCGM 100:2008, G.4.1).
fn whole(dof: f64) -> String {
    if dof.is_finite() { format!("{}", dof.floor()) } else { "infinite".to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_are_sorted() {
        let mut inputs = Inputs::default();
        let x = inputs.add("small", 3.0, 0.1, 4.0).unwrap();
        let y = inputs.add("large", 7.0, 0.2, f64::INFINITY).unwrap();
        inputs.correlate(&x, &y, -0.3).unwrap();
        let budget = Budget::of(&inputs, &(&x * &y));
        let sum: f64 = budget.rows.iter().map(|row| row.share).sum();
        assert!((sum - 1.0).abs() < 1e-12);
        assert!(budget.rows[0].share.abs() >= budget.rows[1].share.abs());
        assert!(budget.to_string().contains("dof infinite"));
        let exact = Budget::of(&inputs, &Uncertain::exact(2.0));
        assert!(exact.rows.is_empty());
        assert_eq!(exact.to_string(), "2 (infinite degrees of freedom)\n");
    }
}
