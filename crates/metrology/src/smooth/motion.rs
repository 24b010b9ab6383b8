//! What an earlier pass says about the motion: the direction of travel, and how it turns.

use nalgebra::Vector2;

/// Below this speed (m/s) it is not known how the direction turns; a turn of more than the other figure between two fixes (rad)
/// is not a bend but noise.
const TURN_NEEDS_M_PER_S: f64 = 4.0;
const TURN_AT_MOST_RAD: f64 = 0.8;

/// Velocities (m/s) of an earlier pass at each fix; none before there was one.
#[derive(Copy, Clone, Debug)]
pub(super) struct Guide<'a>(pub(super) &'a [Vector2<f64>]);

impl Guide<'_> {
    /// Before anything is known.
    pub(super) const NONE: Guide<'static> = Guide(&[]);

    /// Velocity at a fix.
    pub(super) fn velocity(self, index: usize) -> Option<Vector2<f64>> {
        self.0.get(index).copied()
    }

    /// Angle (rad) by which the direction of travel turned on the way to a fix, where an earlier pass tells it.
    pub(super) fn turn(self, index: usize) -> f64 {
        let Some([before, after]) = index.checked_sub(1).and_then(|from| self.0.get(from..=index)) else {
            return 0.0;
        };
        let slowest = before.norm_squared().min(after.norm_squared());
        if slowest < TURN_NEEDS_M_PER_S * TURN_NEEDS_M_PER_S {
            return 0.0;
        }
        let angle = before.perp(after).atan2(before.dot(after));
        if angle.abs() < TURN_AT_MOST_RAD { angle } else { 0.0 }
    }
}

/// Means of three: a direction of travel that jitters with the fixes makes bends where there are none, and the path longer.
pub(super) fn calm(velocities: &mut [Vector2<f64>]) {
    let mut before = velocities.first().copied().unwrap_or_default();
    for index in 1..velocities.len().saturating_sub(1) {
        let here = velocities[index];
        velocities[index] = (before + here + velocities[index + 1]) / 3.0;
        before = here;
    }
}
