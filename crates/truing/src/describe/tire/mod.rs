//! What a tire's sidewall says, and what follows from it: diameter, rolling circumference, revolutions per mile.
//!
//! A size is a code, not a measurement. Each designation system says something else about the diameter, so each
//! carries its own uncertainty:
//!
//! | system | example | the diameter comes from |
//! |---|---|---|
//! | metric: plain, P, LT, ST, T, motorcycle | `LT265/75R16` | the formula rim + 2 x width x aspect |
//! | metric without aspect | `185R14` | a table |
//! | flotation | `31x10.50R15LT`, or `31x10.50` alone | the printed number less half an inch, between two tread patterns |
//! | numeric, wide numeric, commercial code | `7.50-16LT`, `11R22.5` | a table |
//! | alphanumeric | `G78-15`, `MT90-16` | a table |
//! | millimetric rim | `190/65R390` | the formula, with the rim in mm |
//! | run-flat special | `235-710R460` | the middle number |
//! | plain diameter | `31.2 in` | whoever gives it |
//!
//! ```
//! use truing::describe::tire::{Construction, TireSize};
//! let tire = TireSize::parse("lt 265/75 r16 123/120s e 10pr").expect("a light-truck size");
//! assert_eq!(tire.to_string(), "LT265/75R16 123/120S E 10PR");
//! assert_eq!(tire.construction, Construction::Radial);
//! assert!((tire.diameter.value.mm() - 803.9).abs() < 0.05);
//! ```

pub mod ahead;
pub mod circumference;
mod failure;
mod form;
mod marks;
mod nearest;
mod resolve;
mod scan;
pub mod set;
pub mod size;
mod tables;
mod trust;
mod writing;

pub use marks::Marks;
pub use size::{Construction, DiameterBasis, HowKnown, System, TireSize};
