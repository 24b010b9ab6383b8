//! Simulated drives through the whole estimate, and the count of what came out.

use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Quantity, Speed};
use metrology::text::Typed;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use truing::describe::evidence::{OdometerRead, OdometerReadings};
use truing::logs::{Track, VehicleLog};
use truing::measure::drive::{DiagnosisKind, DriveEstimate, Indicated, MOVING_M_PER_S, estimate};
use truing::simulate::{Drive, Plan, Steps, drive};

/// Chance of the scenario itself, apart from the simulator's own.
pub type Chance = ChaCha8Rng;
/// What happened to the logs after they were written.
pub type Damage = fn(&mut Track, &mut VehicleLog, &mut Chance);

/// One kind of drive, simulated with many seeds.
#[derive(Copy, Clone)]
pub struct Scenario {
    /// Its name in the table.
    pub name: &'static str,
    /// What differs from [`Plan::mixed`].
    pub plan: fn(&mut Plan, &mut Chance),
    /// What happens to the logs.
    pub damage: Damage,
    /// What the vehicle indicated.
    pub indicated: fn(&Plan, &Drive, VehicleLog, &mut Chance) -> Indicated,
}

/// A mixed drive against its own log.
pub const MIXED: Scenario = Scenario {
    name: "",
    plan: |_, _| (),
    damage: |_, _, _| (),
    indicated: |_, _, log, _| Indicated::Log(log),
};

/// True speed in every second: what a channel without fault shows.
pub fn true_speeds(plan: &Plan) -> Vec<f64> {
    let faultless = Plan {
        reading_ratio: 1.0,
        offset: Speed::from_m_per_s(0.0),
        growth_s_per_m: 0.0,
        steps: Steps::None,
        clock_lag: Duration::from_s(0.0),
        vehicle_interval: Duration::from_s(1.0),
        ..plan.clone()
    };
    drive(&faultless).vehicle.samples.iter().map(|sample| sample.speed.m_per_s()).collect()
}

/// What the ratio by distance has to be. A channel's offset, and half a step where it truncates, count for the whole time; an
/// odometer turns with the wheels and has neither.
fn by_distance_truth(plan: &Plan, indicated: &Indicated) -> f64 {
    if matches!(indicated, Indicated::Odometer(_)) {
        return plan.reading_ratio;
    }
    let speeds: Vec<f64> = true_speeds(plan).into_iter().filter(|v| *v > MOVING_M_PER_S).collect();
    let mean = mean(&speeds);
    let cut = if plan.steps == Steps::Truncated { 0.5 / 3.6 } else { 0.0 };
    plan.reading_ratio + (plan.offset.m_per_s() - cut) / mean
}

/// One simulated drive and what came out.
pub struct Outcome {
    pub ratio: f64,
    pub by_distance: f64,
    pub lag_s: f64,
    pub distance_m: f64,
    pub estimate: Option<DriveEstimate>,
}

pub fn normal(chance: &mut Chance) -> f64 {
    StandardNormal.sample(chance)
}

/// Reported speeds as receivers make them from carrier frequency: 0.1 m/s.
pub fn with_speed(plan: &mut Plan) {
    plan.reported_speed_error = Some(Speed::from_m_per_s(0.1));
}

pub fn truncated(plan: &mut Plan) {
    plan.steps = Steps::Truncated;
}

/// What a channel's offset has beside its rounding, one standard deviation (m/s): so much do pieces of recorded drives
/// differ.
pub const REST_M_PER_S: f64 = 0.02;

/// How a ratio changes from 30 to 70 mph, mean and standard deviation: radial tires grow by 0.2 ± 0.1 %, their slip by 0.13 ± 0.13 %
/// (from memory; what `measure::drive` takes as known), and that span of speeds.
const GROWTH_MEAN: f64 = -0.0007;
pub const GROWTH_U: f64 = 0.001_64;
pub const SPAN_M_PER_S: f64 = 40.0 * 0.447_04;

/// The drive that one seed makes, and chance for what befalls its logs: the ratio is anywhere from 0.9 to 1.1, the lag
/// from -30 to 30 s.
pub fn plan_of(scenario: &Scenario, seed: u64) -> (Plan, Chance) {
    let mut chance = Chance::seed_from_u64(seed ^ 0x5eed);
    let (ratio, lag_s) = (chance.random_range(0.9..1.1), chance.random_range(-30.0..30.0));
    let mut plan = Plan::mixed(seed, ratio, Duration::from_s(lag_s));
    plan.offset = Speed::from_m_per_s(REST_M_PER_S * normal(&mut Chance::seed_from_u64(seed ^ 0x0ff5e7)));
    let growth = GROWTH_MEAN + GROWTH_U * normal(&mut Chance::seed_from_u64(seed ^ 0x960_117));
    plan.growth_s_per_m = growth / SPAN_M_PER_S;
    (scenario.plan)(&mut plan, &mut chance);
    (plan, chance)
}

/// Runs one seed.
pub fn run(scenario: &Scenario, seed: u64) -> Outcome {
    let (plan, mut chance) = plan_of(scenario, seed);
    let lag_s = plan.clock_lag.s();
    let simulated = drive(&plan);
    let (mut track, mut log) = (simulated.track.clone(), simulated.vehicle.clone());
    (scenario.damage)(&mut track, &mut log, &mut chance);
    let indicated = (scenario.indicated)(&plan, &simulated, log, &mut chance);
    let by_distance = by_distance_truth(&plan, &indicated);
    let (estimate, _) = estimate("simulated", &track, &indicated);
    let distance_m = simulated.distance.m();
    Outcome { ratio: plan.reading_ratio, by_distance, lag_s, distance_m, estimate }
}

/// What came out of many seeds. Errors are relative for the ratio and the distance, in seconds for the lag.
#[derive(Default)]
pub struct Counts {
    pub seeds: usize,
    pub answered: usize,
    pub covered: usize,
    pub distance_covered: usize,
    pub lag_covered: usize,
    pub errors: Vec<f64>,
    pub u: Vec<f64>,
    pub by_distance_errors: Vec<f64>,
    pub by_distance_covered: usize,
    pub distance_errors: Vec<f64>,
    pub distance_u: Vec<f64>,
    pub lag_errors_s: Vec<f64>,
    pub kinds: Vec<DiagnosisKind>,
}

fn covers<Q: Quantity>(measured: &Measured<Q>, truth: f64) -> usize {
    usize::from(measured.low_95.si() <= truth && truth <= measured.high_95.si())
}

pub fn count(scenario: &Scenario, seeds: std::ops::Range<u64>) -> Counts {
    let mut counts = Counts::default();
    for seed in seeds {
        counts.seeds += 1;
        let outcome = run(scenario, seed);
        if let Some(found) = &outcome.estimate {
            counts.answered += 1;
            counts.add(&outcome, found);
        }
    }
    counts
}

impl Counts {
    fn add(&mut self, outcome: &Outcome, found: &DriveEstimate) {
        let ratio = outcome.ratio;
        if let Some(r) = &found.reading_ratio {
            self.covered += covers(r, ratio);
            self.errors.push(r.value.plain() / ratio - 1.0);
            self.u.push(r.standard_uncertainty.plain() / ratio);
        }
        if let Some(r) = &found.ratio_by_distance {
            self.by_distance_covered += covers(r, outcome.by_distance);
            self.by_distance_errors.push(r.value.plain() / outcome.by_distance - 1.0);
        }
        if let Some(lag) = &found.clock_lag {
            self.lag_errors_s.push(lag.value.s() - outcome.lag_s);
            self.lag_covered += covers(lag, outcome.lag_s);
        }
        if let Some(distance) = &found.distance {
            self.distance_covered += covers(distance, outcome.distance_m);
            self.distance_errors.push(distance.value.m() / outcome.distance_m - 1.0);
            self.distance_u.push(distance.relative_uncertainty().plain());
        }
        self.kinds.push(found.diagnosis.kind());
    }

    pub fn lags_missing(&self) -> usize {
        self.answered - self.lag_errors_s.len()
    }

    pub fn worst_lag_s(&self) -> f64 {
        self.lag_errors_s.iter().fold(0.0, |worst, e| worst.max(e.abs()))
    }

    pub fn of_kind(&self, kind: DiagnosisKind) -> usize {
        self.kinds.iter().filter(|k| **k == kind).count()
    }

    /// One row of the table: per cent and seconds.
    pub fn row(&self, name: &str) -> String {
        let share = |n: usize| 100.0 * n as f64 / self.answered.max(1) as f64;
        format!(
            "| {name} | {}/{} | {:+.3} | {:.3} | {:.3} | {:.1} | {:+.3} | {:.1} | {:+.3} | {:.3} | {:.1} | {:.3} | {:.1} | {} |",
            self.answered,
            self.seeds,
            100.0 * mean(&self.errors),
            100.0 * deviation(&self.errors),
            100.0 * mean(&self.u),
            share(self.covered),
            100.0 * mean(&self.by_distance_errors),
            share(self.by_distance_covered),
            100.0 * mean(&self.distance_errors),
            100.0 * deviation(&self.distance_errors),
            share(self.distance_covered),
            percentile_95(&self.lag_errors_s),
            100.0 * self.lag_covered as f64 / self.lag_errors_s.len().max(1) as f64,
            self.lags_missing(),
        )
    }
}

/// The head of the table that [`Counts::row`] fills.
pub const HEAD: &str = "\
| drives | answered | R bias | R sd | mean u | R covered | by distance: bias | covered | distance: bias | sd | covered | lag error, 95th percentile (s) | lag covered | no lag |
|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|";

pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

pub fn deviation(values: &[f64]) -> f64 {
    let middle = mean(values);
    mean(&values.iter().map(|v| (v - middle).powi(2)).collect::<Vec<f64>>()).sqrt()
}

pub fn percentile_95(errors: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = errors.iter().map(|e| e.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.get(sizes.len() * 95 / 100).copied().unwrap_or(f64::NAN)
}

/// Two readings of an odometer with tenths of a mile.
pub fn readings(start: Length, end: Length, read: OdometerRead) -> Indicated {
    let resolution = Length::from_mi(0.1);
    let typed = |value| Typed { value, standard_uncertainty: None, resolution };
    Indicated::Odometer(OdometerReadings { start: typed(start), end: typed(end), read })
}

/// How long before the first fix a recording was started and after the last one stopped: within the second between two.
fn ends_s(chance: &mut Chance) -> (f64, f64) {
    (chance.random_range(0.0..1.0), chance.random_range(0.0..1.0))
}

/// Odometer readings in tenths of a mile, truncated, from a start nobody chose.
pub fn odometer(plan: &Plan, simulated: &Drive, _: VehicleLog, chance: &mut Chance) -> Indicated {
    let step_m = Length::from_mi(0.1).m();
    let shown = |m: f64| Length::from_m((m / step_m).floor() * step_m);
    let start_m = chance.random_range(1e7..1e7 + 1e4);
    let last_m_per_s = true_speeds(plan).last().copied().unwrap_or_default();
    let after_m = ends_s(chance).1 * last_m_per_s;
    let end_m = start_m + plan.reading_ratio * (simulated.distance.m() + after_m);
    readings(shown(start_m), shown(end_m), OdometerRead::Digits)
}

/// The same at one speed, started and stopped by hand as the last digit turned.
pub fn odometer_turned(plan: &Plan, simulated: &Drive, _: VehicleLog, chance: &mut Chance) -> Indicated {
    const PLAY_MI: f64 = 0.1 / 36.0;
    const HAND_S: f64 = 0.15;
    let speed = plan.constant_speed.unwrap_or_default().m_per_s();
    let (before_s, after_s) = ends_s(chance);
    let hand_s = HAND_S * (normal(chance) + normal(chance));
    let play_m = Length::from_mi(PLAY_MI).m() * (normal(chance) + normal(chance));
    let true_m = simulated.distance.m() + speed * (before_s + after_s + hand_s);
    let start_m = Length::from_mi(6000.0).m();
    let end_m = start_m + plan.reading_ratio * true_m + play_m;
    readings(Length::from_m(start_m), Length::from_m(end_m), OdometerRead::AsItTurned)
}
