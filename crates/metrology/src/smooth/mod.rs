//! Where a body was and how fast it moved, from fixes with correlated error: Kalman filter forward, smoother backward, in
//! the plane.
//!
//! **Model.** State: position `p` (m), velocity `v` (m/s) and slow position error `b` (m), east and north each.
//! Velocity is a random walk of intensity `q` (m²/s³) that turns with the bends a first pass has seen: without the turn
//! the smoother cuts corners and reads a winding road slow. The slow error is a first-order Gauss-Markov process of
//! standard deviation `s_b` and time constant `t_b`, as satellite positions show. A position fix reads `p + b` plus
//! white error `r`; a reported speed reads the component of `v` along the direction of travel.
//!
//! **Why not add up step lengths.** Random position error makes summed steps too long (Ranacher et al. 2016, Int. J.
//! Geogr. Inf. Sci. 30:316): only the part across the path lengthens, by `s²/(2 d)` a step. Here the noise that the
//! smoother lets through across the path is taken off the speed: its variance over `2 |v|` ([`noise_share`] of the
//! smoothed variance).
//!
//! **Between fixes.** The mean path of an integrated random walk between two known states is the cubic through both
//! positions and velocities (Wahba 1978, J. R. Stat. Soc. B 40:364); its speed in the middle is given with each point,
//! so that a road between sparse fixes is neither its chord nor the mean of two speeds.
//!
//! **Outliers.** The white errors of positions and the errors of reported speeds are Student's t with [`TAIL_DOF`] degrees of freedom:
//! each pass weighs every fix by its residual `x` (in deviations) of the pass before, `(n + d)/(n + x²)` in `d` dimensions
//! (iterated reweighting: Lange, Little & Taylor 1989, J. Am. Stat. Assoc. 84:881); the first one, which has no residuals, by the
//! innovations. What is far off has next to no weight, however many follow one another. The changes of the slow error are weighed alike, so
//! that it may jump: signals reflected by houses do that, and stay for minutes. A position that stands out from the path on both sides of it is left out
//! beforehand; a fix whose innovation is beyond [`GATE`] is marked. [`REJECTED_IN_A_ROW`] in a row that go on from each other are a new place:
//! the path starts again at the first of them, which is marked as a break.
//!
//! **Accuracy.** Speed from 1 Hz fixes of 1 m white error and no reported speed is good to about 0.3 m/s at each
//! instant; its time integral is good to the slow error at both ends. The noise levels are chosen from a small grid by
//! likelihood of three pieces of the path, so clean and noisy receivers are both served.
//!
//! **Time.** Linear; some 0.3 µs a fix and pass. The smoother is that of Bryson & Frazier, which needs no inverse and gives the states of
//! Rauch, Tung & Striebel; all matrices are taken in blocks of two.
//!
//! Sources: Rauch, Tung & Striebel 1965, AIAA J. 3:1445; Bierman 1977, Factorization Methods for Discrete Sequential
//! Estimation, ch. X; Bar-Shalom, Li & Kirubarajan 2001, ch. 5, 6 and 8.
//!
//! ```
//! use metrology::smooth::{smooth, PathFix};
//! let fixes: Vec<PathFix> = (0..60)
//!     .map(|k| PathFix { time_s: k as f64, position_m: Some([20.0 * k as f64, 0.0]), ..PathFix::default() })
//!     .collect();
//! let path = smooth(&fixes);
//! assert!((path.points[30].speed_m_per_s - 20.0).abs() < 0.01);
//! ```

mod backward;
mod between;
mod motion;
mod outliers;
mod path;
mod rough;
mod seen;
mod share;
mod state;
mod step;
mod tuning;

use crate::order::usual_interval_s;
use motion::{Guide, calm};
use nalgebra::Vector2;
pub use path::{Known, Levels, Path, PathFix, PathPoint};
use seen::{SeenPlace, SeenSpeed};
pub use share::noise_share;
use state::{Spread, State, Way};
use step::FixState;
use tuning::{REPORTED_M_PER_S, best, pieces, quick_levels, slow_levels};

/// Degrees of freedom of the errors' distribution: the fewest with a finite fourth moment are five, what receivers in towns show is
/// nearer to four (judgement; usual in robust regression, Lange et al. 1989).
pub const TAIL_DOF: f64 = 4.0;
/// Squared innovation, in units of its variance, beyond which a fix is marked as an outlier: a correct one is that far out once
/// in 10^5 (chi-square, 2 degrees of freedom: 23.0).
pub const GATE: f64 = 23.0;
/// So many rejected fixes in a row are a new place, not outliers.
pub const REJECTED_IN_A_ROW: usize = 5;
/// So many are believed whatever they are.
const REJECTED_AT_MOST: usize = 3 * REJECTED_IN_A_ROW;
/// No body changes its velocity by this much (m/s) from fix to fix; a position off the path makes it seem so.
const LEAP_M_PER_S: f64 = 15.0;
/// Usual time constant of the slow position error (s): satellite geometry and air paths change over about a minute.
pub const SLOW_ERROR_TIME_S: f64 = 60.0;
/// Passes that only weigh the fixes again where some stand out.
const WEIGHING_PASSES: usize = 3;
/// Paths of more fixes than this get one of them: ten hours at 10 Hz are to take a second.
const LONG_PATH: usize = 50_000;
/// Share of a smoothed velocity's variance that is noise where positions wander: `∫ dx/(1+x²)² / ∫ dx/(1+x²)`, the smoother of a velocity that
/// walks at random and is seen with white error.
const WANDER_SHARE: f64 = 0.5;
/// A time between fixes longer than this (s) tells nothing of the motion; more would only lose digits.
const LONGEST_STEP_S: f64 = 3600.0;
/// Below this speed (m/s) the direction of travel is not known well enough to use a reported speed along it.
const DIRECTION_NEEDS_M_PER_S: f64 = 1.5;
/// A reported speed below this (m/s) is a receiver at rest.
const STANDS_M_PER_S: f64 = 0.3;
/// Fixes farther apart than this (s) hide bends from the first pass.
const SPARSE_S: f64 = 1.5;
/// Smooths a path whose fixes rise in time. Without any position there is nothing to smooth and the path is empty.
///
/// A first pass takes positions alone; it tells the direction of travel, which a second pass needs for the bends and for
/// reported speeds.
pub fn smooth(fixes: &[PathFix]) -> Path {
    smooth_knowing(fixes, Known::Nothing)
}

/// The same with noise levels that are known.
pub fn smooth_knowing(fixes: &[PathFix], known: Known) -> Path {
    let outliers = outliers::outliers(fixes);
    if outliers.is_empty() {
        return smooth_sound(fixes, known);
    }
    let mut sound = fixes.to_vec();
    outliers.iter().for_each(|index| sound[*index].position_m = None);
    let mut path = smooth_sound(&sound, known);
    for index in outliers {
        if let Some(point) = path.points.get_mut(index) {
            point.position_rejected = true;
        }
    }
    path
}

/// The same without positions off the path.
fn smooth_sound(fixes: &[PathFix], known: Known) -> Path {
    let usual = Levels {
        white_m: 1.0,
        slow_m: 3.0,
        slow_time_s: SLOW_ERROR_TIME_S,
        walk_m2_per_s3: 2.0,
        reported_m_per_s: 0.15,
    };
    let Some(first) = fixes.iter().position(|fix| fix.position_m.is_some()) else {
        return Path { points: Vec::new(), levels: usual, wander_u_m: 0.0 };
    };
    let tuning = pieces(first..fixes.len());
    let mut levels = match known {
        Known::OfPositions(levels) | Known::All(levels) => levels,
        Known::Nothing => {
            let quick = best(fixes, &tuning, Guide::NONE, usual, quick_levels(usual));
            best(fixes, &tuning, Guide::NONE, quick, slow_levels(quick))
        }
    };
    let wander = rough::wander_m2_per_s(fixes, &levels);
    let mut run = Run::forward(fixes, Guide::NONE, levels, wander);
    let mut velocities = run.velocities(fixes, Guide::NONE);
    if !matches!(known, Known::All(_)) && fixes.iter().any(|fix| fix.speed_m_per_s.is_some()) {
        let reported = REPORTED_M_PER_S.map(|reported_m_per_s| Levels { reported_m_per_s, ..levels });
        levels = best(fixes, &tuning, Guide(&velocities), levels, reported);
    }
    let placed = fixes.iter().filter(|fix| fix.position_m.is_some());
    let interval_s = usual_interval_s(placed.map(|fix| fix.time_s));
    if interval_s <= SPARSE_S {
        calm(&mut velocities);
    } else {
        // Sparse fixes: the first pass knew of no bend and cut every corner, so the bends are seen once more.
        let guide = Guide(&velocities);
        run.weigh(fixes, guide);
        run.levels = levels;
        run.filter(fixes, guide);
        velocities = run.velocities(fixes, guide);
    }
    let guide = Guide(&velocities);
    run.weigh(fixes, guide);
    run.levels = levels;
    let passes = if fixes.len() > LONG_PATH { 1 } else { WEIGHING_PASSES };
    for _ in 0..passes {
        if !run.stands_out() {
            break;
        }
        run.filter(fixes, guide);
        run.backward::<false>(fixes, guide);
        run.weigh(fixes, guide);
    }
    run.filter(fixes, guide);
    run.backward::<true>(fixes, guide);
    let points = run.points(noise_share(&levels, interval_s));
    let wander_u_m = run.wander_u_m(fixes, &points);
    Path { points, levels, wander_u_m }
}

struct Run {
    levels: Levels,
    steps: Vec<FixState>,
    /// Weights of position, speed and the slow error's change at each fix by the pass before; none before there was one.
    weights: Vec<[f64; 3]>,
    /// Where the pass before began a new place: its fixes have their whole weight now, and would draw the path along before they stand out.
    breaks: Vec<bool>,
    /// How much the positions wander at each fix (m²/s); empty where that is not known.
    wander: Vec<f64>,
    log_likelihood: f64,
}

impl Run {
    fn forward(fixes: &[PathFix], guide: Guide, levels: Levels, wander: Vec<f64>) -> Run {
        let steps = Vec::with_capacity(fixes.len());
        let mut run =
            Run { levels, steps, weights: Vec::new(), breaks: Vec::new(), wander, log_likelihood: 0.0 };
        run.filter(fixes, guide);
        run
    }

    /// Filters forward, in the room of an earlier pass where there was one. The guide tells the direction of travel.
    fn filter(&mut self, fixes: &[PathFix], guide: Guide) {
        let levels = self.levels;
        self.steps.clear();
        self.log_likelihood = 0.0;
        let (mut state, mut spread) = start(fixes, &levels);
        let mut rejected_in_a_row = Vec::new();
        let mut last_time_s = fixes[0].time_s;
        let mut new_place = None;
        while let Some(fix) = fixes.get(self.steps.len()) {
            let index = self.steps.len();
            let way = self.way(fix.time_s - last_time_s, guide, index);
            last_time_s = fix.time_s;
            let mut step = FixState {
                time_s: fix.time_s,
                state: way.state(&state),
                spread: way.spread(&spread),
                position_weight: 0.0,
                speeds_weight: [0.0; 2],
                position_rejected: false,
                speed_rejected: false,
                breaks: false,
            };
            if let Some(position) = fix.position_m {
                let broke = self.breaks.get(index) == Some(&true);
                if (fix.starts && index > 0) || new_place == Some(index) || broke {
                    step.restart(position, &levels);
                }
                self.use_position(&mut step, position, index);
                if step.position_rejected {
                    rejected_in_a_row.push(index);
                } else {
                    rejected_in_a_row.clear();
                }
                if let Some(from) = place_of_their_own(fixes, &rejected_in_a_row) {
                    // Once more from there. What is rejected next comes later, so this ends.
                    self.steps.truncate(from);
                    rejected_in_a_row.clear();
                    (new_place, last_time_s) = (Some(from), fixes[from].time_s);
                    continue;
                }
            }
            self.use_speeds(&mut step, fix, guide.velocity(index), index);
            (state, spread) = (step.state, step.spread);
            self.steps.push(step);
        }
    }

    /// The step to a fix; a slow error that jumped there may have.
    fn way(&self, span_s: f64, guide: Guide, index: usize) -> Way {
        let weight = self.weights.get(index).map_or(1.0, |of| of[2]);
        Way::new(span_s, &self.levels, guide.turn(index), weight, self.wander_at(index))
    }

    fn wander_at(&self, index: usize) -> f64 {
        self.wander.get(index).copied().unwrap_or(0.0)
    }

    fn score(&mut self, squared: f64, log_determinant: f64, dimension: f64) {
        let tail = (squared / TAIL_DOF).ln_1p();
        self.log_likelihood -= 0.5 * (log_determinant + (TAIL_DOF + dimension) * tail);
    }

    /// Updates with a position, with the weight of the pass before or, in the first one, that of its innovation.
    fn use_position(&mut self, step: &mut FixState, position: [f64; 2], index: usize) {
        let white_m = self.levels.white_m;
        let seen = SeenPlace::new(&step.state, &step.spread, position, white_m);
        let Some(mut seen) = seen else { return };
        self.score(seen.squared, seen.log_determinant, 2.0);
        step.position_rejected = seen.squared > GATE;
        step.position_weight = self.weights.get(index).map_or(weight(seen.squared, 2.0), |of| of[0]);
        if step.position_weight != 1.0 {
            let weighed =
                SeenPlace::new(&step.state, &step.spread, position, white_m / step.position_weight.sqrt());
            let Some(weighed) = weighed else { return };
            seen = weighed;
        }
        seen.apply(&mut step.state, &mut step.spread);
    }

    /// Updates with a reported speed along the direction of travel.
    fn use_speeds(
        &mut self,
        step: &mut FixState,
        fix: &PathFix,
        direction: Option<Vector2<f64>>,
        index: usize,
    ) {
        for (which, (speed, u, direction)) in components(fix, direction, &self.levels) {
            let seen = SeenSpeed::new(&step.state, &step.spread, speed, u, direction);
            self.score(seen.squared(), seen.log_variance(), 1.0);
            step.speed_rejected |= seen.squared() > GATE;
            let weight = self.weights.get(index).map_or(weight(seen.squared(), 1.0), |of| of[1]);
            step.speeds_weight[which] = weight;
            let seen = SeenSpeed::new(&step.state, &step.spread, speed, u / weight.sqrt(), direction);
            seen.apply(&mut step.state, &mut step.spread);
        }
    }

    /// Weighs every fix by its residual from the smoothed states, and every change of the slow error by its size.
    fn weigh(&mut self, fixes: &[PathFix], guide: Guide) {
        let levels = self.levels;
        self.weights.clear();
        self.breaks.clear();
        self.breaks.extend(self.steps.iter().map(|step| step.breaks));
        for (index, (step, fix)) in self.steps.iter().zip(fixes).enumerate() {
            let off = fix.position_m.map_or(0.0, |at| {
                (Vector2::from(at) - step.state.p - step.state.b).norm_squared() / levels.white_m.powi(2)
            });
            let speeds = components(fix, guide.velocity(index), &levels);
            let off_speed =
                speeds.map(|(_, (speed, u, along))| ((speed - along.dot(&step.state.v)) / u).powi(2));
            let before = index.checked_sub(1).map(|k| &self.steps[k]).filter(|_| !step.breaks);
            let jump = before.map_or(0.0, |before| {
                let span_s = step.time_s - before.time_s;
                let (keep, variance_m2) = state::slow_error(span_s, &levels, self.wander_at(index));
                (step.state.b - before.state.b * keep).norm_squared() / variance_m2.max(f64::MIN_POSITIVE)
            });
            let off_speed = off_speed.fold(0.0, f64::max);
            self.weights.push([weight(off, 2.0), weight(off_speed, 1.0), weight(jump, 2.0)]);
        }
    }

    /// Whether the weights of some fixes say that they are outliers.
    fn stands_out(&self) -> bool {
        let least = [weight(GATE, 2.0), weight(GATE, 1.0), weight(GATE, 2.0)];
        self.weights.iter().any(|of| of.iter().zip(least).any(|(weight, least)| *weight < least))
    }
}

/// Weight of a fix in `dimension` dimensions whose residual is so much, squared and in units of its variance.
fn weight(squared: f64, dimension: f64) -> f64 {
    (TAIL_DOF + dimension) / (TAIL_DOF + squared)
}

/// Where a new place begins, if the last of these fixes are one: no motion leads from each to the next unless they belong together.
/// Those that never do have the last word all the same.
fn place_of_their_own(fixes: &[PathFix], rejected: &[usize]) -> Option<usize> {
    let last = rejected.last_chunk::<REJECTED_IN_A_ROW>()?;
    let place = |index: &usize| fixes[*index].position_m.map(|at| (fixes[*index].time_s, Vector2::from(at)));
    let places: Vec<_> = last.iter().filter_map(place).collect();
    let velocities: Vec<_> =
        places.windows(2).map(|two| (two[1].1 - two[0].1) / (two[1].0 - two[0].0)).collect();
    let goes_on = velocities.windows(2).all(|two| (two[1] - two[0]).norm() < LEAP_M_PER_S);
    (goes_on || rejected.len() >= REJECTED_AT_MOST).then_some(last[0])
}

/// What a reported speed says of the velocity: value, standard uncertainty and direction of each component it tells.
fn components(
    fix: &PathFix,
    direction: Option<Vector2<f64>>,
    levels: &Levels,
) -> impl DoubleEndedIterator<Item = (usize, (f64, f64, Vector2<f64>))> + use<> {
    let (axes, none) = ([Vector2::new(1.0, 0.0), Vector2::new(0.0, 1.0)], Vector2::zeros());
    let told = |count, speed, u, directions: [Vector2<f64>; 2]| {
        directions.map(|direction| (speed, u, direction)).into_iter().take(count).enumerate()
    };
    let Some((speed, direction)) = fix.speed_m_per_s.zip(direction) else {
        return told(0, 0.0, 0.0, axes);
    };
    let norm = direction.norm();
    let extra = fix.speed_extra_m_per_s;
    if norm > DIRECTION_NEEDS_M_PER_S {
        told(1, speed, levels.reported_m_per_s.hypot(extra), [direction / norm, none])
    } else if speed < STANDS_M_PER_S {
        // Standing, no direction is needed: both components are zero.
        told(2, 0.0, STANDS_M_PER_S.hypot(extra), axes)
    } else {
        told(0, 0.0, 0.0, axes)
    }
}

fn start(fixes: &[PathFix], levels: &Levels) -> (State, Spread) {
    near(fixes.iter().find_map(|fix| fix.position_m).unwrap_or_default(), levels)
}

/// Nothing known but that the body is near a place: any road speed, any slow error.
fn near(position: [f64; 2], levels: &Levels) -> (State, Spread) {
    let state = State { p: position.into(), ..State::default() };
    (state, Spread::diagonal(1e4, 900.0, levels.slow_m * levels.slow_m))
}

#[cfg(test)]
mod tests;
