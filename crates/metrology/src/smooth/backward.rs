//! The pass backward: smoothed states and covariances of velocity.

use super::motion::Guide;
use super::seen::{SeenPlace, SeenSpeed};
use super::state::{Spread, State, Way};
use super::{FixState, Levels, PathFix, Run, components};
use nalgebra::Vector2;

impl Run {
    /// Smoothed velocities (m/s).
    pub(super) fn velocities(&mut self, fixes: &[PathFix], guide: Guide) -> Vec<Vector2<f64>> {
        self.backward::<false>(fixes, guide);
        self.steps.iter().map(|step| step.state.v).collect()
    }

    /// Smooths backward in place: states, and with `SPREADS` covariances of the velocities.
    ///
    /// With the adjoint `a` and its covariance `A` the smoothed state is `x - P a` and its covariance `P - P A P`. What each fix told is worked out
    /// again from the step before rather than kept: it halves the memory.
    pub(super) fn backward<const SPREADS: bool>(&mut self, fixes: &[PathFix], guide: Guide) {
        let (mut adjoint, mut of_adjoint) = (State::default(), Spread::default());
        for index in (0..self.steps.len()).rev() {
            let (head, tail) = self.steps.split_at_mut(index);
            let step = &mut tail[0];
            let moved = step.spread.times(&adjoint);
            step.state.p -= moved.p;
            step.state.v -= moved.v;
            step.state.b -= moved.b;
            if SPREADS {
                step.spread.vv = step.spread.velocity_less(&of_adjoint);
            }
            let Some(before) = head.last().filter(|_| !step.breaks) else {
                (adjoint, of_adjoint) = (State::default(), Spread::default());
                continue;
            };
            let way = Way::new(
                step.time_s - before.time_s,
                &self.levels,
                guide.turn(index),
                self.weights.get(index).map_or(1.0, |of| of[2]),
                self.wander.get(index).copied().unwrap_or(0.0),
            );
            let (place, speeds) =
                told(step, before, &way, &fixes[index], guide.velocity(index), &self.levels);
            for seen in speeds.iter().rev().flatten() {
                seen.back(&mut adjoint);
                if SPREADS {
                    seen.back_spread(&mut of_adjoint);
                }
            }
            if let Some(seen) = place {
                seen.back(&mut adjoint);
                if SPREADS {
                    seen.back_spread(&mut of_adjoint);
                }
            }
            adjoint = way.back(&adjoint);
            if SPREADS {
                of_adjoint = way.back_spread(&of_adjoint);
            }
        }
    }
}

/// What a fix told, worked out again from the filtered step before it.
fn told(
    step: &FixState,
    before: &FixState,
    way: &Way,
    fix: &PathFix,
    direction: Option<Vector2<f64>>,
    levels: &Levels,
) -> (Option<SeenPlace>, [Option<SeenSpeed>; 2]) {
    let (mut state, mut spread) = (way.state(&before.state), way.spread(&before.spread));
    let position = fix.position_m.filter(|_| step.position_weight > 0.0);
    let white_m = levels.white_m / step.position_weight.sqrt();
    let place = position.and_then(|position| SeenPlace::new(&state, &spread, position, white_m));
    if let Some(seen) = &place {
        seen.apply(&mut state, &mut spread);
    }
    let mut speeds = [None, None];
    for (which, (speed, u, direction)) in components(fix, direction, levels) {
        let weight = step.speeds_weight[which];
        if weight > 0.0 {
            let seen = SeenSpeed::new(&state, &spread, speed, u / weight.sqrt(), direction);
            seen.apply(&mut state, &mut spread);
            speeds[which] = Some(seen);
        }
    }
    (place, speeds)
}
