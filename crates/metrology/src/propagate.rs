//! Propagation of distributions by Monte Carlo, beside the linear law, and whether the linear law was good enough.
//!
//! **Problem.** `y = f(x1, ..., xn)` with a distribution for every `x`. The linear law knows only standard
//! uncertainties and derivatives; where `f` bends within the spread, or one wide rectangle rules, its interval is
//! wrong.
//!
//! **Method.** JCGM 101:2008: batches of 10 000 draws until the mean, standard uncertainty and both ends of the
//! 95 % interval are settled five times finer than half a unit in the second significant digit of `u` (7.9 and
//! 8.2), or the draws allowed are used up; probabilistically symmetric interval (7.7); comparison with the linear
//! law (8). Ten batches at least: the scatter of two or three says little and would often stop by luck. The
//! generator is ChaCha8 and the seed is an argument: same seed, same bytes.
//!
//! **Accuracy.** `u` stable to two digits when [`MonteCarlo::is_stable`]; a single run may still be off by the
//! tolerance in about one case of twenty (the test is at two standard deviations).
//!
//! **Sources.** JCGM 101:2008, 7 and 8; JCGM 100:2008, 5.1.4 for derivatives by differences of one `u`.
//!
//! ```
//! use metrology::propagate::{Distribution, Settings, propagate};
//! // The square of something uncertain: the linear law misses the curvature.
//! let x = [Distribution::Normal { mean: 1.0, standard_deviation: 0.5 }];
//! let both = propagate(&x, |x| x[0] * x[0], &Settings::default());
//! assert!((both.monte_carlo.mean - 1.25).abs() < 0.02);
//! assert!((both.linear.value - 1.0).abs() < 1e-12);
//! assert_eq!(both.linear_is_good_enough(), Some(false));
//! ```

mod stable;

use crate::measured::{coverage_factor_95, student_quantile};
use crate::order::quantile;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution as _, StandardNormal, StudentT};
use stable::Batches;

/// Draws per batch: JCGM 101:2008, 7.9.4 b asks for at least 10⁴ at 95 %.
pub const BATCH: usize = 10_000;

/// Significant digits of `u` that must be stable, and to which the linear law is held.
const DIGITS: i32 = 2;

/// Batches before the scatter between them is believed.
const LEAST_BATCHES: usize = 10;

/// Part of the tolerance to which the draws should settle before they judge the linear law (JCGM 101:2008, 8.2).
const FINER: f64 = 0.2;

/// Two values of a 95 % interval's ends.
const TAILS: (f64, f64) = (0.025, 0.975);

/// What is known about one input (JCGM 101:2008, table 1).
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Distribution {
    /// Best value and standard uncertainty from a good source.
    Normal {
        /// Best value.
        mean: f64,
        /// Standard uncertainty.
        standard_deviation: f64,
    },
    /// Only limits are known.
    Rectangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// Mean of few observations: shifted and scaled t.
    Student {
        /// Mean of the observations.
        mean: f64,
        /// Standard uncertainty of that mean, as the observations give it.
        scale: f64,
        /// Degrees of freedom, above 2 where a standard deviation is wanted.
        dof: f64,
    },
}

/// How far to go.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Settings {
    /// Seed of the generator; reported with the result.
    pub seed: u64,
    /// Stop here even when not settled; rounded up to whole batches, ten at least.
    pub most_draws: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self { seed: 1, most_draws: 1_000_000 }
    }
}

/// The result by drawing.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct MonteCarlo {
    /// Mean of the draws.
    pub mean: f64,
    /// Their standard deviation.
    pub standard_uncertainty: f64,
    /// 2.5 % of the draws lie below.
    pub low_95: f64,
    /// 2.5 % of the draws lie above.
    pub high_95: f64,
    /// How many were made.
    pub draws: usize,
    /// Whether two digits of `u` had settled by then.
    pub is_stable: bool,
    /// Standard deviation of the ends of the interval, from the scatter between batches; the larger of both.
    pub end_uncertainty: f64,
    /// Seed that gives the same again.
    pub seed: u64,
}

/// The result by the linear law.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Linear {
    /// The model at the inputs' best values.
    pub value: f64,
    /// Combined standard uncertainty.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom.
    pub dof: f64,
    /// Lower end of the 95 % interval.
    pub low_95: f64,
    /// Upper end of the 95 % interval.
    pub high_95: f64,
}

/// Both results side by side.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Propagated {
    /// By drawing.
    pub monte_carlo: MonteCarlo,
    /// By the linear law.
    pub linear: Linear,
    /// Half a unit in the second digit of `u` (JCGM 101:2008, 7.9.2): the tolerance of the comparison.
    pub tolerance: f64,
}

impl Propagated {
    /// How far the ends of the two intervals lie apart, lower and upper (JCGM 101:2008, 8.1).
    pub fn interval_differences(&self) -> (f64, f64) {
        let (a, b) = (&self.linear, &self.monte_carlo);
        ((a.low_95 - b.low_95).abs(), (a.high_95 - b.high_95).abs())
    }

    /// Whether the linear law's interval agrees with the drawn one to two digits of `u` (JCGM 101:2008, 8.1);
    /// `None` when it is so close to the tolerance that the draws made do not settle it.
    pub fn linear_is_good_enough(&self) -> Option<bool> {
        let (low, high) = self.interval_differences();
        let (difference, give_or_take) = (low.max(high), self.monte_carlo.end_uncertainty);
        if difference + give_or_take <= self.tolerance {
            Some(true)
        } else if difference - give_or_take > self.tolerance {
            Some(false)
        } else {
            None
        }
    }
}

impl Distribution {
    /// Best value.
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Normal { mean, .. } | Self::Student { mean, .. } => mean,
            Self::Rectangular { low, high } => 0.5 * (low + high),
        }
    }

    /// Standard uncertainty as the linear law takes it: of a t, its scale (JCGM 100:2008, 4.2.3).
    pub fn standard_uncertainty(&self) -> f64 {
        match *self {
            Self::Normal { standard_deviation, .. } => standard_deviation,
            Self::Rectangular { low, high } => (high - low) / 12f64.sqrt(),
            Self::Student { scale, .. } => scale,
        }
    }

    fn dof(&self) -> f64 {
        if let Self::Student { dof, .. } = *self { dof } else { f64::INFINITY }
    }

    fn draw(&self, generator: &mut ChaCha8Rng) -> f64 {
        match *self {
            Self::Normal { mean, standard_deviation } => {
                let z: f64 = StandardNormal.sample(generator);
                mean + standard_deviation * z
            }
            Self::Rectangular { low, high } => low + (high - low) * uniform(generator),
            Self::Student { mean, scale, dof } => match StudentT::new(dof) {
                Ok(t) => mean + scale * t.sample(generator),
                Err(_) => f64::NAN,
            },
        }
    }
}

/// Uniform in 0 to 1, never 0 or 1: the middle of one of 2⁵³ equal cells.
fn uniform(generator: &mut ChaCha8Rng) -> f64 {
    ((generator.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
}

/// Propagates the inputs' distributions through the model, both ways.
pub fn propagate(inputs: &[Distribution], model: impl Fn(&[f64]) -> f64, settings: &Settings) -> Propagated {
    let linear = linear(inputs, &model);
    let mut generator = ChaCha8Rng::seed_from_u64(settings.seed);
    let mut drawn = vec![0.0; inputs.len()];
    let mut batches = Batches::default();
    let most = settings.most_draws.div_ceil(BATCH).max(LEAST_BATCHES);
    while batches.count() < most && !batches.is_settled(FINER * batches.tolerance(DIGITS)) {
        let draw = |_| {
            for (value, input) in drawn.iter_mut().zip(inputs) {
                *value = input.draw(&mut generator);
            }
            model(&drawn)
        };
        batches.add((0..BATCH).map(draw).collect());
    }
    let tolerance = batches.tolerance(DIGITS);
    let (is_stable, end_uncertainty) = (batches.is_settled(tolerance), batches.end_uncertainty());
    let (mean, standard_uncertainty, mut values) = batches.finish();
    let (low_95, high_95) = (quantile(&mut values, TAILS.0), quantile(&mut values, TAILS.1));
    let (draws, seed) = (values.len(), settings.seed);
    let monte_carlo =
        MonteCarlo { mean, standard_uncertainty, low_95, high_95, draws, is_stable, end_uncertainty, seed };
    Propagated { monte_carlo, linear, tolerance }
}

/// The linear law with derivatives by differences over one standard uncertainty to each side.
fn linear(inputs: &[Distribution], model: impl Fn(&[f64]) -> f64) -> Linear {
    let best: Vec<f64> = inputs.iter().map(Distribution::mean).collect();
    let value = model(&best);
    let shift = |index: usize| {
        let u = inputs[index].standard_uncertainty();
        let mut at = best.clone();
        at[index] = best[index] + u;
        let above = model(&at);
        at[index] = best[index] - u;
        0.5 * (above - model(&at))
    };
    let shifts: Vec<f64> = (0..inputs.len()).map(shift).collect();
    let variance: f64 = shifts.iter().map(|shift| shift * shift).sum();
    let spread: f64 = shifts.iter().zip(inputs).map(|(shift, input)| shift.powi(4) / input.dof()).sum();
    let dof = if spread > 0.0 { variance * variance / spread } else { f64::INFINITY };
    let factor = if dof.is_finite() { coverage_factor_95(dof) } else { student_quantile(TAILS.1, dof) };
    let (standard_uncertainty, half) = (variance.sqrt(), factor * variance.sqrt());
    Linear { value, standard_uncertainty, dof, low_95: value - half, high_95: value + half }
}

#[cfg(test)]
mod tests;
