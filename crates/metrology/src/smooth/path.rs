//! What goes into the smoother and what comes out.

/// One fix of the path.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct PathFix {
    /// Time (s), rising from fix to fix.
    pub time_s: f64,
    /// Position east and north (m), if the fix has one.
    pub position_m: Option<[f64; 2]>,
    /// Reported speed (m/s), if the fix has one.
    pub speed_m_per_s: Option<f64>,
    /// Standard uncertainty of the reported speed beyond what all of them have (m/s).
    pub speed_extra_m_per_s: f64,
    /// Nothing is known between the fix before and this one.
    pub starts: bool,
}

/// The smoothed state at one fix.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct PathPoint {
    /// Time (s).
    pub time_s: f64,
    /// Position east and north (m), slow error removed as far as it shows.
    pub position_m: [f64; 2],
    /// Speed (m/s), excess from cross-path error taken off.
    pub speed_m_per_s: f64,
    /// Speed half way (in time) between the fix before and this one (m/s); that of this one at a break.
    pub middle_m_per_s: f64,
    /// Standard uncertainty of the speed at this instant (m/s).
    pub speed_uncertainty_m_per_s: f64,
    /// Position fix rejected as an outlier.
    pub position_rejected: bool,
    /// Reported speed rejected as an outlier.
    pub speed_rejected: bool,
    /// The path starts again here: what lies between this fix and the one before is not known.
    pub breaks: bool,
}

/// Noise levels of a path.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Levels {
    /// White error of a position, each axis (m).
    pub white_m: f64,
    /// Slow error of a position, each axis (m).
    pub slow_m: f64,
    /// Time constant of the slow error (s).
    pub slow_time_s: f64,
    /// Intensity of the random walk of velocity (m²/s³).
    pub walk_m2_per_s3: f64,
    /// Error of a reported speed (m/s).
    pub reported_m_per_s: f64,
}

/// A smoothed path.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// One point for each fix.
    pub points: Vec<PathPoint>,
    /// The noise levels that were chosen.
    pub levels: Levels,
    /// Standard uncertainty of the path's length from stretches where positions wander (m); zero where none do.
    pub wander_u_m: f64,
}

/// What is known of the noise levels beforehand.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Known {
    /// Nothing: all are chosen.
    Nothing,
    /// Those of the positions, from the same ones without their speeds.
    OfPositions(Levels),
    /// All of them, from the same fixes or more of them.
    All(Levels),
}
