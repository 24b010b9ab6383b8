//! Side by side with general reference libraries: `compare.py` asked them, `outputs.json` holds what they said.

use crate::near;
use metrology::adjust::{Adjustment, Equation, Solution};
use metrology::measured::coverage_factor_95;
use serde_json::Value;

/// Agreement asked of the adjustment, relative to the size of what is compared.
const ADJUSTMENT_TOLERANCE: f64 = 1e-10;

/// The same for log densities and deleted residuals, which the libraries reach by inverting near-singular sums
/// and by differences; relative.
const DERIVED_TOLERANCE: f64 = 1e-8;

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
fn coverage_factors() {
    let expected = &stored()["student"];
    for (dof, t) in numbers(&expected["dof"]).into_iter().zip(numbers(&expected["t_975"])) {
        near(coverage_factor_95(dof), t, 1e-9 * t);
    }
}
