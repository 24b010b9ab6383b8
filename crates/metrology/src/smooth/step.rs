//! The state at one fix on the way through the filter, and the point it becomes.

use super::state::{Spread, State};
use super::{Levels, PathPoint, near};
use nalgebra::Vector2;

/// A body slower than so many deviations of that noise stands: the length of a noise vector is never zero.
const STANDING: f64 = 4.0;

/// The filtered, later smoothed, state at one fix.
pub(super) struct FixState {
    pub(super) time_s: f64,
    pub(super) state: State,
    pub(super) spread: Spread,
    /// Weights that were used; zero where there is nothing.
    pub(super) position_weight: f64,
    /// Both components are used where the body stands.
    pub(super) speeds_weight: [f64; 2],
    pub(super) position_rejected: bool,
    pub(super) speed_rejected: bool,
    pub(super) breaks: bool,
}

impl FixState {
    /// The point, with the share of the velocity's variance that is noise. Where positions wander that noise may be as large as the speed: its
    /// square is taken off the speed's, and nothing says that the body stands.
    pub(super) fn point(&self, noise_share: f64, wanders: bool) -> PathPoint {
        let v = self.state.v;
        let raw = v.norm();
        let along = if raw > 1e-9 { v / raw } else { Vector2::new(1.0, 0.0) };
        let across = Vector2::new(-along[1], along[0]);
        let cross_variance = across.dot(&(self.spread.vv * across));
        let along_variance = along.dot(&(self.spread.vv * along)).max(0.0);
        let standing = raw < STANDING * (noise_share * along_variance).sqrt();
        let speed_m_per_s = if wanders {
            (raw * raw - noise_share * cross_variance).max(0.0).sqrt()
        } else if standing {
            0.0
        } else {
            raw - noise_share * cross_variance / (2.0 * raw)
        };
        PathPoint {
            time_s: self.time_s,
            position_m: self.state.p.into(),
            speed_m_per_s,
            middle_m_per_s: speed_m_per_s,
            speed_uncertainty_m_per_s: along_variance.sqrt(),
            position_rejected: self.position_rejected,
            speed_rejected: self.speed_rejected,
            breaks: self.breaks,
        }
    }

    /// Nothing is known any more but that the body is near `position`.
    pub(super) fn restart(&mut self, position: [f64; 2], levels: &Levels) {
        (self.state, self.spread) = near(position, levels);
        self.position_weight = 0.0;
        self.position_rejected = false;
        self.breaks = true;
    }
}
