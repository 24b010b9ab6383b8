use super::*;

/// A ratio that does not change with speed.
const NO_GROWTH: Normal = Normal { mean: 0.0, u: 1e-9 };
const FLAT: Prior = Prior { offset: Normal { mean: 0.0, u: 1e3 }, growth: NO_GROWTH };

/// 1.03 of a true speed that waves, 0.4 s late, plus 0.2 m/s and a small repeating error.
fn observations() -> Vec<Observation> {
    (0..600)
        .map(|k| {
            let wave = |t: f64| (18.0 + 8.0 * (t / 40.0).sin(), 0.2 * (t / 40.0).cos());
            let ((truth, truth_rate), late) = (wave(k as f64), wave(k as f64 - 0.4).0);
            let error = 0.02 * [1.0, -1.0, 0.5, -0.5][k % 4];
            let indicated = 1.03 * late + 0.2 + error;
            Observation {
                time_s: k as f64,
                indicated,
                truth,
                one: 1.0,
                growth: 0.0,
                truth_rate,
                sigma: 0.1,
                own: 0.1,
                share_s: 1.0,
            }
        })
        .collect()
}

/// Ordinary least squares by sums: the obvious way when all weights are alike and the lag is taken out beforehand.
fn slow_line(pairs: &[(f64, f64)]) -> (f64, f64) {
    let n = pairs.len() as f64;
    let (mx, my) = pairs.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let sxy: f64 = pairs.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    let sxx: f64 = pairs.iter().map(|p| (p.0 - mx).powi(2)).sum();
    (sxy / sxx, my - sxy / sxx * mx)
}

#[test]
fn agrees_with_the_obvious_line() {
    let observations = observations();
    let fit = fit(&observations, FLAT, true).unwrap();
    let pairs: Vec<(f64, f64)> =
        observations.iter().map(|o| (o.truth - fit.lag_step * o.truth_rate, o.indicated)).collect();
    let (ratio, offset) = slow_line(&pairs);
    // The biweight is not quite level inside its bounds.
    assert!(
        (fit.ratio - ratio).abs() < 1e-4 && (fit.offset - offset).abs() < 2e-3,
        "{ratio} {offset} {fit:?}"
    );
    assert!((fit.ratio - 1.03).abs() < 1e-3 && (fit.lag_step - 0.4).abs() < 0.01, "{}", fit.lag_step);
}

#[test]
fn a_tight_prior_holds_the_offset() {
    let fit = fit(&observations(), Prior { offset: Normal { mean: 0.05, u: 1e-6 }, ..FLAT }, true).unwrap();
    assert!((fit.offset - 0.05).abs() < 1e-6, "{}", fit.offset);
    let (_, offset, u) = fit.free.unwrap();
    assert!((offset - 0.2).abs() < 0.02 && u < 0.02, "{offset} {u}");
}

#[test]
fn samples_far_off_get_no_weight() {
    let mut observations = observations();
    observations.iter_mut().step_by(20).for_each(|o| o.indicated = 0.0);
    let fit = fit(&observations, FLAT, true).unwrap();
    assert!((fit.ratio - 1.03).abs() < 2e-3, "{}", fit.ratio);
    assert_eq!(fit.weights.iter().filter(|w| **w == 0.0).count(), 30);
}

/// Where the search begins does not matter, only how long it takes.
#[test]
fn a_line_that_is_near_leads_to_the_same() {
    let observations = observations();
    let far = fit(&observations, FLAT, true).unwrap();
    let aside = Fit { ratio: 1.05, offset: 0.0, ..far.clone() };
    for near in [&far, &aside] {
        let found = fit_near(&observations, FLAT, true, Some(near)).unwrap();
        // Ten times what a round moves when the search ends.
        assert!((found.ratio - far.ratio).abs() < 10.0 * SETTLED, "{} {}", found.ratio, far.ratio);
        assert!((found.covariance - far.covariance).amax() < 1e-4 * far.covariance.amax());
    }
}

/// The same error in a whole block is one error, not sixty.
#[test]
fn residuals_that_go_together_widen_the_interval() {
    let mut together = observations();
    let mut apart = together.clone();
    for (k, (t, a)) in together.iter_mut().zip(&mut apart).enumerate() {
        t.indicated += 0.15 * [1.0, -1.0][k / 40 % 2];
        a.indicated += 0.15 * [1.0, -1.0][k % 2];
    }
    let u = |observations: &[Observation]| fit(observations, FLAT, false).unwrap().covariance[(0, 0)].sqrt();
    assert!(u(&together) > 3.0 * u(&apart), "{} {}", u(&together), u(&apart));
}

#[test]
fn too_few_is_none() {
    assert_eq!(fit(&observations()[..2], FLAT, false), None);
    assert_eq!(fit(&[], FLAT, false), None);
}
