//! Worlds the estimator was not built for: a speed that swings for reasons of its own, by integration in small steps.

use super::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;

/// Parts of a pitch that are gone through at a time.
const PARTS: f64 = 24.0;
/// Pitches per second at the usual speed.
const USUAL_PER_S: f64 = 400.0;

/// How the speed (pitches per second) goes on its own.
#[derive(Copy, Clone, Debug)]
enum Pace {
    Steady,
    /// Twice as fast at the end.
    Faster,
    Waves,
}

/// What swings it.
#[derive(Copy, Clone, Debug)]
enum Swing {
    Nothing,
    /// Orders of something coupled to the ring that repeats after so many pitches; each order falls to a share of the last;
    /// the swing grows with slowness to a power.
    Coupled {
        pitches: f64,
        falls: f64,
        power: f64,
    },
    /// The same, after so many seconds at 400 pitches per second, whatever the speed.
    Timed {
        pitches: f64,
        falls: f64,
    },
    /// A machine with four pistons firing in two turns of a ring of so many marks, none like another.
    Pistons {
        marks: f64,
        power: f64,
    },
    /// Kicked now and then, and ringing at 4 Hz.
    Shuffle,
    /// Noise up to some 30 Hz, over something that bounces at 12 Hz.
    Rough,
}

#[derive(Copy, Clone, Debug)]
struct World {
    marks: usize,
    turns: usize,
    spacing: f64,
    jitter: f64,
    pace: Pace,
    swing: Swing,
    /// Share of the speed by which the first order swings it.
    size: f64,
    seed: u64,
}

/// What swings the speed, with what it has gathered so far.
struct Forces {
    phases: Vec<f64>,
    pistons: Vec<f64>,
    /// Place and rate of a body on a spring: a shaft that winds up, or what bounces.
    body: (f64, f64),
    noise: f64,
}

impl Forces {
    fn new(chance: &mut ChaCha8Rng) -> Self {
        Self {
            phases: (0..40).map(|_| chance.random_range(0.0..2.0 * PI)).collect(),
            pistons: (0..16).map(|_| 0.5 + chance.random::<f64>()).collect(),
            body: (0.0, 0.0),
            noise: 0.0,
        }
    }

    fn orders(&self, turn: f64, falls: f64) -> f64 {
        let order =
            |k: i32| falls.powi(k - 1) * (2.0 * PI * f64::from(k) * turn + self.phases[k as usize]).sin();
        (1..=16).map(order).sum()
    }

    /// Firing is the fourth of the half orders; the others are what the pistons differ. The torque of the gas falls with
    /// the order, by half at each firing order or so, and what it does to the speed of an inertia as one over the order
    /// (from memory).
    fn piston_orders(&self, turns: f64) -> f64 {
        let wave = |k: usize| {
            let usual = if k.is_multiple_of(4) { 1.0 } else { 0.15 * self.pistons[k] };
            let falls = 0.5f64.powf(k as f64 / 4.0) * 4.0 / k as f64;
            usual * falls * (PI * k as f64 * turns + self.phases[k]).sin()
        };
        (1..16).map(wave).sum()
    }

    /// A spring at so many Hz, with so much damping, drawn towards a place.
    fn spring(&mut self, hz: f64, damping: f64, towards: f64, step_s: f64) {
        let rate = 2.0 * PI * hz;
        self.body.1 += step_s * (rate * rate * (towards - self.body.0) - damping * rate * self.body.1);
        self.body.0 += step_s * self.body.1;
    }

    /// At a place (pitches), a time, `slow` times slower than usual, over the next step.
    fn swing(
        &mut self,
        kind: Swing,
        (at, time_s, slow): (f64, f64, f64),
        step_s: f64,
        chance: &mut ChaCha8Rng,
    ) -> f64 {
        match kind {
            Swing::Nothing => 0.0,
            Swing::Coupled { pitches, falls, power } => slow.powf(power) * self.orders(at / pitches, falls),
            Swing::Timed { pitches, falls } => self.orders(time_s * USUAL_PER_S / pitches, falls),
            Swing::Pistons { marks, power } => slow.powf(power) * self.piston_orders(at / marks),
            Swing::Shuffle => {
                if chance.random::<f64>() < step_s {
                    self.body.1 += 2.0 * PI * 4.0;
                }
                self.spring(4.0, 0.2, 0.0, step_s);
                self.body.0
            }
            Swing::Rough => {
                let kick = normal(chance) / step_s.sqrt();
                self.noise += step_s * 2.0 * PI * 30.0 * (kick * 0.07 - self.noise);
                self.spring(12.0, 0.3, self.noise, step_s);
                self.noise + self.body.0
            }
        }
    }
}

impl World {
    fn times(&self) -> Vec<f64> {
        let mut chance = ChaCha8Rng::seed_from_u64(self.seed);
        let errors: Vec<f64> = (0..self.marks).map(|_| self.spacing * normal(&mut chance)).collect();
        let mean = errors.iter().sum::<f64>() / self.marks as f64;
        let all = (self.marks * self.turns) as f64;
        let mut forces = Forces::new(&mut chance);
        let (mut at, mut time_s, mut next, mut mark) = (0.0, 0.0, 1.0, 0);
        let mut times = Vec::new();
        while at < all {
            let base = USUAL_PER_S * self.pace_at(at / all);
            let step_s = 1.0 / (PARTS * base);
            let swing = forces.swing(self.swing, (at, time_s, USUAL_PER_S / base), step_s, &mut chance);
            let before = at;
            at += base * (1.0 + self.size * swing).max(0.2) * step_s;
            if at >= next {
                let share = (next - before) / (at - before);
                times.push(time_s + share * step_s + self.jitter * normal(&mut chance) / base);
                mark = (mark + 1) % self.marks;
                next += 1.0 + errors[mark] - mean;
            }
            time_s += step_s;
        }
        times
    }

    fn pace_at(&self, share: f64) -> f64 {
        match self.pace {
            Pace::Steady => 1.0,
            Pace::Faster => 0.67 + 0.67 * share,
            Pace::Waves => 1.0 + 0.33 * (2.0 * PI * 1.3 * share).sin(),
        }
    }
}

fn normal(chance: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(chance)
}

/// Right, wrong, untold; the wrong ones are printed.
fn tried(worlds: &[World]) -> (usize, usize, usize) {
    let mut counts = (0, 0, 0);
    for world in worlds {
        match ring(&world.times()) {
            Ok(found) if found.marks == world.marks => counts.0 += 1,
            Ok(found) => {
                println!("told as {} ({}): {world:?}", found.marks, found.confidence);
                counts.1 += 1;
            }
            Err(_) => counts.2 += 1,
        }
    }
    counts
}

const MARKS: [usize; 9] = [6, 8, 12, 17, 24, 36, 48, 79, 100];

fn worlds(spacing: f64, seeds: u64, swings: impl Fn(usize, &mut ChaCha8Rng) -> Vec<Swing>) -> Vec<World> {
    let mut all = Vec::new();
    for (at, marks) in MARKS.into_iter().enumerate() {
        for seed in 0..seeds {
            let seed = 1000 * at as u64 + seed;
            let mut chance = ChaCha8Rng::seed_from_u64(seed ^ 0x5EED);
            for swing in swings(marks, &mut chance) {
                for pace in [Pace::Steady, Pace::Faster, Pace::Waves] {
                    let size = [0.0005, 0.002, 0.008, 0.03][chance.random_range(0..4)];
                    let jitter = [0.0002, 0.0005, 0.002][chance.random_range(0..3)];
                    all.push(World { marks, turns: 20, spacing, jitter, pace, swing, size, seed });
                }
            }
        }
    }
    all
}

/// Coupled to the ring by whole and by other ratios, or to the clock.
fn coupled(marks: usize, chance: &mut ChaCha8Rng) -> Vec<Swing> {
    let n = marks as f64;
    let power = [0.0, 2.0][chance.random_range(0..2)];
    let falls = [0.1, 0.3, 0.5][chance.random_range(0..3)];
    let ratio = chance.random_range(0.1..4.0);
    let whole = [n / 4.0, n / 2.0, n, 2.0 * n, 2.0 * n / 0.7, n / 3.73, n * ratio, 12.0, 7.3];
    let pitches = whole[chance.random_range(0..whole.len())];
    vec![
        Swing::Coupled { pitches, falls, power },
        Swing::Timed { pitches, falls },
        // The torque of pistons swings the speed of an inertia by one over the square of the speed; load adds to that.
        Swing::Pistons { marks: n, power: 1.0 + 0.5 * power },
        Swing::Pistons { marks: n * ratio, power: 1.0 + 0.5 * power },
    ]
}

fn others(_: usize, _: &mut ChaCha8Rng) -> Vec<Swing> {
    vec![Swing::Shuffle, Swing::Rough, Swing::Nothing]
}

/// An even ring has nothing to count by: whatever is told is the speed.
#[test]
fn a_speed_that_swings_is_no_ring() {
    let all: Vec<World> = worlds(0.0, 2, coupled).into_iter().chain(worlds(0.0, 1, others)).collect();
    let (right, wrong, untold) = tried(&all);
    println!("even rings: {right} right by chance, {wrong} wrong, {untold} untold");
    assert_eq!(wrong, 0);
}

/// Spacing under a swing: right or untold.
#[test]
fn a_ring_under_a_swing_is_not_told_wrong() {
    let all: Vec<World> = worlds(0.003, 2, coupled).into_iter().chain(worlds(0.003, 1, others)).collect();
    let (right, wrong, untold) = tried(&all);
    println!("rings: {right} right, {wrong} wrong, {untold} untold");
    assert_eq!(wrong, 0);
}
