//! Runs worlds, and counts how the answers did against the truth.

use super::chance::Chance;
use super::script::{Answer, robust};
use super::world::{Health, Truth, World, make};
use super::worlds::Named;
use metrology::measured::Measured;
use metrology::quantity::Quantity;
use std::panic::{AssertUnwindSafe, catch_unwind};
use truing::measure::drive::{DiagnosisKind, DriveEstimate, estimate_under};
use truing::problem::Problem;

/// Half of a 95 % interval in deviations of a normal distribution.
const HALF_95: f64 = 1.96;
/// No answer is beyond this many times the truth: 1e6 %.
const ABSURD: f64 = 1e4;

/// A value, and the deviation that its 95 % interval claims.
#[derive(Copy, Clone, Debug)]
pub struct Found {
    pub value: f64,
    pub claimed: f64,
    pub low: f64,
    pub high: f64,
}

impl Found {
    /// From what was measured.
    pub fn of<Q: Quantity>(measured: &Measured<Q>) -> Self {
        let (low, high) = (measured.low_95.si(), measured.high_95.si());
        Self { value: measured.value.si(), claimed: (high - low) / (2.0 * HALF_95), low, high }
    }

    /// A number inside its own interval that is no more than absurdly far from the truth.
    fn is_sane(&self, size: f64) -> bool {
        let finite = [self.value, self.low, self.high].iter().all(|x| x.is_finite());
        finite && self.low <= self.value && self.value <= self.high && self.value.abs() <= ABSURD * size
    }
}

/// What came of one seed.
pub struct Outcome {
    pub truth: Truth,
    pub script: Answer,
    pub panicked: bool,
    pub answered: bool,
    pub told: bool,
    pub ratio: Option<Found>,
    pub by_distance: Option<Found>,
    pub length: Option<Found>,
    pub lag: Option<Found>,
    pub kind: Option<DiagnosisKind>,
    /// Values outside their own interval, no numbers, or absurd.
    pub insane: usize,
}

/// The world of a seed.
pub fn world(named: &Named, seed: u64) -> World {
    let mut chance = Chance::of(named.name, seed);
    let plan = named.plan(&mut chance);
    make(&plan, &mut chance)
}

/// The estimate of a world, and what it says beside it.
pub fn estimated(world: &World) -> (Option<DriveEstimate>, Vec<Problem>) {
    estimate_under(&world.conditions, "track", &world.track, &world.indicated)
}

/// Runs one seed.
pub fn run(named: &Named, seed: u64) -> Outcome {
    let world = world(named, seed);
    let script = robust(&world.track, &world.indicated);
    let found = catch_unwind(AssertUnwindSafe(|| estimated(&world).0));
    let panicked = found.is_err();
    Outcome::of(world.truth, script, panicked, found.ok().flatten().as_ref())
}

impl Outcome {
    fn of(truth: Truth, script: Answer, panicked: bool, found: Option<&DriveEstimate>) -> Self {
        let ratio = found.and_then(|found| found.reading_ratio.as_ref()).map(Found::of);
        let by_distance = found.and_then(|found| found.ratio_by_distance.as_ref()).map(Found::of);
        let length = found.and_then(|found| found.distance.as_ref()).map(Found::of);
        let lag = found.and_then(|found| found.clock_lag.as_ref()).map(Found::of);
        let offset = found.and_then(|found| found.offset.as_ref()).map(Found::of);
        let sizes = [(ratio, 1.0), (by_distance, 1.0), (length, truth.length_m), (lag, 1e6), (offset, 1.0)];
        let insane = sizes.iter().filter(|(found, size)| found.is_some_and(|f| !f.is_sane(*size))).count();
        Self {
            told: found.is_some_and(DriveEstimate::can_be_told) && ratio.is_some(),
            answered: found.is_some(),
            kind: found.map(|found| found.diagnosis.kind()),
            ratio,
            by_distance,
            length,
            lag,
            insane,
            truth,
            script,
            panicked,
        }
    }

    /// A sound truck is called ill, or an ill one sound.
    pub fn is_false(&self) -> bool {
        use DiagnosisKind::{Curved, Erratic, Offset, Proportional, Slipping};
        match self.truth.health {
            Health::Sound => matches!(self.kind, Some(Offset | Curved | Erratic | Slipping)),
            _ => self.kind == Some(Proportional),
        }
    }
}

/// Errors of one quantity over many seeds, as shares of the truth.
#[derive(Default)]
pub struct Errors {
    errors: Vec<f64>,
    claimed: Vec<f64>,
    covered: usize,
}

impl Errors {
    pub fn of(pairs: impl Iterator<Item = (Found, f64)>) -> Self {
        let mut errors = Self::default();
        for (found, truth) in pairs {
            errors.errors.push(found.value / truth - 1.0);
            errors.claimed.push(found.claimed / truth);
            errors.covered += usize::from(found.low <= truth && truth <= found.high);
        }
        errors
    }

    pub fn plain(pairs: impl Iterator<Item = (f64, f64)>) -> Self {
        Self { errors: pairs.map(|(value, truth)| value / truth - 1.0).collect(), ..Self::default() }
    }

    pub fn bias(&self) -> f64 {
        100.0 * mean(self.errors.iter().copied())
    }

    pub fn deviation(&self) -> f64 {
        let middle = mean(self.errors.iter().copied());
        100.0 * root(self.errors.iter().map(|error| error - middle))
    }

    pub fn rms(&self) -> f64 {
        100.0 * root(self.errors.iter().copied())
    }

    pub fn claimed(&self) -> f64 {
        100.0 * mean(self.claimed.iter().copied())
    }

    pub fn covered(&self) -> f64 {
        100.0 * self.covered as f64 / self.errors.len() as f64
    }

    fn scores(&self) -> impl Iterator<Item = f64> + '_ {
        self.errors.iter().zip(&self.claimed).map(|(error, claimed)| error / claimed)
    }

    pub fn rms_score(&self) -> f64 {
        root(self.scores())
    }

    pub fn worst_score(&self) -> f64 {
        self.scores().map(f64::abs).fold(f64::NAN, f64::max)
    }
}

pub fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

pub fn root(values: impl Iterator<Item = f64>) -> f64 {
    mean(values.map(|value| value * value)).sqrt()
}
