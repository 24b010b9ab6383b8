//! Laws that hold for every input, tried on many.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]

use metrology::adjust::{Adjustment, Equation, Solution};
use metrology::quantity::{Length, Quantity};
use metrology::text::{self, Typed};
use proptest::prelude::*;

/// Relative size of a few hundred roundings, on well-conditioned problems.
const ROUNDING: f64 = 1e-9;

fn near(found: f64, expected: f64, scale: f64) -> bool {
    (found - expected).abs() <= ROUNDING * (1.0 + scale.abs().max(expected.abs()))
}

/// Small whole coefficients (so that every kind of rank occurs), an observation and an uncertainty.
type Row = (Vec<i8>, f64, f64);

fn rows(unknowns: usize, most: usize) -> impl Strategy<Value = Vec<Row>> {
    let row = (prop::collection::vec(-2i8..=2, unknowns), -5.0..5.0f64, 0.05..1.0f64);
    prop::collection::vec(row, 0..most)
}

fn solve(unknowns: usize, rows: &[Row]) -> Solution {
    let mut adjustment = Adjustment::new(vec![String::new(); unknowns]);
    for (cells, observed, u) in rows {
        adjustment.push(Equation::evidence("", functional(cells), *observed, *u).with_dof(7.0));
    }
    adjustment.solve().unwrap()
}

fn functional(cells: &[i8]) -> Vec<(usize, f64)> {
    cells.iter().map(|&cell| f64::from(cell)).enumerate().collect()
}

proptest! {
    /// A functional is either known, or there are unknowns to blame; never both, never neither.
    #[test]
    fn known_or_explained(rows in rows(4, 7), wanted in prop::collection::vec(-2i8..=2, 4)) {
        let solution = solve(4, &rows);
        let wanted = functional(&wanted);
        let blamed = solution.unidentified(&wanted);
        prop_assert_eq!(solution.estimate(&wanted).is_some(), blamed.is_empty());
        // Only what occurs, or what the functional asks for, can be unknown; and evidence on all of it settles it.
        let mut more = rows.clone();
        for &unknown in &blamed {
            more.push(((0..4).map(|k| i8::from(k == unknown)).collect(), 0.0, 1.0));
        }
        prop_assert!(solve(4, &more).estimate(&wanted).is_some());
    }

    /// What a row says is always known, and its share and those of all others add up to 1.
    #[test]
    fn shares_add_up(rows in rows(4, 9)) {
        let solution = solve(4, &rows);
        for (cells, _, u) in rows.iter().filter(|row| row.0.iter().any(|&cell| cell != 0)) {
            let estimate = solution.estimate(&functional(cells)).expect("seen directly");
            prop_assert!(estimate.standard_uncertainty <= u * (1.0 + ROUNDING));
            // Effective degrees of freedom lie between those of one equation and of all together.
            let most = 7.0 * rows.len() as f64;
            prop_assert!(estimate.dof >= 7.0 * (1.0 - ROUNDING) && estimate.dof <= most * (1.0 + ROUNDING));
            let shares = solution.contributions(&functional(cells));
            prop_assert!(near(shares.iter().sum(), 1.0, 1.0));
            prop_assert!(shares.iter().all(|&share| share >= 0.0));
        }
    }

    /// The order in which evidence arrives changes nothing.
    #[test]
    fn order_does_not_matter(rows in rows(3, 9)) {
        let backwards: Vec<Row> = rows.iter().rev().cloned().collect();
        let (a, b) = (solve(3, &rows), solve(3, &backwards));
        prop_assert!(near(a.chi_square(), b.chi_square(), a.chi_square()));
        prop_assert!(near(a.log_evidence(), b.log_evidence(), a.log_evidence()));
        for unknown in 0..3 {
            let pair = (a.estimate(&[(unknown, 1.0)]), b.estimate(&[(unknown, 1.0)]));
            match pair {
                (Some(a), Some(b)) => prop_assert!(near(a.value, b.value, a.value)),
                (a, b) => prop_assert!(a.is_none() && b.is_none()),
            }
        }
    }

    /// A deleted residual is what a fit without that equation says.
    #[test]
    fn leave_one_out_is_leaving_one_out(rows in rows(3, 7)) {
        let residuals = solve(3, &rows).residuals();
        for (index, (cells, observed, u)) in rows.iter().enumerate() {
            let mut others = rows.clone();
            others.remove(index);
            let predicted = solve(3, &others).estimate(&functional(cells));
            match (predicted, residuals[index].normalised_leave_one_out) {
                (Some(p), Some(found)) => {
                    let expected = (observed - p.value) / p.standard_uncertainty.hypot(*u);
                    prop_assert!(near(found, expected, expected), "{} is not {}", found, expected);
                }
                (None, found) => prop_assert!(found.is_none()),
                (Some(_), None) => prop_assert!(false, "row {} is checked by others but has no residual", index),
            }
        }
    }

    /// Two pieces of evidence one after the other: the evidence densities multiply
    /// (p(a, b) = p(a) p(b | a), the second with the first fit as prior).
    #[test]
    fn evidence_multiplies(prior in -2.0..2.0f64, a in -2.0..2.0f64, b in -2.0..2.0f64, u in 0.1..1.0f64) {
        let row = |value: f64, u: f64| (vec![1i8], value, u);
        let both = solve(1, &[row(prior, 0.7), row(a, u), row(b, 0.3)]);
        let first = solve(1, &[row(prior, 0.7), row(a, u)]);
        let fit = first.estimate(&[(0, 1.0)]).unwrap();
        let second = solve(1, &[row(fit.value, fit.standard_uncertainty), row(b, 0.3)]);
        prop_assert!(near(both.log_evidence(), first.log_evidence() + second.log_evidence(), 10.0));
    }

    /// An exact equation holds exactly, whatever else is said.
    #[test]
    fn exact_equations_hold(rows in rows(3, 6), cells in prop::collection::vec(-2i8..=2, 3), value in -3.0..3.0f64) {
        prop_assume!(cells.iter().any(|&cell| cell != 0));
        let mut all = rows;
        all.push((cells.clone(), value, 0.0));
        let estimate = solve(3, &all).estimate(&functional(&cells)).unwrap();
        prop_assert!(near(estimate.value, value, value));
        prop_assert_eq!(estimate.standard_uncertainty, 0.0);
    }

    /// No finite numbers, however odd, make it panic or give not-a-number where it answers.
    #[test]
    fn odd_numbers_are_answered_or_refused(
        cells in prop::collection::vec(prop::collection::vec(any::<f64>(), 4), 1..6),
    ) {
        let mut adjustment = Adjustment::new(vec![String::new(); 2]);
        for c in &cells {
            adjustment.push(Equation::evidence("", [(0, c[0]), (1, c[1])], c[2], c[3].abs()));
        }
        if let Ok(solution) = adjustment.solve() {
            let _ = (solution.residuals(), solution.log_evidence(), solution.widening());
            let _ = (solution.estimate(&[(0, 1.0)]), solution.unidentified(&[(1, 1.0)]));
        }
    }

    /// Decimal lengths survive printing and reading to the last bit typed.
    #[test]
    fn printed_lengths_read_the_same(whole in 0u32..100_000, decimals in 0usize..5, unit in 0usize..6) {
        let unit = ["m", "mm", "km", "in", "ft", "mi"][unit];
        let typed = format!("{:.*} {unit}", decimals, f64::from(whole) / 10f64.powi(decimals as i32));
        let read = text::length(&typed).unwrap();
        let printed = text::print(&read, unit).unwrap();
        prop_assert_eq!(&printed, &typed);
        prop_assert_eq!(text::length(&printed).unwrap(), read);
    }

    /// Printing with an uncertainty loses digits once, never again.
    #[test]
    fn printing_with_uncertainty_settles(value in -1e4..1e4f64, exponent in -6.0..4.0f64) {
        let u = 10f64.powf(exponent);
        let metre = |value: f64, u: f64| Typed {
            value: Length::from_m(value), standard_uncertainty: Some(Length::from_m(u)), resolution: Length::from_m(u),
        };
        let first = text::print(&metre(value.abs(), u), "m").unwrap();
        let again = text::length(&first).unwrap();
        let u_again = again.standard_uncertainty.unwrap().m();
        // Two digits of u: never off by more than half a unit of the second one.
        prop_assert!((u_again / u - 1.0).abs() <= 0.05 + ROUNDING, "{} for {}", first, u);
        prop_assert!((again.value.m() - value.abs()).abs() <= 0.05 * u_again + ROUNDING * value.abs());
        prop_assert_eq!(text::print(&again, "m").unwrap(), first);
    }

    /// Feet, inches and fractions add up as they should.
    #[test]
    fn feet_and_inches(feet in 0u32..1000, inches in 0u32..12, top in 0u32..32) {
        let typed = text::length(&format!("{feet} ft {inches} {top}/32 in")).unwrap();
        let expected = f64::from(12 * feet + inches) + f64::from(top) / 32.0;
        prop_assert!(near(typed.value.inches(), expected, expected));
        prop_assert!(near(typed.resolution.inches(), 1.0 / 32.0, 1.0));
    }

    /// Whatever is typed, reading answers or says why.
    #[test]
    fn reading_never_panics(text in ".{0,40}") {
        for error in [text::length(&text).err(), text::speed(&text).err(), text::read_list::<Length>(&text).err()] {
            prop_assert!(error.is_none_or(|error| !error.hint.is_empty() && !error.found.is_empty()));
        }
        if let Ok(typed) = text::length(&text) {
            prop_assert!(typed.value.si().is_finite());
        }
    }

    /// The same for texts made of the pieces people type.
    #[test]
    fn reading_pieces_never_panics(pieces in prop::collection::vec(0usize..18, 0..9)) {
        let all = ["1", "2.5", "/", " ", "ft", "in", "'", "\"", "+/-", "mph", ",", "½", "m", "-", ".", "0", "km/h", ";"];
        let text: String = pieces.iter().map(|&piece| all[piece]).collect();
        for error in [text::length(&text).err(), text::speed(&text).err(), text::read_list::<Length>(&text).err()] {
            prop_assert!(error.is_none_or(|error| !error.hint.is_empty() && !error.found.is_empty()));
        }
    }
}
