//! Random numbers of the worlds: one generator per seed, and the processes made from it.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Exp1, StandardNormal};

/// Chance of one world.
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The chance of one seed in one world; worlds of the same seed have nothing in common.
    pub fn of(world: &str, seed: u64) -> Self {
        let mixed = world.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(ChaCha8Rng::seed_from_u64(mixed ^ seed.wrapping_mul(0x9e37_79b9_7f4a_7c15)))
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    /// Evenly between the logarithms of two numbers.
    pub fn between_log(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// Waiting time with this mean.
    pub fn wait(&mut self, mean: f64) -> f64 {
        let one: f64 = Exp1.sample(&mut self.0);
        mean * one
    }

    /// True with this probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.0.random::<f64>() < probability
    }

    /// One of these.
    pub fn of_these<T: Copy>(&mut self, values: &[T]) -> T {
        values[self.0.random_range(0..values.len())]
    }
}

/// A stationary Gauss-Markov process (first order).
pub struct GaussMarkov {
    deviation: f64,
    time: f64,
    value: f64,
}

impl GaussMarkov {
    /// A process with this deviation and correlation time, at a random place of its own.
    pub fn new(deviation: f64, time: f64, chance: &mut Chance) -> Self {
        Self { deviation, time, value: deviation * chance.normal() }
    }

    /// Its value after so much time (or way).
    pub fn after(&mut self, step: f64, chance: &mut Chance) -> f64 {
        let kept = (-step.max(0.0) / self.time).exp();
        self.value = kept * self.value + self.deviation * (1.0 - kept * kept).sqrt() * chance.normal();
        self.value
    }
}
