//! Quantities, values with uncertainty, adjustment and signals.
//!
//! ```text
//!  typed text ──> text ──────┐
//!  fixes ──> geodesy, smooth ├──> quantity, measured ──> adjust ──> estimate ± u, residuals ──> ratio, plan
//!  two series ──> align      │                            (what is it?)                        (what to choose?)
//!  a recorded wave ──> pulse, cycle
//! ```
//!
//! Two people measure one length, one with a tape and one by pacing; together:
//!
//! ```
//! use metrology::adjust::{Adjustment, Equation};
//! use metrology::measured::{Measured, coverage_factor_95};
//! use metrology::quantity::Length;
//! use metrology::text;
//!
//! let (tape, paced) = (text::length("41 ft 2 1/4 in")?, text::length("12.6 +/- 0.2 m")?);
//! let mut adjustment = Adjustment::new(vec!["length".into()]);
//! let mut add = |name: &str, value: Length, u: Length| {
//!     adjustment.push(Equation::evidence(name, [(0, 1.0)], value.m(), u.m()));
//! };
//! add("tape", tape.value, Length::from_mm(5.0));
//! add("paced", paced.value, paced.standard_uncertainty.unwrap());
//! let solution = adjustment.solve()?;
//! let found = solution.estimate(&[(0, 1.0)]).expect("both see the length");
//! assert_eq!(text::round_to_uncertainty(found.value, found.standard_uncertainty), "12.5540 +/- 0.0050");
//! // Paces and tape agree: 0.046 m apart, with 0.2 m to expect.
//! assert!(!solution.birge_is_significant());
//! let length = Measured::symmetric(
//!     Length::from_m(found.value), Length::from_m(found.standard_uncertainty), found.dof);
//! assert!(length.low_95.m() < 12.5540 && coverage_factor_95(found.dof) < 2.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! This crate is mathematics only. It knows no trade, file, clock or chance: a function that needs random
//! numbers takes a seed. Inside, slices and matrices are plain `f64` with their units in the doc; what crosses a
//! module boundary as a measured thing is a [`quantity`] or a [`measured::Measured`].

pub mod adjust;
pub mod align;
pub mod bounds;
pub mod cycle;
pub mod geodesy;
pub mod measured;
pub mod order;
pub mod plan;
pub mod pulse;
pub mod quantity;
pub mod ratio;
pub mod smooth;
pub mod text;
