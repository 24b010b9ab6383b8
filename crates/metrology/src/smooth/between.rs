//! The path between two fixes.

use super::{FixState, PathPoint, Run, SPARSE_S, WANDER_SHARE};

impl Run {
    /// The smoothed points, each with the speed half way from the one before: that of the cubic where the fixes are sparse;
    /// where they are dense its noise is more than it bows, and the mean of both serves.
    pub(super) fn points(&self, noise_share: f64) -> Vec<PathPoint> {
        let point = |(index, step): (usize, &FixState)| {
            let wanders = self.wander_at(index) > 0.0;
            step.point(if wanders { WANDER_SHARE } else { noise_share }, wanders)
        };
        let mut points: Vec<PathPoint> = self.steps.iter().enumerate().map(point).collect();
        for index in 1..points.len() {
            let excess = |k: usize| self.steps[k].state.v.norm() - points[k].speed_m_per_s;
            if points[index].time_s - points[index - 1].time_s <= SPARSE_S {
                let mean = 0.5 * (points[index - 1].speed_m_per_s + points[index].speed_m_per_s);
                points[index].middle_m_per_s =
                    if points[index].breaks { points[index].speed_m_per_s } else { mean };
                continue;
            }
            let stands = points[index - 1].speed_m_per_s == 0.0 && points[index].speed_m_per_s == 0.0;
            let middle = middle_m_per_s(&self.steps[index - 1], &self.steps[index]);
            // The noise that lengthens the velocity at both ends lengthens it between them.
            let excess = 0.5 * (excess(index - 1) + excess(index));
            points[index].middle_m_per_s = match middle {
                _ if stands => 0.0,
                Some(middle) => (middle - excess).max(0.0),
                None => points[index].speed_m_per_s,
            };
        }
        points
    }
}

/// Speed in the middle of the cubic through both positions and velocities: `|3/2 (p1 - p0)/dt - (v0 + v1)/4|`.
fn middle_m_per_s(before: &FixState, after: &FixState) -> Option<f64> {
    let dt = after.time_s - before.time_s;
    if after.breaks || dt <= 0.0 {
        return None;
    }
    let way = after.state.p - before.state.p;
    Some((way * (1.5 / dt) - (before.state.v + after.state.v) * 0.25).norm())
}
