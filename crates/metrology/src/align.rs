//! The lag between two series that show the same motion on different clocks, to the nearest grid step.
//!
//! **Problem.** `reference(t)` and `other(t)` with `other(t) = k · reference(t - lag)` plus noise, `k > 0` unknown.
//! Both are brought to one grid; for each lag the overlap is scored by how much better a proportion explains `other`
//! than its own mean does: `n/2 · ln(variance / (squared error / n + floor))`. A longer overlap with the same agreement
//! scores higher, so short accidental matches lose.
//!
//! **Accuracy.** Half a grid step; a fit that uses the slope of the series refines it below that. The time taken is
//! the product of grid length and number of lags; the grid is coarsened so that it stays below `WORK` steps, and each grid below
//! `GRID_STEPS`, whatever span the times claim.
//!
//! ```
//! use metrology::align::{lag, Series};
//! let time: Vec<f64> = (0..300).map(f64::from).collect();
//! let wave = |t: f64| 15.0 + 5.0 * (t / 17.0).sin() + 3.0 * (t / 5.3).cos();
//! let a: Vec<f64> = time.iter().map(|t| wave(*t)).collect();
//! let b: Vec<f64> = time.iter().map(|t| 1.03 * wave(*t - 7.0)).collect();
//! let found = lag(Series { time_s: &time, value: &a }, Series { time_s: &time, value: &b }, -30.0, 30.0, 30.0);
//! assert_eq!(found.unwrap().lag_s, 7.0);
//! ```

use crate::order::usual_interval_s;

/// Finest grid (s): the fit that follows needs the lag only to about a second.
pub const GRID_S: f64 = 0.5;
/// Longest gap (s), or in usual intervals, across which a value is interpolated: the longer of both.
const GAP_S: f64 = 6.0;
const GAP_INTERVALS: f64 = 1.5;
/// Bound on grid length times number of lags.
const WORK: f64 = 4e7;
/// Most steps of one grid: 12 days at [`GRID_S`]. Series that claim a longer span are laid on a coarser grid, so that one wrong time
/// stamp asks for no more memory than this.
const GRID_STEPS: f64 = 2_097_152.0;
/// Floor of the squared error, as a share of the variance: agreement better than this is not told apart.
const FLOOR: f64 = 1e-4;
/// A rival is a peak at least so far (s) from the best: nearer ones are the same peak.
const RIVAL_APART_S: f64 = 8.0;

/// A series of values at rising times.
#[derive(Copy, Clone, Debug)]
pub struct Series<'a> {
    /// Times (s), rising.
    pub time_s: &'a [f64],
    /// One value for each time.
    pub value: &'a [f64],
}

/// The lag that explains `other` best.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Lag {
    /// `other` shows the motion this much later (s).
    pub lag_s: f64,
    /// Grid step (s): the lag is known to about half of it.
    pub step_s: f64,
    /// Share of the variance of `other` that the proportion explains; may be negative.
    pub explained: f64,
    /// Logarithm of the likelihood ratio against "no relation".
    pub score: f64,
    /// Score of the best lag that is another peak, if there is one.
    pub rival_score: Option<f64>,
}

/// Finds the lag between `low_s` and `high_s` with at least `overlap_s` of common time; `None` when no lag has that.
pub fn lag(reference: Series, other: Series, low_s: f64, high_s: f64, overlap_s: f64) -> Option<Lag> {
    let (first, last) = (reference.time_s.first()?, reference.time_s.last()?);
    let (other_first, other_last) = (other.time_s.first()?, other.time_s.last()?);
    if ![first, last, other_first, other_last].iter().all(|time_s| time_s.is_finite()) {
        return None;
    }
    // Beyond these lags the two do not meet at all.
    let low_s = low_s.max(other_first - last);
    let high_s = high_s.min(other_last - first);
    let length_s = (last - first).min(other_last - other_first);
    let longest_s = (last - first).max(other_last - other_first);
    let step_s = (length_s * (high_s - low_s).max(0.0) / WORK).sqrt().max(longest_s / GRID_STEPS).max(GRID_S);
    let x = resample(reference, *first, step_s);
    let y = resample(other, *other_first, step_s);
    let shift_s = other_first - first;
    let steps = |s: f64| ((s - shift_s) / step_s).round() as i64;
    let minimum = (overlap_s / step_s) as usize;
    let scores: Vec<(i64, f64, f64)> = (steps(low_s)..=steps(high_s))
        .filter_map(|k| score(&x, &y, k, minimum.max(3)).map(|(score, explained)| (k, score, explained)))
        .collect();
    let best = scores.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let apart = (RIVAL_APART_S / step_s) as i64;
    let rival_score =
        scores.iter().filter(|s| (s.0 - best.0).abs() > apart).map(|s| s.1).max_by(f64::total_cmp);
    let lag_s = best.0 as f64 * step_s + shift_s;
    Some(Lag { lag_s, step_s, explained: best.2, score: best.1, rival_score })
}

/// Values on a grid from `start_s`; not a number inside gaps.
fn resample(series: Series, start_s: f64, step_s: f64) -> Vec<f64> {
    let Some(last) = series.time_s.last() else { return Vec::new() };
    let count = ((last - start_s) / step_s) as usize + 1;
    let hole_s = GAP_S.max(GAP_INTERVALS * usual_interval_s(series.time_s.iter().copied()));
    let mut upper = 0;
    (0..count)
        .map(|k| {
            let t = start_s + k as f64 * step_s;
            while upper < series.time_s.len() && series.time_s[upper] < t {
                upper += 1;
            }
            interpolate(series, upper, t, hole_s)
        })
        .collect()
}

fn interpolate(series: Series, upper: usize, t: f64, hole_s: f64) -> f64 {
    let Some(&after) = series.time_s.get(upper) else { return f64::NAN };
    if after <= t || upper == 0 {
        return if after == t { series.value[upper] } else { f64::NAN };
    }
    let before = series.time_s[upper - 1];
    if after - before > hole_s {
        return f64::NAN;
    }
    let share = (t - before) / (after - before);
    series.value[upper - 1] * (1.0 - share) + series.value[upper] * share
}

/// Score and explained share when `y[j]` meets `x[j + k]` shifted so that `y` is `k` steps later.
fn score(x: &[f64], y: &[f64], k: i64, minimum: usize) -> Option<(f64, f64)> {
    let from = k.min(0).unsigned_abs() as usize;
    let shift = k.max(0) as usize;
    let (x, y) = (x.get(from..)?, y.get(shift..)?);
    let (mut n, mut sx2, mut sxy, mut sy, mut sy2) = (0usize, 0.0, 0.0, 0.0, 0.0);
    for (x, y) in x.iter().zip(y) {
        let product = x * y;
        if !product.is_nan() {
            n += 1;
            sx2 += x * x;
            sxy += product;
            sy += y;
            sy2 += y * y;
        }
    }
    if n < minimum || sx2 <= 0.0 || sxy <= 0.0 {
        return None;
    }
    let count = n as f64;
    let variance = (sy2 - sy * sy / count) / count;
    let error = ((sy2 - sxy * sxy / sx2) / count).max(0.0);
    if variance <= 0.0 {
        return Some((0.0, 0.0));
    }
    Some((0.5 * count * (variance / (error + FLOOR * variance)).ln(), 1.0 - error / variance))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(t: f64) -> f64 {
        16.0 + 6.0 * (t / 31.0).sin() + 4.0 * (t / 11.7).cos()
    }

    /// The obvious way: every lag, every second, straight from the function.
    fn slow(lag_s: f64, k: f64, candidates: core::ops::Range<i32>) -> f64 {
        candidates
            .map(f64::from)
            .min_by(|a, b| {
                let miss = |lag: f64| -> f64 {
                    (0..600)
                        .map(|t| (k * wave(f64::from(t) - lag_s) - k * wave(f64::from(t) - lag)).powi(2))
                        .sum()
                };
                miss(*a).total_cmp(&miss(*b))
            })
            .unwrap()
    }

    #[test]
    fn agrees_with_the_obvious_search() {
        let time: Vec<f64> = (0..600).map(f64::from).collect();
        let reference: Vec<f64> = time.iter().map(|t| wave(*t)).collect();
        for lag_s in [-25.0, -3.0, 0.0, 1.0, 29.0] {
            let other: Vec<f64> = time.iter().map(|t| 0.96 * wave(*t - lag_s)).collect();
            let found = lag(
                Series { time_s: &time, value: &reference },
                Series { time_s: &time, value: &other },
                -60.0,
                60.0,
                60.0,
            )
            .unwrap();
            assert_eq!(found.lag_s, lag_s);
            assert_eq!(found.lag_s, slow(lag_s, 0.96, -60..60));
            assert!(found.explained > 0.999, "{found:?}");
        }
    }

    #[test]
    fn a_series_that_starts_elsewhere_is_found_over_its_whole_length() {
        let time: Vec<f64> = (0..600).map(f64::from).collect();
        let reference: Vec<f64> = time.iter().map(|t| wave(*t)).collect();
        let own_clock: Vec<f64> = (0..200).map(|t| f64::from(t) + 9000.0).collect();
        let other: Vec<f64> = own_clock.iter().map(|t| wave(*t - 8750.0)).collect();
        let found = lag(
            Series { time_s: &time, value: &reference },
            Series { time_s: &own_clock, value: &other },
            f64::NEG_INFINITY,
            f64::INFINITY,
            100.0,
        )
        .unwrap();
        assert_eq!(found.lag_s, 8750.0);
    }

    /// A value every ten seconds has no gaps between its values; one that is missing is one.
    #[test]
    fn sparse_series_are_no_holes() {
        let time: Vec<f64> = (0..600).map(f64::from).collect();
        let reference: Vec<f64> = time.iter().map(|t| wave(*t)).collect();
        let sparse: Vec<f64> = (0..50).filter(|k| *k != 20).map(|k| 10.0 * f64::from(k) + 40.0).collect();
        let other: Vec<f64> = sparse.iter().map(|t| wave(*t - 12.0)).collect();
        let found = lag(
            Series { time_s: &time, value: &reference },
            Series { time_s: &sparse, value: &other },
            -60.0,
            60.0,
            60.0,
        )
        .unwrap();
        // Straight lines over ten seconds of a wave of 74 s leave a step or two.
        assert!((found.lag_s - 12.0).abs() <= 2.0 * GRID_S, "{found:?}");
    }

    /// One time stamp years off: the grid stays bounded, and nothing aborts.
    #[test]
    fn a_wrong_time_stamp_asks_for_no_memory() {
        let mut time: Vec<f64> = (0..600).map(f64::from).collect();
        let value: Vec<f64> = time.iter().map(|t| wave(*t)).collect();
        for wrong_s in [1e9, 1e15, 1e300] {
            time[599] = wrong_s;
            let series = Series { time_s: &time, value: &value };
            let found = lag(series, series, f64::NEG_INFINITY, f64::INFINITY, 30.0);
            assert!(found.is_none_or(|lag| lag.step_s >= GRID_S), "{found:?}");
        }
        time[599] = f64::INFINITY;
        let series = Series { time_s: &time, value: &value };
        assert_eq!(lag(series, series, -30.0, 30.0, 30.0), None);
    }

    #[test]
    fn no_common_time_is_none() {
        let a = [0.0, 1.0, 2.0, 3.0];
        let b = [100.0, 101.0, 102.0, 103.0];
        let (a, b) = (Series { time_s: &a, value: &a }, Series { time_s: &b, value: &a });
        assert_eq!(lag(a, b, -10.0, 10.0, 2.0), None);
    }
}
