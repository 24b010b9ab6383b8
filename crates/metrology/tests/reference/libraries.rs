//! Side by side with general reference libraries: `compare.py` asked them, `outputs.json` holds what they said.

use crate::near;
use metrology::adjust::{Adjustment, Equation, Solution};
use metrology::line::{UncertainPoint, ordinary, theil_sen, york};
use metrology::measured::coverage_factor_95;
use metrology::propagate::{Distribution, Settings, propagate};
use metrology::uncertain::{Inputs, Uncertain};
use serde_json::Value;

/// Agreement asked of the adjustment, relative to the size of what is compared.
const ADJUSTMENT_TOLERANCE: f64 = 1e-10;

/// The same for log densities and deleted residuals, which the libraries reach by inverting near-singular sums
/// and by differences; relative.
const DERIVED_TOLERANCE: f64 = 1e-8;

/// The orthogonal distance routine stops on its own finite-difference derivatives.
const ORTHOGONAL_DISTANCE_TOLERANCE: f64 = 3e-7;

fn stored() -> Value {
    serde_json::from_str(include_str!("outputs.json")).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|cell| cell.as_f64().unwrap()).collect()
}

fn matrix(value: &Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

#[track_caller]
fn agrees(found: f64, expected: &Value, relative: f64) {
    let expected = expected.as_f64().unwrap();
    near(found, expected, relative * expected.abs().max(1e-3));
}

fn solve(problem: &Value) -> Solution {
    let (rows, observed) = (matrix(&problem["coefficients"]), numbers(&problem["observed"]));
    let covariance = matrix(&problem["covariance"]);
    let mut adjustment = Adjustment::new(vec![String::new(); rows[0].len()]);
    for (index, row) in rows.iter().enumerate() {
        let coefficients: Vec<(usize, f64)> = row.iter().copied().enumerate().collect();
        let u = covariance[index][index].sqrt();
        adjustment.push(Equation::evidence(format!("row {index}"), coefficients, observed[index], u));
        for other in (0..index).filter(|&other| covariance[index][other] != 0.0) {
            adjustment.correlate(index, other, covariance[index][other]);
        }
    }
    adjustment.solve().unwrap()
}

#[test]
fn adjustment_against_a_dense_solution() {
    let stored = stored();
    let problems = stored["adjustments"].as_array().unwrap();
    assert_eq!(problems.len(), 12);
    for problem in problems {
        let solution = solve(problem);
        for (index, value) in problem["values"].as_array().unwrap().iter().enumerate() {
            agrees(solution.estimate(&[(index, 1.0)]).unwrap().value, value, ADJUSTMENT_TOLERANCE);
        }
        let functional: Vec<(usize, f64)> = numbers(&problem["functional"]).into_iter().enumerate().collect();
        let estimate = solution.estimate(&functional).unwrap();
        agrees(estimate.value, &problem["functional_value"], ADJUSTMENT_TOLERANCE);
        agrees(estimate.standard_uncertainty, &problem["functional_u"], ADJUSTMENT_TOLERANCE);
        agrees(solution.chi_square(), &problem["chi_square"], ADJUSTMENT_TOLERANCE);
    }
}

#[test]
fn evidence_against_the_density_of_the_observations() {
    for problem in stored()["adjustments"].as_array().unwrap() {
        agrees(solve(problem).log_evidence(), &problem["log_evidence"], DERIVED_TOLERANCE);
    }
}

#[test]
fn residuals_against_fitting_without_each_row() {
    let mut compared = 0;
    for problem in stored()["adjustments"].as_array().unwrap() {
        let residuals = solve(problem).residuals();
        for (residual, expected) in residuals.iter().zip(problem["leave_one_out"].as_array().unwrap()) {
            if !expected.is_null() {
                agrees(residual.normalised_leave_one_out.unwrap(), expected, DERIVED_TOLERANCE);
                compared += 1;
            }
        }
    }
    assert!(compared > 100, "only {compared} residuals were compared");
}

#[test]
fn york_against_orthogonal_distance_regression() {
    let p = &stored()["pearson"];
    let (x, y) = (numbers(&p["x"]), numbers(&p["y"]));
    let u = |key: &str, index: usize| numbers(&p[key])[index].sqrt().recip();
    let point = |index: usize| UncertainPoint {
        x: x[index],
        y: y[index],
        x_standard_uncertainty: u("x_weights", index),
        y_standard_uncertainty: u("y_weights", index),
        correlation: 0.0,
    };
    let line = york(&(0..x.len()).map(point).collect::<Vec<_>>()).unwrap();
    agrees(line.slope, &p["odr_slope"], ORTHOGONAL_DISTANCE_TOLERANCE);
    agrees(line.intercept, &p["odr_intercept"], ORTHOGONAL_DISTANCE_TOLERANCE);
    agrees(line.sum_of_squares, &p["odr_sum_of_squares"], ORTHOGONAL_DISTANCE_TOLERANCE);
    robust_agrees(&x, &y, &p["theil_sen"]);
}

/// Slope, intercept, and both ends of the interval.
fn robust_agrees(x: &[f64], y: &[f64], expected: &Value) {
    let line = theil_sen(x, y).unwrap();
    let found = [line.slope, line.intercept, line.slope_low_95, line.slope_high_95];
    for (found, expected) in found.into_iter().zip(expected.as_array().unwrap()) {
        agrees(found, expected, 1e-12);
    }
}

#[test]
fn norris_by_ordinary_and_robust_lines() {
    let strd: Value = serde_json::from_str(include_str!("../data/strd_linear.json")).unwrap();
    let rows = matrix(&strd["sets"][0]["rows"]);
    let (x, y): (Vec<f64>, Vec<f64>) = rows.iter().map(|row| (row[1], row[0])).unzip();
    let (line, expected) = (ordinary(&x, &y).unwrap(), &stored()["norris"]);
    agrees(line.slope, &expected["slope"], 1e-12);
    agrees(line.intercept, &expected["intercept"], 1e-11);
    agrees(line.slope_standard_uncertainty(), &expected["slope_u"], 1e-9);
    agrees(line.intercept_standard_uncertainty(), &expected["intercept_u"], 1e-9);
    robust_agrees(&x, &y, &expected["theil_sen"]);
}

#[test]
fn correlated_inputs_against_a_library_of_uncertain_numbers() {
    let expected = &stored()["impedance"];
    let series = matrix(&expected["series"]);
    let mean = |s: &[f64]| s.iter().sum::<f64>() / 5.0;
    let covariance = |a: &[f64], b: &[f64]| -> f64 {
        a.iter().zip(b).map(|(x, y)| (x - mean(a)) * (y - mean(b))).sum::<f64>() / 20.0
    };
    let mut inputs = Inputs::default();
    let u = |s: &[f64]| covariance(s, s).sqrt();
    let numbers: Vec<Uncertain> =
        series.iter().map(|s| inputs.add("", mean(s), u(s), 4.0).unwrap()).collect();
    for (a, b) in [(0, 1), (0, 2), (1, 2)] {
        let r = covariance(&series[a], &series[b]) / (u(&series[a]) * u(&series[b]));
        inputs.correlate(&numbers[a], &numbers[b], r).unwrap();
    }
    let impedance = &numbers[0] / &numbers[1];
    let results = [&impedance * numbers[2].cos(), &impedance * numbers[2].sin(), impedance];
    for (index, result) in results.iter().enumerate() {
        let combined = inputs.combine(result);
        agrees(combined.value, &expected["values"][index], 1e-12);
        agrees(combined.standard_uncertainty, &expected["u"][index], 1e-10);
        for (other, partner) in results.iter().enumerate() {
            agrees(inputs.correlation(result, partner), &expected["correlation"][index][other], 1e-10);
        }
    }
}

#[test]
fn repeated_inputs_against_a_library_of_uncertain_numbers() {
    let mut inputs = Inputs::default();
    let x = inputs.add("x", 3.0, 0.1, f64::INFINITY).unwrap();
    let y = inputs.add("y", 7.0, 0.2, f64::INFINITY).unwrap();
    let results = [
        ("ratio", &x / (&x + &y)),
        ("log of product", (&x * &x * &y).ln()),
        ("root", (&x * &y + y.powi(3)).sqrt()),
        ("exponential", (-(&x / &y)).exp() * (&x - &y)),
    ];
    for (name, result) in results {
        let (combined, expected) = (inputs.combine(&result), &stored()["expressions"][name]);
        agrees(combined.value, &expected[0], 1e-13);
        agrees(combined.standard_uncertainty, &expected[1], 1e-12);
    }
}

/// The exact 97.5 % points of the sums of rectangles in JCGM 101:2008, 9.2.3 and 9.2.4.
#[test]
fn drawing_against_exact_quantiles() {
    for (key, wide, tolerance) in [("equal", 1.0, 0.01), ("one wide", 10.0, 0.05)] {
        let rectangle =
            |sd: f64| Distribution::Rectangular { low: -sd * 3f64.sqrt(), high: sd * 3f64.sqrt() };
        let inputs = [rectangle(1.0), rectangle(1.0), rectangle(1.0), rectangle(wide)];
        let settings = Settings { seed: 11, most_draws: 1_000_000 };
        let both = propagate(&inputs, |x| x.iter().sum(), &settings);
        near(both.monte_carlo.high_95, stored()["rectangles"][key].as_f64().unwrap(), tolerance);
    }
}

#[test]
fn coverage_factors() {
    let expected = &stored()["student"];
    for (dof, t) in numbers(&expected["dof"]).into_iter().zip(numbers(&expected["t_975"])) {
        near(coverage_factor_95(dof), t, 1e-9 * t);
    }
}
