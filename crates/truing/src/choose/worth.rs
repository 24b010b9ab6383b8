//! What a write is worth, and whether measuring first is worth more.
//!
//! Loss is the mean square of ln R. With ln R normal around `m` with standard uncertainty `u`, storing a value that shifts it
//! by `d` leaves `(m - d)² + u²`. A measurement of standard uncertainty `s` leaves `1/u'² = 1/u² + 1/s²` whatever it shows, and
//! moves the mean by a normal amount of variance `u² - u'²` (preposterior analysis; Raiffa & Schlaifer 1961, ch. 5).

use metrology::measured::normal_cdf;

/// A write is worth it when the RMS error falls by at least this (0.5 percentage points).
pub const WORTH_A_WRITE: f64 = 0.005;
/// Measuring first is worth it when it is expected to lower the RMS of what would be stored by more than this.
pub const WORTH_MEASURING: f64 = 0.0025;
/// Or when with more than this probability it changes the decision, or the stored value would need a second write.
pub const CHANCE_WORTH_MEASURING: f64 = 0.20;
/// Places at which the normal distribution of the mean after a measurement is tried.
const PLACES: usize = 101;

/// What is believed of ln R with the present setting, and the spacing of the settings around the best.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Belief {
    /// Mean of ln R now.
    pub mean: f64,
    /// Standard uncertainty of ln R.
    pub u: f64,
    /// Mean of ln R with the best setting.
    pub best_mean: f64,
    /// Spacing of ln R between neighbouring settings.
    pub spacing: f64,
}

impl Belief {
    /// RMS of ln R as it is now.
    pub fn rms_now(self) -> f64 {
        f64::hypot(self.mean, self.u)
    }

    /// RMS of ln R with the best setting.
    pub fn rms_best(self) -> f64 {
        f64::hypot(self.best_mean, self.u)
    }

    /// Whether a write pays.
    pub fn write_pays(self) -> bool {
        self.rms_now() - self.rms_best() >= WORTH_A_WRITE
    }

    /// Probability that what would be stored turns out far enough off that another write would pay.
    pub fn second_write(self) -> f64 {
        let limit = WORTH_A_WRITE + 0.5 * self.spacing;
        outside(self.best_mean, self.u, limit)
    }

    /// What is left after a measurement of standard uncertainty `s`.
    fn u_after(self, s: f64) -> f64 {
        (1.0 / (1.0 / (self.u * self.u) + 1.0 / (s * s))).sqrt()
    }

    /// What a measurement of standard uncertainty `s` is expected to bring.
    pub fn measuring(self, s: f64) -> Measuring {
        let u_after = self.u_after(s);
        // After it, the nearest setting is stored: off by up to half a spacing, evenly likely.
        let rms_after = (u_after * u_after + self.spacing * self.spacing / 12.0).sqrt();
        let shift = (self.u * self.u - u_after * u_after).max(0.0).sqrt();
        let pays = |moved: f64| f64::hypot(self.mean + moved, u_after) - rms_after >= WORTH_A_WRITE;
        let now = self.write_pays();
        let changes: f64 = nodes().filter(|(z, _)| pays(shift * z) != now).map(|(_, weight)| weight).sum();
        let second_after = outside(0.0, u_after, WORTH_A_WRITE + 0.5 * self.spacing);
        Measuring {
            u_after,
            gain: self.rms_best() - rms_after,
            changes_decision: changes,
            second_write_saved: self.second_write() - second_after,
        }
    }
}

/// What a measurement is expected to bring.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Measuring {
    /// Standard uncertainty of ln R after it.
    pub u_after: f64,
    /// By how much it lowers the RMS of what would be stored.
    pub gain: f64,
    /// Probability that it changes whether to write.
    pub changes_decision: f64,
    /// By how much it lowers the probability that a second write is needed.
    pub second_write_saved: f64,
}

impl Measuring {
    /// Whether it is worth doing before a write is spent.
    pub fn worth_it(self) -> bool {
        self.gain > WORTH_MEASURING
            || self.changes_decision > CHANCE_WORTH_MEASURING
            || self.second_write_saved > CHANCE_WORTH_MEASURING
    }
}

fn outside(mean: f64, u: f64, limit: f64) -> f64 {
    if u <= 0.0 {
        return f64::from(mean.abs() > limit);
    }
    1.0 - normal_cdf((limit - mean) / u) + normal_cdf((-limit - mean) / u)
}

/// Equally likely places of a standard normal variable, by a grid over ±5 with its density.
fn nodes() -> impl Iterator<Item = (f64, f64)> {
    let step = 10.0 / (PLACES - 1) as f64;
    (0..PLACES).map(move |k| {
        let z = -5.0 + step * k as f64;
        (z, normal_cdf(z + 0.5 * step) - normal_cdf(z - 0.5 * step))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn belief(mean_percent: f64, u_percent: f64) -> Belief {
        Belief { mean: mean_percent / 100.0, u: u_percent / 100.0, best_mean: 0.0005, spacing: 0.0025 }
    }

    #[test]
    fn a_truck_four_per_cent_off_with_a_good_drive_is_written() {
        let belief = belief(-4.1, 0.1);
        assert!(belief.write_pays());
        assert!(!belief.measuring(0.002).worth_it(), "{:?}", belief.measuring(0.002));
    }

    #[test]
    fn a_truck_four_per_cent_off_by_its_tire_size_alone_is_measured_first() {
        let belief = belief(-4.1, 1.8);
        assert!(belief.write_pays());
        let measuring = belief.measuring(0.002);
        assert!(measuring.worth_it());
        // sqrt(1.8² + 0.05²) - sqrt(0.1988² + 0.25²/12) = 1.8007 - 0.2115 percentage points
        assert!((measuring.gain - 0.015892).abs() < 2e-5, "{measuring:?}");
    }

    #[test]
    fn half_a_per_cent_off_and_hardly_known_is_not_decided_blindly() {
        let belief = Belief { mean: 0.006, u: 0.006, best_mean: 0.0, spacing: 0.0025 };
        // Whether a write pays is a coin toss: the measurement decides it.
        assert!(belief.measuring(0.002).changes_decision > CHANCE_WORTH_MEASURING);
    }

    #[test]
    fn chances_agree_with_drawing() {
        use rand::SeedableRng;
        use rand_distr::{Distribution, StandardNormal};
        let belief = Belief { mean: 0.007, u: 0.005, best_mean: 0.0, spacing: 0.0025 };
        let mut chance = rand_chacha::ChaCha8Rng::seed_from_u64(7);
        let (s, draws) = (0.002, 40_000);
        let u_after = (1.0_f64 / (1.0 / 0.005_f64.powi(2) + 1.0 / (s * s))).sqrt();
        let mut changed = 0;
        for _ in 0..draws {
            let normal = |chance: &mut rand_chacha::ChaCha8Rng| -> f64 { StandardNormal.sample(chance) };
            let truth = belief.mean + belief.u * normal(&mut chance);
            let seen = truth + s * normal(&mut chance);
            let mean = u_after * u_after * (belief.mean / belief.u.powi(2) + seen / (s * s));
            let after = Belief { mean, u: u_after, best_mean: belief.spacing / 12f64.sqrt(), ..belief };
            changed += usize::from(after.write_pays() != belief.write_pays());
        }
        let drawn = changed as f64 / draws as f64;
        // Five binomial deviations of 40 000 draws: 0.0125; a grid cell of the nodes: 0.02.
        assert!(
            (drawn - belief.measuring(s).changes_decision).abs() < 0.033,
            "{drawn} {:?}",
            belief.measuring(s)
        );
    }
}
