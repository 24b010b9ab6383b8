//! NIST StRD linear regression: certified coefficients, their standard deviations, residual deviations.

use crate::digits_agreed;
use metrology::adjust::{Adjustment, Equation, Solution};
use serde_json::Value;

/// A set with its certified answers.
struct Set {
    name: String,
    y: Vec<f64>,
    design: Vec<Vec<f64>>,
    certified: Vec<f64>,
    certified_sd: Vec<f64>,
    residual_sd: f64,
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|cell| cell.as_f64().unwrap()).collect()
}

fn sets() -> Vec<Set> {
    let file: Value = serde_json::from_str(include_str!("../data/strd_linear.json")).unwrap();
    file["sets"].as_array().unwrap().iter().map(read_set).collect()
}

fn read_set(set: &Value) -> Set {
    let terms: Vec<&str> =
        set["model"].as_array().unwrap().iter().map(|term| term.as_str().unwrap()).collect();
    let rows: Vec<Vec<f64>> = set["rows"].as_array().unwrap().iter().map(numbers).collect();
    let design = |row: &Vec<f64>| terms.iter().map(|term| term_value(term, &row[1..])).collect();
    Set {
        name: set["name"].as_str().unwrap().to_string(),
        y: rows.iter().map(|row| row[0]).collect(),
        design: rows.iter().map(design).collect(),
        certified: numbers(&set["certified"]),
        certified_sd: numbers(&set["certified_sd"]),
        residual_sd: set["residual_sd"].as_f64().unwrap(),
    }
}

/// `1`, `x`, `x3` (third column) or `x^3` (power of the only column).
fn term_value(term: &str, x: &[f64]) -> f64 {
    match term.strip_prefix('x') {
        None => 1.0,
        Some("") => x[0],
        Some(rest) => match rest.strip_prefix('^') {
            Some(power) => x[0].powi(power.parse().unwrap()),
            None => x[rest.parse::<usize>().unwrap() - 1],
        },
    }
}

fn solve(set: &Set) -> Solution {
    let mut adjustment = Adjustment::new(set.certified.iter().map(|_| String::new()).collect());
    for (row, &y) in set.design.iter().zip(&set.y) {
        let coefficients: Vec<(usize, f64)> = row.iter().copied().enumerate().collect();
        adjustment.push(Equation::evidence("row", coefficients, y, 1.0));
    }
    adjustment.solve().unwrap()
}

/// Fewest digits agreed in coefficients, in their standard deviations, and in the residual deviation.
fn agreement(set: &Set) -> (f64, f64, f64) {
    let solution = solve(set);
    let scatter = solution.birge_ratio().unwrap();
    let (mut values, mut deviations) = (15f64, 15f64);
    for (index, (&value, &sd)) in set.certified.iter().zip(&set.certified_sd).enumerate() {
        let estimate = solution.estimate(&[(index, 1.0)]).expect("full rank");
        values = values.min(digits_agreed(estimate.value, value));
        deviations = deviations.min(digits_agreed(estimate.standard_uncertainty * scatter, sd));
    }
    (values, deviations, digits_agreed(scatter, set.residual_sd))
}

/// Digits that must agree: those measured, less half a digit or so for other processors. Lost digits are those of
/// the condition number: Filip's powers up to ten (1.8e15 before scaling); in Wampler 3 to 5 coefficients of 1
/// under noise of 1e3, 1e5 and 1e7.
const LEAST_DIGITS: [(&str, f64, f64, f64); 10] = [
    ("Norris", 13.5, 13.5, 13.5),
    ("NoInt1", 14.0, 14.0, 14.0),
    ("NoInt2", 14.0, 14.0, 14.0),
    ("Longley", 10.5, 12.0, 12.0),
    ("Filip", 7.0, 7.0, 7.5),
    ("Wampler1", 11.0, 9.0, 9.0),
    ("Wampler2", 12.5, 14.0, 14.0),
    ("Wampler3", 9.5, 13.0, 14.0),
    ("Wampler4", 7.5, 13.0, 14.0),
    ("Wampler5", 5.5, 13.0, 14.0),
];

#[test]
fn adjustment_agrees_with_certified_values() {
    let sets = sets();
    assert_eq!(sets.len(), LEAST_DIGITS.len());
    for (set, (name, values, deviations, scatter)) in sets.iter().zip(LEAST_DIGITS) {
        assert_eq!(set.name, name);
        let found = agreement(set);
        println!(
            "{name}: digits agreed {:.1} values, {:.1} deviations, {:.1} residual",
            found.0, found.1, found.2
        );
        assert!(found.0 >= values && found.1 >= deviations && found.2 >= scatter, "{name}: {found:?}");
    }
}
