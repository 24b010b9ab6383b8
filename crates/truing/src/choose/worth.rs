//! What a write is worth, and whether measuring first is worth more.
//!
//! Loss is the mean square of ln R. With ln R normal around `m` with standard uncertainty `u`, storing a value that shifts it
//! by `d` leaves `(m - d)² + u²`. A measurement of standard uncertainty `s` leaves `1/u'² = 1/u² + 1/s²` whatever it shows, and
//! moves the mean by a normal amount of variance `u² - u'²`; what is stored then is the nearest of the settings there are
//! (preposterior analysis; Raiffa & Schlaifer 1961, ch. 5).

//! An error on the slow side counts more than one on the fast side: the mean is weighed before it is squared.

use super::reason::json::plain;
use crate::describe::thresholds::Thresholds;
use metrology::measured::normal_cdf;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// Two settings nearer to each other than this (ln) are one, rounded differently.
const SAME: f64 = 1e-12;
/// Places at which the normal distribution of the mean after a measurement is tried.
const PLACES: usize = 101;

/// What is believed of ln R with the present setting, and the settings in reach.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// Mean of ln R now.
    pub mean: f64,
    /// Standard uncertainty of ln R.
    pub u: f64,
    /// Mean of ln R with the best setting.
    pub best_mean: f64,
    /// Mean of ln R that is aimed at: zero, or where a rule begins to be kept.
    pub aim: f64,
    /// Mean of ln R with every setting that may come to be the best, the best among them; ascending.
    pub settings: Vec<f64>,
    /// A write is counted, and so cannot be taken back at no price.
    pub is_counted: bool,
    /// Probability that a part of the chain which nothing measured sees is another than is believed.
    pub doubt: f64,
    /// What it is decided by.
    pub thresholds: Thresholds,
}

/// A mean ln R as it counts: more on the slow side.
pub fn weighed(mean: f64, thresholds: &Thresholds) -> f64 {
    if mean < 0.0 { mean * thresholds.slow_counts.plain() } else { mean }
}

impl Belief {
    /// RMS of ln R as it is now.
    pub fn rms_now(&self) -> f64 {
        f64::hypot(self.mean, self.u)
    }

    /// RMS of ln R with the best setting.
    pub fn rms_best(&self) -> f64 {
        f64::hypot(self.best_mean, self.u)
    }

    /// The loss of a mean, as an RMS.
    fn loss(&self, mean: f64, u: f64) -> f64 {
        f64::hypot(weighed(mean, &self.thresholds), u)
    }

    fn least_gain(&self) -> f64 {
        self.thresholds.worth_a_write.plain()
    }

    /// By how much storing the best lowers the loss.
    pub fn gain(&self) -> f64 {
        self.loss(self.mean, self.u) - self.loss(self.best_mean, self.u)
    }

    /// Whether a write pays.
    pub fn write_pays(&self) -> bool {
        self.gain() >= self.least_gain()
    }

    /// Mean ln R with the setting that comes nearest to the aim once every mean has moved by so much.
    fn nearest_after(&self, moved: f64) -> f64 {
        let above = self.settings.partition_point(|mean| mean + moved <= self.aim);
        let beside = self.settings[above.saturating_sub(1)..].iter().take(2).map(|mean| mean + moved);
        let off = |mean: &f64| weighed(mean - self.aim, &self.thresholds).abs();
        beside.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(self.best_mean + moved)
    }

    /// By how much nearer to the aim than the best another setting is then.
    fn overtaken_after(&self, moved: f64) -> f64 {
        (self.best_mean + moved - self.aim).abs() - (self.nearest_after(moved) - self.aim).abs()
    }

    /// Probability that another write pays once all is known that is uncertain by `u` now.
    fn second_write_from(&self, u: f64) -> f64 {
        let again = |moved: f64| self.overtaken_after(moved) >= self.least_gain();
        total(nodes().filter(|(z, _)| again(u * z)).map(|(_, weight)| weight))
    }

    /// Probability that what would be stored turns out far enough off that another write would pay.
    pub fn second_write(&self) -> f64 {
        self.second_write_from(self.u)
    }

    /// Probability that the best is farther from the truth than what is stored: that the truth lies on the other side of the
    /// middle between them.
    pub fn chance_of_worse(&self) -> f64 {
        let between = self.mean - self.best_mean;
        if !between.is_finite() || between == 0.0 {
            return 0.0;
        }
        // With ln R of the best `b + e`, it is worse where `|b + e| > |b + e + between|`.
        let middle = -(self.best_mean + 0.5 * between) / self.u.max(1e-12);
        if between > 0.0 { normal_cdf(middle) } else { 1.0 - normal_cdf(middle) }
    }

    /// Probability that another setting is the nearest after a measurement that leaves `u_after`.
    pub fn changes_setting(&self, u_after: f64) -> f64 {
        let shift = self.shift(u_after);
        let other = |moved: f64| self.overtaken_after(moved) > SAME;
        total(nodes().filter(|(z, _)| other(shift * z)).map(|(_, weight)| weight))
    }

    /// What is left after a measurement of standard uncertainty `s`.
    fn u_after(&self, s: f64) -> f64 {
        (1.0 / (1.0 / (self.u * self.u) + 1.0 / (s * s))).sqrt()
    }

    /// How far a measurement moves the mean, one standard deviation.
    fn shift(&self, u_after: f64) -> f64 {
        (self.u * self.u - u_after * u_after).max(0.0).sqrt()
    }

    /// What a measurement of standard uncertainty `s` is expected to bring.
    pub fn measuring(&self, s: f64) -> Measuring {
        let u_after = self.u_after(s);
        let shift = self.shift(u_after);
        let rms_after = |moved: f64| self.loss(self.nearest_after(moved), u_after);
        // By how much a write is more than worth it.
        let surplus =
            |moved: f64| self.loss(self.mean + moved, u_after) - rms_after(moved) - self.least_gain();
        let now = self.write_pays();
        let pays = |moved: f64| surplus(moved) >= 0.0;
        let left = total(nodes().map(|(z, weight)| weight * rms_after(shift * z).powi(2))).sqrt();
        let changes = total(nodes().filter(|(z, _)| pays(shift * z) != now).map(|(_, weight)| weight));
        let decided_after = total(nodes().map(|(z, weight)| weight * surplus(shift * z).max(0.0)));
        let undecided = if now { total(nodes().map(|(z, weight)| weight * surplus(shift * z))) } else { 0.0 };
        // After it the best is about as far from the truth as it is now from the mean.
        let second_after = self.second_write_from(u_after);
        Measuring {
            u_after,
            gain: self.loss(self.best_mean, self.u) - left,
            changes_decision: changes,
            decision_worth: decided_after - undecided,
            second_write_saved: self.second_write() - second_after,
            chance_of_worse: if self.is_counted { self.chance_of_worse().max(self.doubt) } else { 0.0 },
            thresholds: self.thresholds,
        }
    }
}

/// A sum that is zero, and not minus zero, over nothing.
fn total(parts: impl Iterator<Item = f64>) -> f64 {
    parts.fold(0.0, |sum, part| sum + part)
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
    /// What deciding after it is worth beside deciding now, in RMS of ln R.
    pub decision_worth: f64,
    /// By how much it lowers the probability that a second write is needed.
    pub second_write_saved: f64,
    /// Probability that a write before it leaves the truck worse than it is.
    pub chance_of_worse: f64,
    /// What it is decided by.
    pub thresholds: Thresholds,
}

impl Measuring {
    /// Whether it may well change write or leave, and that matters: on the edge of what a write is worth it changes easily and
    /// matters to nobody.
    pub fn may_change(self) -> bool {
        self.changes_decision > self.thresholds.chance_worth_measuring.plain()
            && self.decision_worth > self.thresholds.worth_deciding.plain()
    }

    fn lowers_error(self) -> bool {
        self.gain > self.thresholds.worth_measuring.plain()
    }

    /// Whether it is worth doing before a write is spent that pays, or might.
    pub fn worth_it(self, pays: bool) -> bool {
        self.lowers_error() || self.may_change() || self.saves_a_write() || (pays && self.guards())
    }

    fn guards(self) -> bool {
        self.chance_of_worse > self.thresholds.chance_of_worse.plain()
    }

    fn saves_a_write(self) -> bool {
        self.second_write_saved > self.thresholds.chance_worth_measuring.plain()
    }

    /// What it is worth doing for, the weightiest first.
    pub fn brings(self) -> Brings {
        let ratio = Ratio::from_plain;
        match (self.may_change(), self.saves_a_write()) {
            (true, _) => Brings::TurnsDecision { chance: ratio(self.changes_decision) },
            (false, true) => Brings::SavesSecondWrite { chance: ratio(self.second_write_saved) },
            (false, false) if !self.lowers_error() && self.guards() => {
                Brings::GuardsAgainstWorse { chance: ratio(self.chance_of_worse) }
            }
            (false, false) => Brings::LowersError { by: ratio(self.gain.max(0.0)) },
        }
    }
}

/// What a measurement is proposed for.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Brings {
    /// It may turn write into leave or the reverse.
    TurnsDecision {
        /// Probability of that.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance: Ratio,
    },
    /// A second write is less likely after it.
    SavesSecondWrite {
        /// By how much less.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance: Ratio,
    },
    /// Without it a write may leave the truck worse than it is.
    GuardsAgainstWorse {
        /// Probability of that.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance: Ratio,
    },
    /// What would be stored comes nearer to the truth.
    LowersError {
        /// By how much the RMS of the relative error falls.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        by: Ratio,
    },
    /// A rule about the dial must not be bought on a belief about the needle.
    TellsNeedle {
        /// By how much nearer to the truth the odometer can stay once the needle is known.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        by: Ratio,
    },
    /// Nothing can be decided without it.
    TellsReading,
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

    /// Settings every 0.25 %, the best of them so far off.
    fn evenly(mean: f64, u: f64, best_mean: f64) -> Belief {
        let settings = (-60..=60).map(|k| best_mean + 0.0025 * f64::from(k)).collect();
        Belief {
            mean,
            u,
            best_mean,
            aim: 0.0,
            settings,
            is_counted: true,
            doubt: 0.0,
            thresholds: Thresholds { slow_counts: Ratio::from_plain(1.0), ..Thresholds::default() },
        }
    }

    fn belief(mean_percent: f64, u_percent: f64) -> Belief {
        evenly(mean_percent / 100.0, u_percent / 100.0, 0.0005)
    }

    #[test]
    fn a_truck_four_per_cent_off_with_a_good_drive_is_written() {
        let belief = belief(-4.1, 0.1);
        assert!(belief.write_pays());
        assert!(!belief.measuring(0.002).worth_it(true), "{:?}", belief.measuring(0.002));
    }

    #[test]
    fn a_truck_four_per_cent_off_by_its_tire_size_alone_is_measured_first() {
        let belief = belief(-4.1, 1.8);
        assert!(belief.write_pays());
        let measuring = belief.measuring(0.002);
        assert!(measuring.worth_it(true));
        // sqrt(1.8² + 0.05²) - sqrt(0.1988² + 0.25²/12) = 1.8007 - 0.2115 percentage points
        assert!((measuring.gain - 0.015892).abs() < 2e-5, "{measuring:?}");
    }

    #[test]
    fn half_a_per_cent_off_and_hardly_known_is_not_decided_blindly() {
        let belief = evenly(0.006, 0.006, 0.0);
        // Whether a write pays is a coin toss: the measurement decides it.
        assert!(belief.measuring(0.002).changes_decision > 0.2);
    }

    #[test]
    fn a_close_decision_that_matters_to_nobody_is_made() {
        // Just above what is worth a write, and well known: a measurement may turn the answer round, by next to nothing.
        let measuring = evenly(0.0063, 0.0015, 0.0).measuring(0.002);
        assert!(measuring.changes_decision > 0.2 && !measuring.worth_it(false), "{measuring:?}");
    }

    #[test]
    fn chances_agree_with_drawing() {
        use rand::SeedableRng;
        use rand_distr::{Distribution, StandardNormal};
        let belief = evenly(0.007, 0.005, 0.0);
        let mut chance = rand_chacha::ChaCha8Rng::seed_from_u64(7);
        let (s, draws) = (0.002, 40_000);
        let u_after = (1.0_f64 / (1.0 / 0.005_f64.powi(2) + 1.0 / (s * s))).sqrt();
        let mut changed = 0;
        for _ in 0..draws {
            let normal = |chance: &mut rand_chacha::ChaCha8Rng| -> f64 { StandardNormal.sample(chance) };
            let truth = belief.mean + belief.u * normal(&mut chance);
            let seen = truth + s * normal(&mut chance);
            let mean = u_after * u_after * (belief.mean / belief.u.powi(2) + seen / (s * s));
            let after = evenly(mean, u_after, belief.nearest_after(mean - belief.mean));
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
