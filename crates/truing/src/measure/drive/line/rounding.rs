//! What rounding leaves of uncertainty, however long the drive: it averages out only as often as the rounded value changes.
//!
//! Each stretch of one value carries one rounding error of variance `q²/12` (GUM 4.3.7). Long stretches of the same value at the
//! same true speed carry the same error, however often the speed was changed between: a governor, or cruise control, comes back to
//! it. Where values change all the time the scatter of the residuals holds the rounding already, and each long stretch once. That
//! they come back is what the scatter does not show: it is added. And they weigh no more than one error may: stretches between, where
//! the speed goes through many steps, tell the offset apart from the rounding.

use crate::measure::drive::line::averages::Averages;
use crate::measure::drive::line::fit::{Observation, Unseen, block_of};
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
    /// Which of the errors that long stretches share each observation has.
    pub shared: Vec<Option<usize>>,
}

impl Rounding {
    /// To a `step` (m/s), over these observations.
    pub fn new(step: f64, observations: &[Observation]) -> Rounding {
        let (mut long, mut short) = (Vec::new(), Vec::new());
        let mut shared = Vec::with_capacity(observations.len());
        for alike in observations.chunk_by(|a, b| (a.indicated - b.indicated).abs() < 0.5 * step) {
            let stretch = Stretch {
                value: alike[0].indicated,
                share_s: alike.iter().map(|o| o.share_s).sum(),
                truth_m: alike.iter().map(|o| o.truth * o.share_s).sum(),
            };
            let error = if stretch.share_s >= LONG_S {
                Some(join(step, &mut long, stretch))
            } else {
                short.push(stretch);
                None
            };
            shared.extend(std::iter::repeat_n(error, alike.len()));
        }
        long.append(&mut short);
        Rounding { u: step / 12f64.sqrt(), stretches: long, shared }
    }

    /// Standard uncertainty that it leaves of a ratio of distances.
    pub fn by_distance(&self) -> f64 {
        let total_s = self.stretches.iter().map(|s| s.share_s).sum::<f64>().max(f64::MIN_POSITIVE);
        let squares: f64 = self.stretches.iter().map(|s| s.share_s * s.share_s).sum();
        let mean = self.stretches.iter().map(|s| s.truth_m).sum::<f64>() / total_s;
        self.u * squares.sqrt() / total_s / mean.max(1.0)
    }

    /// Adds to the deviation of each average what it shares with others: averages that share one error weigh as much together as one
    /// observation with that error.
    pub fn weigh(&self, averages: &mut Averages) {
        let mut total_s = vec![0.0; self.stretches.len()];
        let Averages { rows, shared } = averages;
        rows.iter().zip(&*shared).for_each(|(o, error)| error.iter().for_each(|e| total_s[*e] += o.share_s));
        for (o, error) in rows.iter_mut().zip(&*shared) {
            if let Some(error) = *error {
                // Half of one error is in it already.
                let more = self.u * self.u * (total_s[error] / o.share_s - 0.5);
                (o.sigma, o.own) = ((o.sigma * o.sigma + more).sqrt(), (o.own * o.own + more).sqrt());
            }
        }
    }

    /// What shared errors add to the uncertainty of a slope through these averages, as it was fitted: their variances `inflation` times
    /// as large, beside an offset known to `offset_u` (m/s).
    pub fn of_slope(&self, averages: &Averages, inflation: f64, offset_u: f64) -> f64 {
        let line = self.line(averages, inflation, offset_u.powi(-2));
        line.map_or(0.0, |(_, covariance)| covariance[(0, 0)].max(0.0).sqrt())
    }

    /// What shared errors add to what residuals show.
    pub fn unseen(&self, averages: &Averages) -> Unseen {
        self.line(averages, 1.0, 0.0).map_or(Unseen::NOTHING, |(inverse, covariance)| {
            let over = |index| covariance[(index, index)] / inverse[(index, index)];
            let inflation = over(0).max(over(1)).max(0.0);
            Unseen { inflation, offset_u: covariance[(1, 1)].max(0.0).sqrt() }
        })
    }

    /// Covariance of slope and offset if all errors were independent, and what shared ones add to it; the offset known with this
    /// precision (s²/m²).
    ///
    /// An error that comes back is the same each time, `(sum x)²`; blocks of residuals show it as if it were another, `sum x²`.
    fn line(
        &self,
        averages: &Averages,
        inflation: f64,
        precision: f64,
    ) -> Option<(Matrix2<f64>, Matrix2<f64>)> {
        let mut whole = Matrix2::zeros();
        let mut of_error: Vec<Vec<(usize, Vector2<f64>)>> = vec![Vec::new(); self.stretches.len()];
        let blocks = block_of(&averages.rows);
        for ((o, error), block) in averages.rows.iter().zip(&averages.shared).zip(blocks) {
            let (row, weight) = (Vector2::new(o.truth, o.one), o.sigma.powi(-2) / inflation);
            whole += row * row.transpose() * weight;
            let Some(error) = *error else { continue };
            let pull = row * (weight * self.u);
            match of_error[error].last_mut().filter(|(last, _)| *last == block) {
                Some((_, sum)) => *sum += pull,
                None => of_error[error].push((block, pull)),
            }
        }
        whole[(1, 1)] += precision;
        let square = |sum: Vector2<f64>| sum * sum.transpose();
        let more = |blocks: &Vec<(usize, Vector2<f64>)>| {
            let shown: Matrix2<f64> = blocks.iter().map(|(_, sum)| square(*sum)).sum();
            square(blocks.iter().map(|(_, sum)| sum).sum()) - shown
        };
        let squares: Matrix2<f64> = of_error.iter().map(more).sum();
        let inverse = whole.cholesky()?.inverse();
        Some((inverse, inverse * squares * inverse))
    }
}

/// Puts a long stretch to those that were rounded alike, and tells which these are.
fn join(step: f64, long: &mut Vec<Stretch>, stretch: Stretch) -> usize {
    let alike = |other: &Stretch| {
        (other.value - stretch.value).abs() < 0.5 * step
            && (other.truth() - stretch.truth()).abs() < ALIKE * step
    };
    let place = long.iter().position(alike);
    match place.and_then(|place| long.get_mut(place)) {
        Some(other) => {
            other.share_s += stretch.share_s;
            other.truth_m += stretch.truth_m;
        }
        None => long.push(stretch),
    }
    place.unwrap_or(long.len() - 1)
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
            growth: 0.0,
            truth_rate: 0.0,
            sigma: 0.3,
            own: 0.3,
            share_s: 1.0,
        };
        speeds.iter().flat_map(|speed| std::iter::repeat_n(*speed, seconds)).enumerate().map(one).collect()
    }

    #[test]
    fn stretches_average_out_as_often_as_they_differ() {
        let by_distance = |speeds: &[f64]| Rounding::new(1.0, &observations(speeds, 20)).by_distance();
        // One error of 1/sqrt 12 m/s at 20 m/s; two independent ones of half the weight each.
        let one = 1.0 / 12f64.sqrt() / 20.0;
        assert!((by_distance(&[20.0]) - one).abs() < 1e-12);
        assert!((by_distance(&[19.0, 21.0]) - one / 2f64.sqrt()).abs() < 1e-12);
        // The same two speeds again and again tell no more; others that round to the same values do.
        let again = by_distance(&[19.0, 21.0, 19.05, 20.95, 19.0, 21.0]);
        assert!((again - one / 2f64.sqrt()).abs() < 1e-4, "{again}");
        assert!(by_distance(&[19.0, 21.0, 19.3, 20.7]) < 0.8 * again);
    }

    /// Two speeds 20 m/s apart, each off by 1/sqrt 12, that come back in a hundred and more blocks: these show a hundredth part of what
    /// the same two errors do.
    #[test]
    fn a_slope_of_two_speeds() {
        let near =
            |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 0.01, "{found} {expected}");
        let one = 1.0 / 12f64.sqrt();
        let observations = observations(&[10.0, 30.0].repeat(100), 60);
        let rounding = Rounding::new(1.0, &observations);
        let mut averages = Averages { rows: observations, shared: rounding.shared.clone() };
        averages.rows.iter_mut().for_each(|o| o.sigma = 1e-3);
        rounding.weigh(&mut averages);
        // Nothing known of the offset: the difference of two errors over 20 m/s.
        near(rounding.of_slope(&averages, 1.0, 1e3), one * 2f64.sqrt() / 20.0);
        // The offset known: sum of v e over sum of v²; (10² + 30²) one² over 1000².
        near(rounding.of_slope(&averages, 1.0, 1e-4), one * 1000f64.sqrt() / 1000.0);
        // Nothing else is in them: they weigh as two observations with these errors, and residuals show none of it.
        near(rounding.unseen(&averages).inflation, 1.0);
    }

    /// What does not come back, residuals show.
    #[test]
    fn each_error_once_is_seen() {
        let speeds: Vec<f64> = (0..60).map(|k| 8.0 + f64::from(k)).collect();
        let observations = observations(&speeds, 60);
        let rounding = Rounding::new(1.0, &observations);
        let averages = Averages { rows: observations, shared: rounding.shared.clone() };
        assert!(averages.shared.iter().all(Option::is_some));
        // Blocks of 60 s, each stretch in one of them.
        assert!(rounding.of_slope(&averages, 1.0, 1e3) < 1e-9);
    }
}
