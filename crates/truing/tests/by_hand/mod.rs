//! What the hand figures of two tests are held to.

#![allow(clippy::expect_used, reason = "a figure that is not there fails the test")]

use super::trucks::fused;
use metrology::measured::Measured;
use metrology::quantity::{Quantity, Ratio};
use truing::measure::fusion::VehicleEstimate;

/// Hand figures carry five digits.
pub const BY_HAND: f64 = 2e-5;
/// Uncertainties carry three.
pub const U_BY_HAND: f64 = 5e-3;
/// Arithmetic that must agree but for rounding in binary.
pub const ROUNDING: f64 = 1e-9;

pub fn alone(text: &str) -> VehicleEstimate {
    fused(text, &[]).0
}

pub fn plain(measured: Option<Measured<Ratio>>) -> f64 {
    measured.expect("known").value.plain()
}

pub fn u<Q: Quantity>(measured: Option<Measured<Q>>) -> f64 {
    measured.expect("known").relative_uncertainty().plain()
}

pub fn revs(estimate: &VehicleEstimate) -> f64 {
    estimate.over_all.revs.expect("known").value.per_mi()
}

pub fn near(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "found {found}, expected {expected}");
}
