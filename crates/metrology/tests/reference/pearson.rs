//! Pearson's data (1901) with York's weights (1966): the standard problem for errors in both coordinates.

use crate::near;
use metrology::line::{UncertainPoint, ordinary, theil_sen, york};

const X: [f64; 10] = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
const Y: [f64; 10] = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
/// Weights, one over the variance.
const X_WEIGHTS: [f64; 10] = [1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0];
const Y_WEIGHTS: [f64; 10] = [1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0];

fn points() -> Vec<UncertainPoint> {
    let point = |index: usize| UncertainPoint {
        x: X[index],
        y: Y[index],
        x_standard_uncertainty: X_WEIGHTS[index].sqrt().recip(),
        y_standard_uncertainty: Y_WEIGHTS[index].sqrt().recip(),
        correlation: 0.0,
    };
    (0..10).map(point).collect()
}

/// Fit: York et al. 2004, Am. J. Phys. 72:367, table II (b -0.4805334, a 5.4799102), further digits by an
/// independent computation with their equations.
#[test]
fn york_with_both_uncertainties() {
    let line = york(&points()).unwrap();
    near(line.slope, -0.480_533_407_446_2, 5e-13);
    near(line.intercept, 5.479_910_224_033, 5e-12);
    near(line.slope_standard_uncertainty(), 0.057_985_009, 1e-9);
    near(line.intercept_standard_uncertainty(), 0.294_970_735, 1e-9);
    near(line.covariance, -0.016_472_5, 5e-8);
    near(line.sum_of_squares, 11.866_353_194, 5e-10);
    near(line.scatter().unwrap(), 1.217_905_641, 5e-10);
    near(line.slope_standard_uncertainty() * line.scatter().unwrap(), 0.070_620, 5e-7);
    near(line.intercept_standard_uncertainty() * line.scatter().unwrap(), 0.359_247, 5e-7);
}

/// Table II of York et al. 2004 prints uncertainties from an older evaluation; they agree to five digits.
#[test]
fn york_uncertainties_as_printed_in_2004() {
    let line = york(&points()).unwrap();
    near(line.intercept_standard_uncertainty(), 0.294_970_4, 5e-7);
    near(line.slope_standard_uncertainty(), 0.057_985_5, 6e-7);
}

#[test]
fn the_same_points_without_weights() {
    // Both recomputed from the definitions; -15/28 is the median of the 45 slopes.
    let plain = ordinary(&X, &Y).unwrap();
    near(plain.slope, -0.539_577_27, 5e-9);
    near(plain.intercept, 5.761_185_19, 5e-9);
    let robust = theil_sen(&X, &Y).unwrap();
    near(robust.slope, -15.0 / 28.0, 1e-12);
    near(robust.intercept, 5.6625, 1e-12);
    near(robust.slope_low_95, -0.645_83, 5e-6);
    near(robust.slope_high_95, -0.470_59, 5e-6);
}
