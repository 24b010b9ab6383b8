//! Seeded drives from a known truth: what a receiver and a vehicle would have logged.
//!
//! The generator shares no code with the estimator. Same seed, same bytes (ChaCha8).

use crate::logs::{Clock, Fix, Fixes, Sample, Track, VehicleLog};
use metrology::quantity::{Angle, Duration, Instant, Length, Speed};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Step of the true motion (s).
const STEP_S: f64 = 0.1;
/// WGS84: equatorial radius (m) and squared eccentricity.
const EQUATOR_M: f64 = 6_378_137.0;
const ECCENTRICITY_SQUARED: f64 = 6.694_379_990_14e-3;

/// How the vehicle's channel turns a speed into whole steps.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Steps {
    /// To the nearest.
    Rounded,
    /// Down.
    Truncated,
    /// Not at all.
    None,
}

/// A drive to simulate.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Seed of everything random.
    pub seed: u64,
    /// Length of the drive.
    pub duration: Duration,
    /// Indicated over true.
    pub reading_ratio: f64,
    /// Added to every indication.
    pub offset: Speed,
    /// Relative change of the ratio for each m/s above the usual speed, the mean over the distance covered faster than 5 m/s (s/m).
    pub growth_s_per_m: f64,
    /// How the channel rounds to whole km/h.
    pub steps: Steps,
    /// The vehicle's clock is this much ahead of the receiver's.
    pub clock_lag: Duration,
    /// Time between samples of the vehicle's log.
    pub vehicle_interval: Duration,
    /// Time between fixes.
    pub fix_interval: Duration,
    /// Slow position error, each axis.
    pub slow_error: Length,
    /// White position error, each axis.
    pub white_error: Length,
    /// Error of the reported speed; none is reported when absent.
    pub reported_speed_error: Option<Speed>,
    /// Grades of the road, one standard deviation (0.03 is 3 %); zero is a flat road.
    pub grades: f64,
    /// Error of the reported height, half of it slow; none is reported when absent.
    pub height_error: Option<Length>,
    /// How far a held speed wanders, one standard deviation; zero is a governor.
    pub wander: Speed,
    /// One speed all the way, held exactly, instead of a mixed drive.
    pub constant_speed: Option<Speed>,
    /// Called-out speeds to hold, one after the other, instead of a mixed drive: indicated values.
    pub holds: Vec<Speed>,
}

impl Plan {
    /// A mixed drive of 20 minutes with a whole-km/h log at 1 Hz and an ordinary receiver.
    pub fn mixed(seed: u64, reading_ratio: f64, clock_lag: Duration) -> Plan {
        Plan {
            seed,
            duration: Duration::from_min(20.0),
            reading_ratio,
            offset: Speed::from_m_per_s(0.0),
            growth_s_per_m: 0.0,
            steps: Steps::Rounded,
            clock_lag,
            vehicle_interval: Duration::from_s(1.0),
            fix_interval: Duration::from_s(1.0),
            slow_error: Length::from_m(2.5),
            white_error: Length::from_m(0.6),
            reported_speed_error: None,
            grades: 0.0,
            height_error: None,
            wander: Speed::from_m_per_s(0.25),
            constant_speed: None,
            holds: Vec::new(),
        }
    }
}

/// What a simulated drive left behind.
#[derive(Clone, Debug)]
pub struct Drive {
    /// The receiver's log.
    pub track: Track,
    /// The vehicle's own log.
    pub vehicle: VehicleLog,
    /// True length of the drive, from first to last fix.
    pub distance: Length,
}

/// Simulates a drive.
pub fn drive(plan: &Plan) -> Drive {
    let mut chance = ChaCha8Rng::seed_from_u64(plan.seed);
    let speeds = speeds(plan, &mut chance);
    let last = speeds.len().saturating_sub(1) / steps_between_fixes(plan) * steps_between_fixes(plan);
    let distance = Length::from_m(speeds.iter().skip(1).take(last).sum::<f64>() * STEP_S);
    let track = receive(plan, &speeds, &mut chance);
    let vehicle = indicate(plan, &speeds, &mut chance);
    Drive { track, vehicle, distance }
}

fn normal(chance: &mut impl Rng) -> f64 {
    StandardNormal.sample(chance)
}

/// True speed (m/s) at every step.
fn speeds(plan: &Plan, chance: &mut ChaCha8Rng) -> Vec<f64> {
    let count = (plan.duration.s() / STEP_S) as usize;
    let mut speeds = Vec::with_capacity(count);
    let held: Vec<f64> =
        plan.holds.iter().map(|h| (h.m_per_s() - plan.offset.m_per_s()) / plan.reading_ratio).collect();
    let mut speed = plan.constant_speed.map_or(0.0, Speed::m_per_s);
    let mut leg = 0;
    while speeds.len() < count {
        let target = next_target(plan, &held, leg, chance);
        let acceleration = chance.random_range(0.6..1.8);
        let hold_s = if held.is_empty() { chance.random_range(8.0..70.0) } else { 25.0 };
        leg += 1;
        while (speed - target).abs() > acceleration * STEP_S && speeds.len() < count {
            speed += acceleration * STEP_S * (target - speed).signum();
            speeds.push(speed);
        }
        let mut wander: f64 = if target > 1.0 { speed - target } else { 0.0 };
        for _ in 0..(hold_s / STEP_S) as usize {
            if target > 1.0 && plan.constant_speed.is_none() {
                // A driver's foot wanders around the target over some ten seconds.
                let kick = plan.wander.m_per_s() * (2.0 * STEP_S / 10.0).sqrt() * normal(chance);
                wander += -wander * STEP_S / 10.0 + kick;
            }
            speed = (target + wander).max(0.0);
            speeds.push(speed);
        }
    }
    speeds.truncate(count);
    speeds
}

fn next_target(plan: &Plan, held: &[f64], leg: usize, chance: &mut ChaCha8Rng) -> f64 {
    if let Some(constant) = plan.constant_speed {
        return constant.m_per_s();
    }
    if let Some(speed) = held.get(leg % held.len().max(1)) {
        return *speed;
    }
    let kind: f64 = chance.random();
    if kind < 0.15 {
        0.0
    } else if kind < 0.6 {
        chance.random_range(8.0..16.0)
    } else {
        chance.random_range(17.0..29.0)
    }
}

/// The receiver's log of a winding road.
fn receive(plan: &Plan, speeds: &[f64], chance: &mut ChaCha8Rng) -> Track {
    let mut track = Track { fixes: Fixes::default(), clock: Clock::Absolute, ..Track::default() };
    let (mut latitude, mut longitude) = (0.72_f64, -1.9_f64);
    let (mut heading, mut turn) = (1.0_f64, 0.0_f64);
    let every = steps_between_fixes(plan);
    let keep = (-plan.fix_interval.s() / 60.0).exp();
    let slow = plan.slow_error.m();
    let mut error = [slow * normal(chance), slow * normal(chance)];
    let mut hills = Hills::new(plan);
    for (step, speed) in speeds.iter().enumerate() {
        // Bends: the rate of turn is bounded by 1.5 m/s² of sideways acceleration.
        turn += -turn * STEP_S / 8.0 + 0.02 * STEP_S.sqrt() * normal(chance);
        heading += turn.clamp(-1.5 / speed.max(3.0), 1.5 / speed.max(3.0)) * STEP_S;
        let (meridian_m, parallel_m) = radii(latitude);
        let step_m = hills.climb(speed * STEP_S, chance);
        latitude += step_m * heading.cos() / meridian_m;
        longitude += step_m * heading.sin() / parallel_m;
        if step % every != 0 {
            continue;
        }
        for axis in &mut error {
            *axis = keep * *axis + slow * (1.0 - keep * keep).sqrt() * normal(chance);
        }
        let white = plan.white_error.m();
        let shown = latitude + (error[0] + white * normal(chance)) / meridian_m;
        let shown_longitude = longitude + (error[1] + white * normal(chance)) / parallel_m;
        track.fixes.push(Fix {
            line: track.fixes.len() + 1,
            time: Some(Instant::from_s(START_S + (step + 1) as f64 * STEP_S)),
            latitude: Some(Angle::from_rad(shown)),
            longitude: Some(Angle::from_rad(shown_longitude)),
            elevation: hills.shown(keep, chance),
            speed: plan.reported_speed_error.map(|u| {
                let along = between(speeds, (step + 1) as f64 * STEP_S) * hills.level();
                Speed::from_m_per_s((along + u.m_per_s() * normal(chance)).max(0.0))
            }),
            ..Fix::default()
        });
    }
    track
}

/// Ups and downs of the road, and the heights a receiver makes of them. A flat road without heights takes no chance, so
/// that its drives stay what they were.
struct Hills {
    grades: f64,
    error: Option<f64>,
    grade: f64,
    height_m: f64,
    slow_m: f64,
}

/// Mean radius of the earth (m): on the ellipsoid below, a metre at a height is shorter.
const EARTH_M: f64 = 6_371_008.8;
/// Grades change over about this length of road (m).
const HILL_M: f64 = 300.0;

impl Hills {
    fn new(plan: &Plan) -> Hills {
        let error = plan.height_error.map(Length::m);
        Hills { grades: plan.grades, error, grade: 0.0, height_m: 100.0, slow_m: 0.0 }
    }

    /// Goes `road_m` along the road; the length on the ellipsoid.
    fn climb(&mut self, road_m: f64, chance: &mut ChaCha8Rng) -> f64 {
        if self.grades == 0.0 {
            return road_m;
        }
        let keep = (-road_m / HILL_M).exp();
        self.grade = keep * self.grade + self.grades * (1.0 - keep * keep).sqrt() * normal(chance);
        let map_m = road_m / (1.0 + self.grade * self.grade).sqrt();
        self.height_m += self.grade * map_m;
        map_m / (1.0 + self.height_m / EARTH_M)
    }

    /// Speed over ground on the road's own.
    fn level(&self) -> f64 {
        1.0 / (1.0 + self.grade * self.grade).sqrt()
    }

    fn shown(&mut self, keep: f64, chance: &mut ChaCha8Rng) -> Option<Length> {
        let error = self.error? / 2f64.sqrt();
        self.slow_m = keep * self.slow_m + error * (1.0 - keep * keep).sqrt() * normal(chance);
        Some(Length::from_m(self.height_m + self.slow_m + error * normal(chance)))
    }
}

fn steps_between_fixes(plan: &Plan) -> usize {
    (plan.fix_interval.s() / STEP_S).round().max(1.0) as usize
}

/// Start of every simulated drive: 2026-05-02T15:00:00Z.
const START_S: f64 = 1_777_734_000.0;

/// Radius of the meridian and of the parallel at a latitude (m).
fn radii(latitude: f64) -> (f64, f64) {
    let w = 1.0 - ECCENTRICITY_SQUARED * latitude.sin().powi(2);
    (EQUATOR_M * (1.0 - ECCENTRICITY_SQUARED) / w.powf(1.5), EQUATOR_M / w.sqrt() * latitude.cos())
}

/// Speed at a time since the start: each step's speed is that of its middle.
fn between(speeds: &[f64], at_s: f64) -> f64 {
    let place = (at_s / STEP_S - 0.5).clamp(0.0, (speeds.len() - 1) as f64);
    let (index, share) = (place as usize, place.fract());
    let next = speeds[(index + 1).min(speeds.len() - 1)];
    speeds[index] * (1.0 - share) + next * share
}

/// Mean speed over the distance covered faster than 5 m/s (m/s).
fn usual(speeds: &[f64]) -> f64 {
    let moving = || speeds.iter().filter(|speed| **speed > 5.0);
    moving().map(|speed| speed * speed).sum::<f64>() / moving().sum::<f64>().max(f64::MIN_POSITIVE)
}

/// The vehicle's log, its samples not in step with the fixes.
fn indicate(plan: &Plan, speeds: &[f64], chance: &mut ChaCha8Rng) -> VehicleLog {
    let mut log =
        VehicleLog { clock: Clock::Absolute, interval: Some(plan.vehicle_interval), ..VehicleLog::default() };
    if plan.steps != Steps::None {
        log.step = Some(Speed::from_km_per_h(1.0));
    }
    let usual = usual(speeds);
    let mut at_s = chance.random_range(0.0..plan.vehicle_interval.s());
    while ((at_s / STEP_S) as usize) < speeds.len() {
        let speed = &between(speeds, at_s);
        let ratio = plan.reading_ratio * (1.0 + plan.growth_s_per_m * (speed - usual));
        let indicated = ratio * speed + if *speed > 0.3 { plan.offset.m_per_s() } else { 0.0 };
        let km_per_h = indicated * 3.6;
        let shown = match plan.steps {
            Steps::Rounded => km_per_h.round(),
            Steps::Truncated => km_per_h.floor(),
            Steps::None => km_per_h,
        };
        log.samples.push(Sample {
            line: log.samples.len() + 2,
            time: Instant::from_s(START_S + at_s + plan.clock_lag.s()),
            speed: Speed::from_km_per_h(shown.max(0.0)),
        });
        at_s += plan.vehicle_interval.s();
    }
    log
}
