//! Outside checks: certified data, published examples, reference libraries. Every expected number stands beside
//! its source; origins and licences of the files are in `tests/data/SOURCES.md`.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]
#![allow(clippy::print_stdout, reason = "the digits that agree are a result people want to read")]

#[path = "reference/gum.rs"]
mod gum;
#[path = "reference/libraries.rs"]
mod libraries;
#[path = "reference/strd.rs"]
mod strd;

/// Significant digits that agree: minus the decimal logarithm of the relative error (absolute where 0 is
/// expected), 15 at most.
fn digits_agreed(found: f64, expected: f64) -> f64 {
    let scale = if expected == 0.0 { 1.0 } else { expected.abs() };
    let error = (found - expected).abs() / scale;
    if error.is_nan() { 0.0 } else { (-error.max(1e-15).log10()).max(0.0) }
}

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} +/- {tolerance}");
}
