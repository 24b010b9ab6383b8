use super::*;

fn points(x: &[f64], y: &[f64], u_x: f64, u_y: f64) -> Vec<UncertainPoint> {
    let point = |(&x, &y): (&f64, &f64)| UncertainPoint {
        x,
        y,
        x_standard_uncertainty: u_x,
        y_standard_uncertainty: u_y,
        correlation: 0.0,
    };
    x.iter().zip(y).map(point).collect()
}

#[test]
fn york_without_errors_in_x_is_the_ordinary_line() {
    let (x, y) = ([0.0, 1.0, 2.0, 4.0], [1.0, 2.9, 5.2, 8.8]);
    let (plain, york) = (ordinary(&x, &y).unwrap(), york(&points(&x, &y, 0.0, 0.1)).unwrap());
    assert!((plain.slope - york.slope).abs() < 1e-13 && (plain.intercept - york.intercept).abs() < 1e-13);
    let scale = plain.scatter().unwrap() / 0.1;
    assert!((york.slope_standard_uncertainty() * scale - plain.slope_standard_uncertainty()).abs() < 1e-13);
    assert!((york.scatter().unwrap() - scale).abs() < 1e-12);
}

#[test]
fn turning_the_axes_turns_the_slope() {
    // With equal errors in both the best line does not care which axis is called x.
    let (x, y) = ([0.0, 1.0, 2.0, 4.0], [1.0, 2.9, 5.2, 8.8]);
    let (there, back) = (york(&points(&x, &y, 0.2, 0.2)).unwrap(), york(&points(&y, &x, 0.2, 0.2)).unwrap());
    assert!((there.slope * back.slope - 1.0).abs() < 1e-12);
    assert!((there.sum_of_squares - back.sum_of_squares).abs() < 1e-10);
}

#[test]
fn wild_points_do_not_pull_the_robust_line() {
    let x: Vec<f64> = (0..20).map(f64::from).collect();
    let mut y: Vec<f64> = x.iter().map(|x| 3.0 + 2.0 * x).collect();
    y[3] = 1e6;
    y[17] = -1e6;
    let line = theil_sen(&x, &y).unwrap();
    assert!((line.slope - 2.0).abs() < 1e-12);
    assert!(line.slope_low_95 <= 2.0 && line.slope_high_95 >= 2.0);
}

#[test]
fn what_cannot_be_fitted_is_refused() {
    assert!(matches!(ordinary(&[1.0], &[1.0, 2.0]), Err(LineError::UnequalLengths { x: 1, y: 2 })));
    assert!(matches!(ordinary(&[1.0], &[1.0]), Err(LineError::PointCount { .. })));
    assert_eq!(ordinary(&[1.0, 1.0], &[1.0, 2.0]), Err(LineError::NoSpread));
    assert_eq!(theil_sen(&[1.0, 1.0], &[1.0, 2.0]), Err(LineError::NoSpread));
    assert!(matches!(ordinary(&[1.0, f64::NAN], &[1.0, 2.0]), Err(LineError::BadPoint { index: 1, .. })));
    assert!(matches!(york(&points(&[1.0, 2.0], &[1.0, 2.0], 0.0, 0.0)), Err(LineError::BadPoint { .. })));
    assert!(theil_sen(&[0.0; 5001], &[0.0; 5001]).is_err());
    // Pure noise: whatever comes out, it is an answer or a reason, never a panic.
    let _ = york(&points(&[0.0, 1e-9, 0.0], &[1.0, -1.0, 0.5], 10.0, 10.0));
}
