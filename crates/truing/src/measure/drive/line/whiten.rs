//! Averages whose errors are differences of one drifting position, made independent.
//!
//! **Problem.** The mean true speed of a window is a difference of two positions over its length: what one window has too
//! much, the next has too little. Taken as independent, such windows say far less of the ratio than they know, and blocks
//! of them scatter more than their sum does.
//!
//! **Model.** `error_k = R (b_{k+1} - b_k) / T_k + e_k`: `b` the error of the position along the road, first-order
//! Gauss-Markov, `e` what each window has of its own. A Kalman filter over `b` turns the rows `(true, 1, indicated)` into
//! innovations, which are independent, each with deviation 1: generalised least squares in linear time
//! (Anderson & Moore 1979, Optimal Filtering, ch. 5 and 9).

use super::fit::Observation;
use crate::measure::drive::truth::Drift;

/// Windows farther apart than this (s) do not share a position.
const TOUCHING_S: f64 = 1.5;

/// Rows with independent errors of deviation 1, one for each window.
pub fn whiten(windows: &[Observation], drift: Drift, ratio: f64) -> Vec<Observation> {
    let variance = drift.deviation_m * drift.deviation_m;
    let keep = |span_s: f64| (-span_s / drift.time_s).exp();
    // Mean of the drift at the window's start as predicted by each column, and its variance.
    let (mut means, mut spread, mut end_s) = ([0.0; 4], variance, f64::NEG_INFINITY);
    let row = |window: &Observation| {
        let (start_s, length_s) = (window.time_s - 0.5 * window.share_s, window.share_s.max(1.0));
        let apart_s = start_s - end_s;
        if apart_s > TOUCHING_S {
            let keep = keep(apart_s);
            means = means.map(|mean| keep * mean);
            spread = keep * keep * spread + variance * (1.0 - keep * keep);
        }
        end_s = start_s + length_s;
        let keep = keep(length_s);
        // At the end b is `keep` of what it was and some more; the window sees the difference.
        let (slope, more) = (ratio / length_s, variance * (1.0 - keep * keep));
        let seen = slope * (keep - 1.0);
        let own = window.sigma * window.sigma;
        let predicted = seen * seen * spread + slope * slope * more + own;
        let gain = (keep * seen * spread + slope * more) / predicted;
        let columns = [window.truth, window.one, window.growth, window.indicated];
        let mut innovations = [0.0; 4];
        for ((mean, column), innovation) in means.iter_mut().zip(columns).zip(&mut innovations) {
            *innovation = column - seen * *mean;
            *mean = keep * *mean + gain * *innovation;
        }
        spread = keep * keep * spread + more - gain * gain * predicted;
        let [truth, one, growth, indicated] = innovations.map(|innovation| innovation / predicted.sqrt());
        Observation { truth, one, growth, indicated, sigma: 1.0, ..*window }
    };
    windows.iter().map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    const DRIFT: Drift = Drift { deviation_m: 2.5, time_s: 60.0 };
    /// Sums of a dozen numbers of size one: rounding is far below.
    const ROUNDING: f64 = 1e-9;

    /// Eight windows of 10 s, the fifth after a pause of 25 s.
    fn windows() -> Vec<Observation> {
        (0..8)
            .map(|k| {
                let truth = 15.0 + 5.0 * f64::from(k).sin();
                Observation {
                    time_s: 10.0 * f64::from(k) + if k > 4 { 25.0 } else { 0.0 },
                    indicated: 1.03 * truth + 0.1 * f64::from(k % 3),
                    truth,
                    one: 1.0,
                    growth: 0.0,
                    truth_rate: 0.0,
                    sigma: 0.05,
                    own: 0.05,
                    share_s: 10.0,
                }
            })
            .collect()
    }

    /// The obvious way: the whole covariance matrix, and quadratic forms of its inverse.
    #[test]
    fn agrees_with_the_dense_inverse() {
        let (windows, ratio) = (windows(), 1.03);
        let ends = |w: &Observation| [w.time_s - 5.0, w.time_s + 5.0];
        let b = |s: f64, t: f64| DRIFT.deviation_m.powi(2) * (-(s - t).abs() / DRIFT.time_s).exp();
        let covariance = DMatrix::from_fn(8, 8, |i, j| {
            let ([a, b_], [c, d]) = (ends(&windows[i]), ends(&windows[j]));
            let shared = b(b_, d) - b(b_, c) - b(a, d) + b(a, c);
            let slope: f64 = ratio / 10.0;
            shared * slope * slope + if i == j { 0.05_f64.powi(2) } else { 0.0 }
        });
        let inverse = covariance.try_inverse().unwrap();
        let column = |get: fn(&Observation) -> f64| DVector::from_iterator(8, windows.iter().map(get));
        let white = whiten(&windows, DRIFT, ratio);
        let gets: [fn(&Observation) -> f64; 3] = [|o| o.truth, |o| o.one, |o| o.indicated];
        for (x, y) in [(0, 0), (0, 1), (1, 1), (0, 2), (1, 2), (2, 2)] {
            let dense = (column(gets[x]).transpose() * &inverse * column(gets[y]))[0];
            let quick: f64 = white.iter().map(|o| gets[x](o) * gets[y](o)).sum();
            assert!((quick / dense - 1.0).abs() < ROUNDING, "{x} {y}: {quick} {dense}");
        }
    }

    #[test]
    fn without_drift_each_row_is_over_its_deviation() {
        let windows = windows();
        let white = whiten(&windows, Drift { deviation_m: 0.0, time_s: 60.0 }, 1.0);
        assert!(white.iter().zip(&windows).all(|(w, o)| (w.truth - o.truth / 0.05).abs() < ROUNDING));
    }
}
