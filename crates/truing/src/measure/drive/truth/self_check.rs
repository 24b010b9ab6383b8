//! What the drive itself shows of the error of its length.
//!
//! Nothing tells better how much of a road is lost between fixes, or made by their errors, than the same drive with half its fixes:
//! where bends are cut, half of them make it shorter by more than what is still missing; where errors lengthen it, they change it as
//! well. And where there are positions and speeds, each makes a length of its own.

use super::legs::Legs;
use crate::measure::drive::types::MOVING_M_PER_S;
use metrology::smooth::{Known, Levels, PathFix, PathPoint, smooth_knowing};

/// Positions alone: relative standard uncertainty of their length beside what shows, and the share of what smoothing took off the summed steps that
/// may be wrong (simulated drives).
const POSITIONS_U: f64 = 6e-4;
const SMOOTHED_OFF_U: f64 = 0.3;
/// Speeds alone: the scale of carrier-phase receivers (judgement after simulated and recorded drives).
const SPEEDS_U: f64 = 5e-4;
/// The disagreement beyond which both cannot be right, in standard uncertainties of both claims together (95 %).
const BEYOND: f64 = 2.0;
/// Both lengths then lie within the interval: so many standard uncertainties from its middle, and a tenth inside.
const HELD: f64 = 1.96 * 0.9;
/// Errors shown, each as a share of the length: of the whole drive, and of what is faster than 5 m/s.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct SelfCheck {
    /// Half of the fixes change the length by so much.
    pub halved: f64,
    /// What smoothing took off the summed steps of the positions.
    pub smoothed_off: f64,
    /// Standard uncertainty from stretches where positions wander.
    pub wander_u: f64,
    /// Mean square (by length) of how fast the direction of travel turns (rad²/s²).
    pub turned_per_s2: f64,
    /// Share of the positions that are far from the path.
    pub left_out: f64,
    /// Standard uncertainty from positions and speeds that contradict each other.
    pub contradiction_u: f64,
}

/// Two sums over the same legs.
#[derive(Copy, Clone, Debug, Default)]
struct Sums {
    one_m: f64,
    other_m: f64,
}

impl Sums {
    fn add(&mut self, one_m: f64, other_m: f64) {
        self.one_m += one_m;
        self.other_m += other_m;
    }

    /// By how much the other is longer, as a share.
    fn longer(self) -> f64 {
        let longer = self.other_m / self.one_m - 1.0;
        if longer.is_finite() { longer.clamp(-1.0, 1.0) } else { 0.0 }
    }
}

/// Sums over the whole drive and over what is faster than 5 m/s.
fn compare(legs: impl Iterator<Item = (f64, f64, f64)>) -> [Sums; 2] {
    let mut sums = [Sums::default(); 2];
    for (span_s, one_m, other_m) in legs {
        sums[0].add(one_m, other_m);
        if one_m > MOVING_M_PER_S * span_s {
            sums[1].add(one_m, other_m);
        }
    }
    sums
}

/// By how much the length of the drive changes with every second of its fixes, root mean square of both halves: whole, and what is faster than 5 m/s.
pub fn halved(fixes: &[PathFix], whole: &Legs, levels: Levels, stands: &[bool]) -> [f64; 2] {
    let each = [0, 1].map(|phase| {
        let (half, indices) = every_second(fixes, phase);
        let path = smooth_knowing(&half, Known::All(levels));
        let legs = Legs::of_path(&path.points);
        let pairs = (1..indices.len().min(legs.len())).filter_map(|k| {
            let one_m = whole.between(indices[k - 1], indices[k])?;
            if stands[indices[k - 1]] && stands[indices[k]] {
                return None;
            }
            Some((half[k].time_s - half[k - 1].time_s, one_m, legs.between(k - 1, k)?))
        });
        compare(pairs).map(Sums::longer)
    });
    // Each half is off by chance as well: what one of them shows is not made up for by the other.
    [0, 1].map(|which| (0.5 * (each[0][which].powi(2) + each[1][which].powi(2))).sqrt())
}

/// Every second fix and its place among all; where one that starts a stretch is left out, the next one starts it.
fn every_second(fixes: &[PathFix], phase: usize) -> (Vec<PathFix>, Vec<usize>) {
    let indices: Vec<usize> = (phase..fixes.len()).step_by(2).collect();
    let starts = |index: usize| fixes[index].starts || (index > phase && fixes[index - 1].starts);
    (indices.iter().map(|index| PathFix { starts: starts(*index), ..fixes[*index] }).collect(), indices)
}

/// The same for speeds alone: what `lengths` makes of some times and speeds.
pub fn halved_speeds(whole: &Legs, half: impl Fn(usize) -> (Legs, Vec<usize>)) -> [f64; 2] {
    let each = [0, 1].map(|phase| {
        let (legs, indices) = half(phase);
        let pairs = (1..indices.len()).filter_map(|k| {
            let span_s = whole.span_s(indices[k - 1], indices[k]);
            Some((span_s, whole.between(indices[k - 1], indices[k])?, legs.between(k - 1, k)?))
        });
        compare(pairs).map(Sums::longer)
    });
    // Each half is off by chance as well: what one of them shows is not made up for by the other.
    [0, 1].map(|which| (0.5 * (each[0][which].powi(2) + each[1][which].powi(2))).sqrt())
}

/// Slower than this (m/s) the direction from point to point is that of errors.
const TURNS_M_PER_S: f64 = 3.0;
/// Directions are taken over as much as this (s).
const TURNS_S: f64 = 2.0;

/// Mean square (by length) of the rate at which the direction of travel turns (rad²/s²).
pub fn turned_per_s2(points: &[PathPoint]) -> f64 {
    let (mut sum, mut length_m) = (0.0, 0.0);
    let mut legs: Option<(usize, [f64; 2])> = None;
    let mut from = 0;
    for to in 1..points.len() {
        let span_s = points[to].time_s - points[from].time_s;
        if points[to].breaks {
            (from, legs) = (to, None);
            continue;
        }
        if span_s < TURNS_S {
            continue;
        }
        let leg = [0, 1].map(|axis| points[to].position_m[axis] - points[from].position_m[axis]);
        let leg_m = f64::hypot(leg[0], leg[1]);
        let fast = leg_m > TURNS_M_PER_S * span_s;
        if let Some((before, last)) = legs.filter(|_| fast) {
            let turn = (last[0] * leg[1] - last[1] * leg[0]).atan2(last[0] * leg[0] + last[1] * leg[1]);
            let apart_s = 0.5 * (points[to].time_s - points[before].time_s);
            sum += leg_m * (turn / apart_s).powi(2);
            length_m += leg_m;
        }
        legs = fast.then_some((from, leg));
        from = to;
    }
    if length_m > 0.0 { sum / length_m } else { 0.0 }
}

/// What smoothing took off the steps from position to position.
pub fn smoothed_off(fixes: &[PathFix], alone: &Legs, left_out: impl Fn(usize) -> bool) -> [f64; 2] {
    let steps = (1..fixes.len().min(alone.len())).filter_map(|k| {
        let (from, to) = (fixes[k - 1].position_m?, fixes[k].position_m?);
        let step_m = f64::hypot(to[0] - from[0], to[1] - from[1]);
        let smooth_m = alone.between(k - 1, k).filter(|_| !left_out(k - 1) && !left_out(k))?;
        Some((fixes[k].time_s - fixes[k - 1].time_s, smooth_m, step_m))
    });
    compare(steps).map(Sums::longer)
}

/// Relative standard uncertainty of the length `both` make together, where positions and speeds contradict each other: the interval holds
/// what each of them says.
pub fn contradiction(
    fixes: &[PathFix],
    alone: &Legs,
    both: &Legs,
    stands: &[bool],
    smoothed_off: [f64; 2],
) -> [f64; 2] {
    let moving = |k: usize| !(stands[k - 1] && stands[k]);
    let legs = || {
        (1..fixes.len().min(alone.len())).filter(|k| moving(*k)).filter_map(|k| {
            let span_s = fixes[k].time_s - fixes[k - 1].time_s;
            let speeds = fixes[k - 1].speed_m_per_s.zip(fixes[k].speed_m_per_s)?;
            let by_speeds_m = 0.5 * span_s * (speeds.0 + speeds.1);
            Some((span_s, alone.between(k - 1, k)?, by_speeds_m, both.between(k - 1, k)?))
        })
    };
    let by_speeds = compare(legs().map(|(span_s, alone_m, by_speeds_m, _)| (span_s, alone_m, by_speeds_m)));
    let together = compare(legs().map(|(span_s, alone_m, _, both_m)| (span_s, alone_m, both_m)));
    [0, 1].map(|which| {
        let apart = by_speeds[which].longer();
        let positions_u = POSITIONS_U.hypot(SMOOTHED_OFF_U * smoothed_off[which]);
        if apart.abs() < BEYOND * positions_u.hypot(SPEEDS_U) {
            return 0.0;
        }
        let both = together[which].longer();
        f64::max(both.abs(), (apart - both).abs()) / HELD
    })
}
