//! Whether what repeats is the spacing of marks, or something else that repeats: an uneven speed, the grid of a clock.

use super::fold::Relative;
use super::grid::Grid;
use super::lines::{Harmonic, Turns};
use super::slots::{SlotStep, Slots};
use crate::order::quantile;
use statrs::distribution::{ContinuousCDF, Gamma};
use std::f64::consts::TAU;

/// No ring is divided so finely (share of a pitch, rms): a micrometre on a pitch of 10 mm, finer than rings are ground
/// (judgement).
const LEAST_SPACING: f64 = 1e-4;
/// Lines left after the strongest are set aside stand out by chance this seldom.
const BY_CHANCE: f64 = 1e-3;
/// The pattern of a ring keeps its share of a pitch to this power of the speed: what a coil and its input add (judgement).
const KEEPS: f64 = 0.3;
/// Standard uncertainties from which a growth is believed.
const GROWS: f64 = 4.0;
/// The pattern has to exceed what rounding to a grid, or what does not repeat after whole turns, may make by this factor,
/// squared.
const ABOVE_GRID: f64 = 4.0;
/// Belief before looking that a swing of the speed fits a whole number of marks and stands out (judgement: coupled one
/// to one it does, and by chance in one of so many turns).
const SWING: f64 = 0.005;
/// The same of one with half the ring's turns (judgement: coupled one to one is usual, and no two pistons are alike).
const SWING_BY_HALF: f64 = 0.02;
/// A swing grows with slowness by a power within these, and in how many steps they are gone through (judgement).
const SWING_GROWS: (f64, f64) = (-1.0, 4.0);
const POWERS: u32 = 50;
/// A line stands so many times higher than the usual one, in power, where something else adds to it.
const ADDED: f64 = 100.0;
/// How often that is so of once and twice a turn, where rings run out of true and joints swing, and of others.
const ADDED_SHARE: (f64, f64) = (0.1, 1e-4);
/// Rings of fewer marks than this have no lines beyond the orders of a piston machine that turns as fast (judgement: half orders up
/// to sixteen, of which the ring sees twice as many lines).
const FEW: usize = 64;
/// From one order of a swing to the next it falls to one of these shares.
const FALLS: [f64; 6] = [0.05, 0.1, 0.2, 0.3, 0.45, 0.6];
/// A single order departs from that by so much, in power, to either side, and how often: no two pistons are alike.
const DEPARTS: (f64, f64) = (10.0, 0.15);

/// What a pattern is.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Judged {
    /// The spacing of so many marks, with the probability that it is no swing of the speed.
    Spacing(f64),
    /// What shows beyond a pattern of a divisor may be the speed: neither count can be told.
    Shorter,
    /// It may be the speed altogether.
    Speed,
    /// It is no larger than what the grid of the times makes, or than any ring.
    Fine,
}

/// Judges the pattern of so many marks.
pub(super) fn judge(slots: &Slots, missing_counts: bool, marks: usize, grid: Option<Grid>) -> Judged {
    let steps = slots.steps(missing_counts);
    let Some(relative) = Relative::new(&steps, 0.0, marks) else { return Judged::Speed };
    let used = relative.used.clone();
    let of = |index: usize| {
        let step: &SlotStep = &steps[index];
        (step.counts.then_some(relative.plain[index]), step.span_s)
    };
    let pairs: Vec<(Option<f64>, f64)> = used.clone().map(of).collect();
    let Some(turns) = Turns::new(&pairs, marks) else { return Judged::Speed };
    let lines = turns.lines();
    let spilled: f64 = lines.iter().map(|line| line.spills).sum();
    let least = LEAST_SPACING.powi(2)
        + ABOVE_GRID * 0.5 * spilled * (marks - 1) as f64
        + grid.map_or(0.0, |grid| ABOVE_GRID * grid.leaves(&slots.times_s[used.start..used.end], marks));
    let mut swings = 0.0_f64;
    for shorter in (1..marks).rev().filter(|shorter| marks.is_multiple_of(*shorter)) {
        let beyond: Vec<Harmonic> =
            lines.iter().copied().filter(|line| !line.waves.is_multiple_of(marks / shorter)).collect();
        // A divisor may be the ring and the rest a swing: the half orders of a machine coupled one to one double the ring.
        let belief = match shorter {
            1 => SWING,
            half if 2 * half == marks => SWING_BY_HALF,
            _ => 0.0,
        };
        if marks < FEW && belief > 0.0 {
            swings = swings.max(swing(&beyond, marks, belief));
        }
        match (Weaker::new(&beyond, marks), shorter) {
            (Weaker { stands_out: true, spacing }, _) if spacing > least => {}
            (Weaker { stands_out: true, .. }, 1) => return Judged::Fine,
            (_, 1) => return Judged::Speed,
            _ => return Judged::Shorter,
        }
    }
    match turns.growth() {
        Some((slope, u)) if slope.abs() > KEEPS + GROWS * u => Judged::Speed,
        growth => {
            let for_spacing = growth.map_or(1.0, |(slope, u)| keeps(slope, u));
            Judged::Spacing(1.0 / (1.0 + swings / (1.0 - swings).max(1e-12) / for_spacing))
        }
    }
}

/// Odds for spacing from how its size goes with slowness: a swing of the torque grows as its square, through resonances and
/// loads by any power near that; spacing does not grow. 1 where the speed did not change enough to show it.
fn keeps(slope: f64, u: f64) -> f64 {
    let density = |deviations: f64, u: f64| (-0.5 * deviations.powi(2)).exp() / (u * TAU.sqrt());
    let spread = u.hypot(KEEPS / 3.0);
    let spacing = density(slope / spread, spread);
    let (low, high) = SWING_GROWS;
    let powers = (0..=POWERS).map(|k| low + (high - low) * f64::from(k) / f64::from(POWERS));
    let swing =
        powers.map(|power| density((slope - power) / spread, spread)).sum::<f64>() / f64::from(POWERS + 1);
    (spacing / swing.max(f64::MIN_POSITIVE)).clamp(1e-6, 1e6)
}

/// The weaker of some lines: the strongest may be anything that turns or swings beside the ring.
struct Weaker {
    stands_out: bool,
    /// Mean square of the spacing if all lines were like them.
    spacing: f64,
}

impl Weaker {
    fn new(lines: &[Harmonic], marks: usize) -> Weaker {
        let mut sorted = lines.to_vec();
        sorted.sort_by(|a, b| a.stands_out.total_cmp(&b.stands_out));
        sorted.truncate(match lines.len() {
            few @ ..=2 => few,
            some @ ..=5 => some - 1,
            many => many - many / 2,
        });
        let sum: f64 = sorted.iter().map(|line| line.stands_out).sum();
        let count = sorted.len() as f64;
        let by_chance = Gamma::new(count, 1.0).map_or(1.0, |gamma| gamma.sf(sum.min(700.0)));
        let parts: f64 = sorted.iter().map(|line| if line.is_whole(marks) { 2.0 } else { 1.0 }).sum();
        let power: f64 = sorted.iter().map(|line| line.power).sum();
        Weaker { stands_out: by_chance < BY_CHANCE, spacing: power / parts * (marks - 1) as f64 }
    }
}

/// Probability that the lines are the falling orders of a swing, of which a whole number fits the marks.
fn swing(lines: &[Harmonic], marks: usize, belief: f64) -> f64 {
    if lines.len() < 2 {
        return 0.0;
    }
    let mut powers: Vec<f64> = lines.iter().map(|line| line.power).collect();
    let usual = quantile(&mut powers, 0.5);
    let flat = [0.25, 0.5, 1.0, 2.0, 4.0, 8.0].map(|times| {
        let likely = |line: &Harmonic| {
            let share = if line.waves <= 2 { ADDED_SHARE.0 } else { ADDED_SHARE.1 };
            let plain = density(line, marks, times * usual);
            (1.0 - share) * plain + share * density(line, marks, ADDED * times * usual)
        };
        lines.iter().map(|line| likely(line).ln()).sum::<f64>()
    });
    // Orders that stand out here and there, over lower ones: of pistons, of parts that mesh.
    let uneven = [0.1, 0.3, 1.0].map(|times| {
        let likely = |line: &Harmonic| {
            let heights = [1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0];
            let mean = heights.map(|height| density(line, marks, height * times * usual));
            mean.iter().sum::<f64>() / mean.len() as f64
        };
        lines.iter().map(|line| likely(line).ln()).sum::<f64>()
    });
    let mut falling: Vec<f64> = Vec::new();
    for first in lines {
        for fall in FALLS {
            let orders = Orders::new(first.waves, fall, marks);
            for times in [0.3, 1.0, 3.0] {
                let base = times * first.power;
                let likely = |line: &Harmonic| orders.likely(line, marks, base).ln();
                falling.push(lines.iter().map(likely).sum::<f64>());
            }
        }
    }
    // Each a mean over its own choices.
    let swings = [mean_of_logs(&falling), mean_of_logs(&uneven)];
    let odds = mean_of_logs(&swings) - mean_of_logs(&flat) + (belief / (1.0 - belief)).ln();
    1.0 / (1.0 + (-odds).exp())
}

/// Powers of a swing at each line, over that of its first order.
struct Orders(Vec<f64>);

impl Orders {
    fn new(first: usize, fall: f64, marks: usize) -> Orders {
        let mut powers = vec![0.0; marks / 2 + 1];
        for order in 1..marks {
            // Orders above half the marks are folded back.
            let at = order * first % marks;
            let at = at.min(marks - at);
            let power = fall.powi(2 * (order as i32 - 1));
            if at > 0 && powers[at] < power {
                powers[at] = power;
            }
        }
        Orders(powers)
    }

    fn likely(&self, line: &Harmonic, marks: usize, base: f64) -> f64 {
        let power = base * self.0[line.waves];
        let (by, share) = DEPARTS;
        (1.0 - 2.0 * share) * density(line, marks, power)
            + share * (density(line, marks, by * power) + density(line, marks, power / by))
    }
}

/// Density of a line's power, where its mean beside the noise is known: exponential, or chi-square with one degree of freedom.
fn density(line: &Harmonic, marks: usize, mean: f64) -> f64 {
    let mean = mean + line.noise;
    let x = line.power / mean;
    let likely =
        if line.is_whole(marks) { (-x).exp() } else { (-0.5 * x).exp() / (6.3 * x.max(1e-9)).sqrt() };
    (likely / mean).max(f64::MIN_POSITIVE)
}

fn mean_of_logs(logs: &[f64]) -> f64 {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most + (logs.iter().map(|log| (log - most).exp()).sum::<f64>() / logs.len() as f64).ln()
}

/// The most that a count is believed whose pattern is that of faults alone: an even ring with the same fault twice, half a
/// turn apart, has the pattern of half its marks (judgement).
const FAULTS_ALONE: f64 = 0.9;
/// Columns of the pattern beside each fault that it moves.
const MOVED: usize = 3;
/// Spacing shows beside the faults when its mean square exceeds that of chance by this factor.
const SHOWS: f64 = 2.0;

/// What to believe of a count with so many faults: less where nothing but the faults repeats.
pub(super) fn beside_faults(slots: &Slots, missing_counts: bool, marks: usize, faults: usize) -> f64 {
    let steps = slots.steps(missing_counts);
    let turns = Relative::new(&steps, 0.0, marks).and_then(|relative| {
        let of = |index: usize| (steps[index].counts.then_some(relative.plain[index]), steps[index].span_s);
        Turns::new(&relative.used.clone().map(of).collect::<Vec<_>>(), marks)
    });
    let Some(turns) = turns.filter(|_| faults > 0) else { return 1.0 };
    let middle = quantile(&mut turns.mean.clone(), 0.5);
    let mut columns: Vec<usize> = (0..marks).collect();
    columns.sort_by(|a, b| (turns.mean[*a] - middle).abs().total_cmp(&(turns.mean[*b] - middle).abs()));
    columns.truncate(marks.saturating_sub(MOVED * faults).max(2));
    let count = turns.rows.len() as f64;
    let square = |column: &usize| (turns.mean[*column] - middle).powi(2);
    let chance = |column: &usize| {
        let scatter: f64 = turns.rows.iter().map(|row| (row[*column] - turns.mean[*column]).powi(2)).sum();
        scatter / (count - 1.0) / count
    };
    let shown: f64 = columns.iter().map(square).sum();
    let by_chance: f64 =
        columns.iter().map(chance).sum::<f64>() + columns.len() as f64 * LEAST_SPACING.powi(2);
    if shown > SHOWS * by_chance { 1.0 } else { FAULTS_ALONE }
}
