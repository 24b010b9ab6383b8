//! How a body goes on from one fix to the next.

use super::{Levels, SLOW_ERROR_TIME_S, Spread};
use nalgebra::{Matrix2, Vector2};

/// Below this speed (m/s) it is not known how the direction turns; a turn of more than the other figure between two fixes (rad) is not a bend but noise.
const TURN_NEEDS_M_PER_S: f64 = 4.0;
const TURN_AT_MOST_RAD: f64 = 0.8;

/// Means of three: a direction of travel that jitters with the fixes makes bends where there are none, and the path longer.
pub(super) fn calm(velocities: &mut [Vector2<f64>]) {
    let mut before = velocities.first().copied().unwrap_or_default();
    for index in 1..velocities.len().saturating_sub(1) {
        let here = velocities[index];
        velocities[index] = (before + here + velocities[index + 1]) / 3.0;
        before = here;
    }
}

/// Angle (rad) by which the direction of travel turned on the way to a fix, where an earlier pass tells it.
pub(super) fn turn(velocities: Option<&[Vector2<f64>]>, index: usize) -> f64 {
    let Some((before, after)) = velocities.filter(|_| index > 0).map(|v| (v[index - 1], v[index])) else {
        return 0.0;
    };
    if before.norm().min(after.norm()) < TURN_NEEDS_M_PER_S {
        return 0.0;
    }
    let angle = before.perp(&after).atan2(before.dot(&after));
    if angle.abs() < TURN_AT_MOST_RAD { angle } else { 0.0 }
}

/// One step: the velocity turns by `turn_rad` and walks at random, the slow error decays.
pub(super) fn transition(dt: f64, levels: &Levels, turn_rad: f64) -> (Spread, Spread) {
    let mut f = Spread::identity();
    let mut q = Spread::zeros();
    let keep = (-dt / SLOW_ERROR_TIME_S).exp();
    // On an arc the way is the chord, in the direction of the middle.
    let half = 0.5 * turn_rad;
    let chord = if half.abs() < 1e-6 { 1.0 } else { half.sin() / half };
    f.fixed_view_mut::<2, 2>(0, 2).copy_from(&(rotation(half) * (chord * dt)));
    f.fixed_view_mut::<2, 2>(2, 2).copy_from(&rotation(turn_rad));
    for axis in 0..2 {
        let (p, v, b) = (axis, axis + 2, axis + 4);
        f[(b, b)] = keep;
        q[(p, p)] = levels.walk_m2_per_s3 * dt.powi(3) / 3.0;
        q[(p, v)] = levels.walk_m2_per_s3 * dt * dt / 2.0;
        q[(v, p)] = q[(p, v)];
        q[(v, v)] = levels.walk_m2_per_s3 * dt;
        q[(b, b)] = levels.slow_m * levels.slow_m * (1.0 - keep * keep);
    }
    (f, q)
}

fn rotation(angle_rad: f64) -> Matrix2<f64> {
    let (sine, cosine) = angle_rad.sin_cos();
    Matrix2::new(cosine, -sine, sine, cosine)
}
