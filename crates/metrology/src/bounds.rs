//! Named ranges, and the one message for a number outside its range.
//!
//! ```
//! use metrology::bounds::{CORRELATION, OutOfRange};
//! let refused = CORRELATION.check(1.2).expect_err("no correlation is above 1");
//! assert_eq!(refused.to_string(), "a correlation must lie in -1 to 1, found 1.2");
//! ```

/// A closed range with the name of what lies in it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Range {
    /// What it is, with its article: `a correlation`.
    pub name: &'static str,
    /// Smallest value allowed.
    pub low: f64,
    /// Largest value allowed; may be infinite.
    pub high: f64,
}

/// A number outside its range.
#[derive(Copy, Clone, Debug, PartialEq, thiserror::Error)]
#[error("{} must lie in {} to {}, found {found}", range.name, range.low, range.high)]
pub struct OutOfRange {
    /// Where it should have been.
    pub range: Range,
    /// What it was.
    pub found: f64,
}

impl Range {
    /// The value itself when it lies inside; not-a-number never does.
    pub fn check(self, value: f64) -> Result<f64, OutOfRange> {
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            Err(OutOfRange { range: self, found: value })
        }
    }
}

/// A value on the line of numbers.
pub const FINITE: Range = Range { name: "a value", low: f64::MIN, high: f64::MAX };
/// A standard uncertainty; 0 is exact knowledge.
pub const STANDARD_UNCERTAINTY: Range = Range { name: "a standard uncertainty", low: 0.0, high: f64::MAX };
/// Degrees of freedom; infinite for an uncertainty that is not itself an estimate.
pub const DEGREES_OF_FREEDOM: Range =
    Range { name: "degrees of freedom", low: f64::MIN_POSITIVE, high: f64::INFINITY };
/// A correlation coefficient.
pub const CORRELATION: Range = Range { name: "a correlation", low: -1.0, high: 1.0 };
