//! Lengths of drives: recorded ones by positions, by speeds and by both, whole and thinned out, and simulated ones whose receiver errs otherwise
//! than the estimate takes it to.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]
#![allow(clippy::print_stdout, reason = "the figures of the table in the docs")]

#[path = "true_lengths/recorded.rs"]
mod recorded;
#[path = "true_lengths/worlds.rs"]
mod worlds;

use metrology::quantity::{Angle, Instant, Length, Speed};
use truing::logs::{Clock, Fix, Track};
use truing::measure::drive::{DriveConditions, Indicated, estimate_under};

/// A fix as it was recorded.
#[derive(Copy, Clone, Debug)]
pub struct Row {
    /// Time (s).
    pub time_s: f64,
    /// Latitude and longitude (degrees).
    pub place: Option<(f64, f64)>,
    /// Reported speed (m/s).
    pub speed_m_per_s: Option<f64>,
    /// Height (m).
    pub height_m: Option<f64>,
}

/// A length and half the width of its 95 % interval (m).
#[derive(Copy, Clone, Debug)]
pub struct Found {
    /// Length (m).
    pub length_m: f64,
    /// Half the width (m).
    pub half_m: f64,
}

impl Found {
    fn holds(&self, length_m: f64) -> bool {
        (self.length_m - length_m).abs() <= self.half_m
    }

    /// Within both intervals together.
    fn agrees(&self, other: &Found) -> bool {
        (self.length_m - other.length_m).abs() <= self.half_m.hypot(other.half_m)
    }
}

/// The length of a drive, where it is known.
pub fn length(rows: &[Row], hilly: bool) -> Option<Found> {
    let fix = |row: &Row| Fix {
        time: Some(Instant::from_s(row.time_s)),
        latitude: row.place.map(|place| Angle::from_deg(place.0)),
        longitude: row.place.map(|place| Angle::from_deg(place.1)),
        speed: row.speed_m_per_s.map(Speed::from_m_per_s),
        elevation: row.height_m.map(Length::from_m),
        ..Fix::default()
    };
    let track = Track { fixes: rows.iter().map(fix).collect(), clock: Clock::Absolute, ..Track::default() };
    let conditions = DriveConditions { hilly, ..DriveConditions::default() };
    let distance = estimate_under(&conditions, "drive", &track, &Indicated::Nothing).0?.distance?;
    let half_m = 0.5 * (distance.high_95.m() - distance.low_95.m());
    Some(Found { length_m: distance.value.m(), half_m })
}
