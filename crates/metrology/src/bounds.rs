//! Named ranges, and the one message for a number outside its range.
//!
//! ```
//! use metrology::bounds::STANDARD_UNCERTAINTY;
//! let refused = STANDARD_UNCERTAINTY.check(-1.0).expect_err("no uncertainty is below 0");
//! assert_eq!(refused.to_string(), "a standard uncertainty must be 0 or more and finite, found -1");
//! ```

use std::fmt;

/// A closed range with the name of what lies in it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Range {
    /// What it is, with its article: `a standard uncertainty`.
    pub name: &'static str,
    /// Smallest value allowed.
    pub low: f64,
    /// Largest value allowed; may be infinite.
    pub high: f64,
}

/// A number outside its range.
#[derive(Copy, Clone, Debug, PartialEq, thiserror::Error)]
#[error("{} must be {range}, found {found}", range.name)]
pub struct OutOfRange {
    /// Where it should have been.
    pub range: Range,
    /// What it was.
    pub found: f64,
}

/// What is allowed, without the name.
impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.low, self.high) {
            (f64::MIN, f64::MAX) => write!(f, "finite"),
            (f64::MIN_POSITIVE, f64::INFINITY) => write!(f, "above 0"),
            (low, f64::MAX) => write!(f, "{low} or more and finite"),
            (low, high) => write!(f, "{low} to {high}"),
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_range_says_what_it_takes() {
        for (range, found, expected) in [
            (FINITE, f64::INFINITY, "a value must be finite, found inf"),
            (STANDARD_UNCERTAINTY, -1.0, "a standard uncertainty must be 0 or more and finite, found -1"),
            (
                STANDARD_UNCERTAINTY,
                f64::NAN,
                "a standard uncertainty must be 0 or more and finite, found NaN",
            ),
            (DEGREES_OF_FREEDOM, 0.0, "degrees of freedom must be above 0, found 0"),
        ] {
            let refused = range.check(found).map_err(|error| error.to_string());
            assert_eq!(refused, Err(expected.to_string()));
        }
        assert_eq!(DEGREES_OF_FREEDOM.check(f64::INFINITY), Ok(f64::INFINITY));
    }
}
