use super::*;

/// Coefficients, observed value, standard uncertainty.
type Row<'a> = (&'a [(usize, f64)], f64, f64);

fn adjustment(unknowns: usize, equations: &[Row]) -> Adjustment {
    let mut out = Adjustment::new((0..unknowns).map(|k| format!("x{k}")).collect());
    for (index, &(coefficients, observed, u)) in equations.iter().enumerate() {
        out.push(Equation::evidence(format!("e{index}"), coefficients.to_vec(), observed, u));
    }
    out
}

fn solved(unknowns: usize, equations: &[Row]) -> Solution {
    adjustment(unknowns, equations).solve().unwrap()
}

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-10 * expected.abs().max(1.0), "{found} is not {expected}");
}

#[test]
fn weighted_mean_of_two() {
    // Weights 1/0.1² and 1/0.2²: mean (4 * 10.0 + 10.4) / 5, u = sqrt(1 / 125) (school formula).
    let s = solved(1, &[(&[(0, 1.0)], 10.0, 0.1), (&[(0, 1.0)], 10.4, 0.2)]);
    let mean = s.estimate(&[(0, 1.0)]).unwrap();
    close(mean.value, 10.08);
    close(mean.standard_uncertainty, 125f64.sqrt().recip());
    assert_eq!(mean.dof, f64::INFINITY);
    let shares = s.contributions(&[(0, 1.0)]);
    close(shares[0], 0.8);
    close(shares[1], 0.2);
    // Each predicts the other: difference 0.4 with variance 0.01 + 0.04.
    let normalised = s.residuals()[1].normalised_leave_one_out.unwrap();
    close(normalised, 0.4 / 0.05f64.sqrt());
    close(s.residuals()[1].leave_one_out.unwrap(), 0.4);
    close(s.chi_square(), 0.16 / 0.05);
    assert_eq!(s.redundancy(), 1);
    // 3.2 lies below the 5 % point of chi-square with one degree of freedom, 3.841.
    assert!(!s.birge_is_significant());
    assert_eq!(s.widening(), 1.0);
}

#[test]
fn product_is_known_although_its_factors_are_not() {
    // x0 + x1 - x2 was seen, and x2; x0 and x1 cannot be told apart.
    let s = solved(3, &[(&[(0, 1.0), (1, 1.0), (2, -1.0)], 0.03, 0.001), (&[(2, 1.0)], 2.0, 0.01)]);
    assert!(s.estimate(&[(0, 1.0)]).is_none());
    assert_eq!(s.unidentified(&[(0, 1.0)]), [0, 1]);
    let sum = s.estimate(&[(0, 1.0), (1, 1.0)]).unwrap();
    close(sum.value, 2.03);
    close(sum.standard_uncertainty, (1e-6f64 + 1e-4).sqrt());
    assert!(s.unidentified(&[(0, 1.0), (1, 1.0)]).is_empty());
    assert!(s.residuals().iter().all(|r| r.normalised_leave_one_out.is_none()));
    assert_eq!(s.birge_ratio(), None);
}

#[test]
fn rank_does_not_depend_on_how_well_things_are_measured() {
    let precise: &[(usize, f64)] = &[(1, 1.0), (2, -1.0)];
    let s = solved(3, &[(&[(0, 1.0)], 1.0, 1.0), (precise, 0.5, 1e-9)]);
    assert_eq!(s.unidentified(&[(0, 1.0), (1, 1.0)]), [1, 2]);
    close(s.estimate(&[(1, 2.0), (2, -2.0)]).unwrap().value, 1.0);
}

#[test]
fn exact_knowledge_is_the_limit_of_good_knowledge() {
    let with = |u: f64| {
        let sum: &[(usize, f64)] = &[(0, 1.0), (1, 2.0)];
        solved(2, &[(sum, 5.0, u), (&[(0, 1.0)], 1.1, 0.1), (&[(1, 1.0)], 2.2, 0.2), (&[(1, 3.0)], 6.0, 0.4)])
    };
    let (exact, good) = (with(0.0), with(1e-7));
    for functional in [[(0, 1.0)], [(1, 1.0)]] {
        let (a, b) = (exact.estimate(&functional).unwrap(), good.estimate(&functional).unwrap());
        close(a.value, b.value);
        close(a.standard_uncertainty, b.standard_uncertainty);
    }
    assert_eq!(exact.estimate(&[(0, 1.0), (1, 2.0)]).unwrap().standard_uncertainty, 0.0);
    assert!((exact.log_evidence() - good.log_evidence()).abs() < 1e-6);
    assert_eq!(exact.redundancy(), good.redundancy());
}

#[test]
fn exact_contradiction_is_refused_and_repetition_is_not() {
    let twice = |second: f64| adjustment(1, &[(&[(0, 1.0)], 1.0, 0.0), (&[(0, 2.0)], second, 0.0)]).solve();
    let same = twice(2.0).unwrap().estimate(&[(0, 1.0)]).unwrap();
    close(same.value, 1.0);
    assert_eq!(same.standard_uncertainty, 0.0);
    assert!(matches!(twice(2.1), Err(AdjustmentError::ExactContradiction { .. })));
}

#[test]
fn impossible_numbers_are_refused() {
    let with =
        |coefficients: &[(usize, f64)], y: f64, u: f64| adjustment(1, &[(coefficients, y, u)]).solve().err();
    assert!(matches!(with(&[(1, 1.0)], 0.0, 1.0), Some(AdjustmentError::NoSuchUnknown { .. })));
    for (c, y, u) in [(f64::NAN, 0.0, 1.0), (1.0, f64::INFINITY, 1.0), (1.0, 0.0, -1.0), (1.0, 0.0, f64::NAN)]
    {
        assert!(matches!(with(&[(0, c)], y, u), Some(AdjustmentError::BadNumber { .. })));
    }
}

#[test]
fn nothing_at_all_is_answered() {
    let s = solved(2, &[]);
    assert!(s.estimate(&[(0, 1.0)]).is_none());
    assert_eq!(s.unidentified(&[(0, 1.0)]), [0]);
    assert_eq!(s.log_evidence(), 0.0);
    let none = solved(0, &[]);
    let empty = none.estimate(&[]).unwrap();
    assert_eq!((empty.value, empty.standard_uncertainty, empty.dof), (0.0, 0.0, f64::INFINITY));
}

#[test]
fn correlation_equals_a_shared_nuisance() {
    // Two readings share a scale error of 0.03; once as covariance, once as an unknown with a prior.
    let mut tied = adjustment(1, &[(&[(0, 1.0)], 1.0, 0.05), (&[(0, 1.0)], 1.1, 0.0500001f64.max(0.05))]);
    tied.correlate(0, 1, 0.03 * 0.03);
    let own = (0.05f64.powi(2) - 0.03f64.powi(2)).sqrt();
    let own_second = (0.0500001f64.powi(2) - 0.03f64.powi(2)).sqrt();
    let shared: &[(usize, f64)] = &[(0, 1.0), (1, 1.0)];
    let nuisance = solved(2, &[(shared, 1.0, own), (shared, 1.1, own_second), (&[(1, 1.0)], 0.0, 0.03)]);
    let (a, b) = (tied.solve().unwrap(), nuisance);
    let (x, y) = (a.estimate(&[(0, 1.0)]).unwrap(), b.estimate(&[(0, 1.0)]).unwrap());
    close(x.value, y.value);
    close(x.standard_uncertainty, y.standard_uncertainty);
    close(a.chi_square(), b.chi_square());
    close(a.log_evidence(), b.log_evidence());
    let z = |s: &Solution| s.residuals()[0].normalised_leave_one_out.unwrap();
    close(z(&a), z(&b));
    tied.correlate(0, 1, 1.0);
    assert!(matches!(tied.solve(), Err(AdjustmentError::BadCovariance { .. })));
}

#[test]
fn degrees_of_freedom_follow_welch_satterthwaite() {
    // Shares 0.8 and 0.2 with 4 and 9 degrees of freedom (JCGM 100:2008, G.2b by hand).
    let mut a = Adjustment::new(vec!["x".into()]);
    a.push(Equation::evidence("a", [(0, 1.0)], 10.0, 0.1).with_dof(4.0));
    a.push(Equation::evidence("b", [(0, 1.0)], 10.0, 0.2).with_dof(9.0));
    let dof = a.solve().unwrap().estimate(&[(0, 1.0)]).unwrap().dof;
    close(dof, 1.0 / (0.64 / 4.0 + 0.04 / 9.0));
}

#[test]
fn scatter_widens_and_never_shrinks() {
    let s = solved(1, &[(&[(0, 1.0)], 0.0, 1.0), (&[(0, 1.0)], 6.0, 1.0)]);
    close(s.birge_ratio().unwrap(), 18f64.sqrt());
    close(s.widening(), 18f64.sqrt());
    let calm = solved(1, &[(&[(0, 1.0)], 0.0, 1.0), (&[(0, 1.0)], 0.0, 1.0)]);
    assert_eq!(calm.widening(), 1.0);
}

#[test]
fn other_observations_need_no_new_decomposition() {
    let rows = |shift: f64| -> [Row; 4] {
        let sum: &[(usize, f64)] = &[(0, 1.0), (1, 2.0)];
        [
            (sum, 5.0 + shift, 0.0),
            (&[(0, 1.0)], 1.1, 0.1),
            (&[(1, 1.0)], 2.2 - shift, 0.2),
            (&[(1, 3.0)], 6.0, 0.4),
        ]
    };
    let (first, second) = (solved(2, &rows(0.0)), solved(2, &rows(0.3)));
    let again = first.with_observed(&rows(0.3).map(|row| row.1)).unwrap();
    assert_eq!(again.estimate(&[(0, 1.0)]), second.estimate(&[(0, 1.0)]));
    assert_eq!(again.residuals(), second.residuals());
    assert_eq!(again.log_evidence(), second.log_evidence());
    assert!(matches!(
        first.with_observed(&[1.0]),
        Err(AdjustmentError::WrongCount { expected: 4, found: 1 })
    ));
    assert!(matches!(first.with_observed(&[f64::NAN; 4]), Err(AdjustmentError::BadNumber { .. })));
}

#[test]
fn models_with_an_unknown_without_prior_compare_as_under_a_very_wide_one() {
    // Two candidate constants on the right of the second equation; x0 has no prior at all, or a very wide one.
    let odds = |prior: Option<f64>| {
        let evidence = |constant: f64| {
            let sum: &[(usize, f64)] = &[(0, 1.0), (1, 1.0)];
            let mut rows: Vec<Row> =
                vec![(&[(1, 1.0)], 0.5, 0.02), (&[(0, 1.0)], 1.0, 0.05), (sum, 1.6 - constant, 0.03)];
            rows.extend(prior.map(|u| -> Row { (&[(0, 1.0)], 0.0, u) }));
            solved(2, &rows).log_evidence()
        };
        evidence(0.0) - evidence(0.25)
    };
    assert!((odds(None) - odds(Some(1e4))).abs() < 1e-6);
    assert!(odds(None).abs() > 0.5);
}
