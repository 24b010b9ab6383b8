//! What rounding leaves of uncertainty, however long the drive: it averages out only as often as the rounded value changes.
//!
//! Each stretch of one value carries one rounding error of variance `q²/12` (GUM 4.3.7). Long stretches of the same value at the
//! same true speed carry the same error, however often the speed was changed between: a governor, or cruise control, comes back to
//! it. Where values change all the time the scatter of the residuals holds the rounding already; these are what no uncertainty may
//! fall below.

use super::fit::{Least, Observation};
use nalgebra::{Matrix2, Vector2};

/// A stretch of one rounded value is long from here on (s): the speed was held.
const LONG_S: f64 = 10.0;
/// Long stretches of one value whose true speeds differ by less than this (share of the step) were rounded alike: a governor comes
/// back to its speed to within that, a foot seldom (judgement).
const ALIKE: f64 = 0.15;

/// One rounded value for some time.
struct Stretch {
    value: f64,
    /// Length (s), and true distance over it (m).
    share_s: f64,
    truth_m: f64,
}

impl Stretch {
    fn truth(&self) -> f64 {
        self.truth_m / self.share_s.max(f64::MIN_POSITIVE)
    }
}

/// What rounding to a step leaves.
pub struct Rounding {
    /// One rounding error (m/s).
    u: f64,
    stretches: Vec<Stretch>,
}

impl Rounding {
    /// To a `step` (m/s), over these observations.
    pub fn of(step: f64, observations: &[Observation]) -> Rounding {
        let stretches = rounded_alike(step, stretches(step, observations));
        Rounding { u: step / 12f64.sqrt(), stretches }
    }

    fn total_s(&self) -> f64 {
        self.stretches.iter().map(|s| s.share_s).sum::<f64>().max(f64::MIN_POSITIVE)
    }

    /// Standard uncertainty that it leaves of a ratio of distances.
    pub fn by_distance(&self) -> f64 {
        let total_s = self.total_s();
        let squares: f64 = self.stretches.iter().map(|s| s.share_s * s.share_s).sum();
        let mean = self.stretches.iter().map(|s| s.truth_m).sum::<f64>() / total_s;
        self.u * squares.sqrt() / total_s / mean.max(1.0)
    }

    /// The same of a slope, as it was fitted: each second weighing alike, all of them `information` (s²/m²), beside an offset known
    /// to `offset_u` (m/s). What the fit takes for independent errors is one for each stretch.
    pub fn of_slope(&self, information: f64, offset_u: f64) -> f64 {
        self.line(information, offset_u.powi(-2)).map_or(0.0, |(_, covariance)| covariance[(0, 0)].sqrt())
    }

    /// What residuals may not be taken to show less than, where windows are worth `information` (s²/m²) in all.
    pub fn least(&self, information: f64) -> Least {
        let nothing = Least::NOTHING_SHARED;
        self.line(information, 0.0).map_or(nothing, |(inverse, covariance)| {
            let over = |index| covariance[(index, index)] / inverse[(index, index)];
            let inflation = over(0).max(over(1)).max(nothing.inflation);
            Least { inflation, offset_u: covariance[(1, 1)].sqrt() }
        })
    }

    /// Covariance of slope and offset if all errors were independent, and as they are; the offset known with this precision
    /// (s²/m²).
    fn line(&self, information: f64, precision: f64) -> Option<(Matrix2<f64>, Matrix2<f64>)> {
        let (mut whole, mut squares) = (Matrix2::zeros(), Matrix2::zeros());
        let of_a_second = information / self.total_s();
        for stretch in &self.stretches {
            let row = Vector2::new(stretch.truth(), 1.0);
            let weight = of_a_second * stretch.share_s;
            whole += row * row.transpose() * weight;
            // The scatter of the residuals shows the rest.
            if stretch.share_s >= LONG_S {
                squares += row * row.transpose() * (weight * self.u).powi(2);
            }
        }
        whole[(1, 1)] += precision;
        let inverse = whole.cholesky()?.inverse();
        Some((inverse, inverse * squares * inverse))
    }
}

fn stretches(step: f64, observations: &[Observation]) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for o in observations {
        let truth_m = o.truth * o.share_s;
        match stretches.last_mut() {
            Some(last) if (last.value - o.indicated).abs() < 0.5 * step => {
                last.share_s += o.share_s;
                last.truth_m += truth_m;
            }
            _ => stretches.push(Stretch { value: o.indicated, share_s: o.share_s, truth_m }),
        }
    }
    stretches
}

/// Joins long stretches that were rounded alike.
fn rounded_alike(step: f64, stretches: Vec<Stretch>) -> Vec<Stretch> {
    let (long, mut joined): (Vec<_>, Vec<_>) = stretches.into_iter().partition(|s| s.share_s >= LONG_S);
    let short = joined.len();
    for stretch in long {
        let alike = |other: &&mut Stretch| {
            (other.value - stretch.value).abs() < 0.5 * step
                && (other.truth() - stretch.truth()).abs() < ALIKE * step
        };
        match joined[short..].iter_mut().find(alike) {
            Some(other) => {
                other.share_s += stretch.share_s;
                other.truth_m += stretch.truth_m;
            }
            None => joined.push(stretch),
        }
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds at these true speeds (m/s) in turn, each for so many, with values in whole steps of 1 m/s.
    fn observations(speeds: &[f64], seconds: usize) -> Vec<Observation> {
        let one = |(k, truth): (usize, f64)| Observation {
            time_s: k as f64,
            indicated: truth.round(),
            truth,
            one: 1.0,
            truth_rate: 0.0,
            sigma: 0.3,
            own: 0.3,
            share_s: 1.0,
        };
        speeds.iter().flat_map(|speed| std::iter::repeat_n(*speed, seconds)).enumerate().map(one).collect()
    }

    #[test]
    fn stretches_average_out_as_often_as_they_differ() {
        let by_distance = |speeds: &[f64]| Rounding::of(1.0, &observations(speeds, 20)).by_distance();
        // One error of 1/sqrt 12 m/s at 20 m/s; two independent ones of half the weight each.
        let one = 1.0 / 12f64.sqrt() / 20.0;
        assert!((by_distance(&[20.0]) - one).abs() < 1e-12);
        assert!((by_distance(&[19.0, 21.0]) - one / 2f64.sqrt()).abs() < 1e-12);
        // The same two speeds again and again tell no more; others that round to the same values do.
        let again = by_distance(&[19.0, 21.0, 19.05, 20.95, 19.0, 21.0]);
        assert!((again - one / 2f64.sqrt()).abs() < 1e-4, "{again}");
        assert!(by_distance(&[19.0, 21.0, 19.3, 20.7]) < 0.8 * again);
    }

    /// Two speeds 20 m/s apart, each off by 1/sqrt 12.
    #[test]
    fn a_slope_of_two_speeds() {
        let slope = |information, offset_u| {
            Rounding::of(1.0, &observations(&[10.0, 30.0], 20)).of_slope(information, offset_u)
        };
        let near =
            |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-3, "{found} {expected}");
        let one = 1.0 / 12f64.sqrt();
        // Nothing known of the offset: the difference of two errors over 20 m/s.
        near(slope(1e4, 1e3), one * 2f64.sqrt() / 20.0);
        // The offset known: sum of v e over sum of v²; (10² + 30²) one² over 1000².
        near(slope(1e-4, 1e-4), one * 1000f64.sqrt() / 1000.0);
    }
}
