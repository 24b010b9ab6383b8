//! From what is on a vehicle and what was measured, to what to set and whether it is true.
//!
//! ```text
//!  vehicle file ──> describe ──┬──> fusion ──> choose ──> set ──> prove ──> record
//!  logs ──> drive, pulses ─────┘   (measure)   advice    presses  verdict    events
//!                                                           report: any of these in words
//! ```
//!
//! Everything here is a function of its input: no file, clock, chance or network. What is wrong with an input comes
//! back as [`problem::Problem`]s beside the answer.
//!
//! From a track and a log to the reading ratio, indicated over true:
//!
//! ```
//! use std::fmt::Write;
//! use truing::logs::{csv::{CsvOptions, CsvReader}, gpx::GpxReader};
//! use truing::measure::drive::{Indicated, estimate};
//!
//! // North along a meridian, 111 131 m for each degree; the dash shows 4 % more, in whole km/h.
//! let (mut gpx, mut csv) = ("<gpx><trk><trkseg>".to_string(), "time (s),speed (km/h)\n".to_string());
//! let mut north_m = 0.0;
//! for s in 0..1200 {
//!     let speed_m_per_s = 18.0 + 5.0 * (f64::from(s) / 30.0).sin() + 4.0 * (f64::from(s) / 71.0).cos();
//!     north_m += speed_m_per_s;
//!     let (latitude, minute, second) = (45.0 + north_m / 111_131.0, s / 60, s % 60);
//!     write!(gpx, "<trkpt lat='{latitude:.6}' lon='7'><time>2026-05-02T10:{minute:02}:{second:02}Z</time></trkpt>")?;
//!     writeln!(csv, "{s},{:.0}", 1.04 * 3.6 * speed_m_per_s)?;
//! }
//! gpx += "</trkseg></trk></gpx>";
//! let (mut track, mut log) = (GpxReader::new("a.gpx"), CsvReader::for_vehicle("a.csv", CsvOptions::default()));
//! track.feed(gpx.as_bytes());
//! log.feed(csv.as_bytes());
//! let (drive, problems) = estimate("a", &track.finish().0, &Indicated::Log(log.finish().0));
//! let ratio = drive.and_then(|drive| drive.reading_ratio).unwrap();
//! assert!((ratio.value.plain() - 1.04).abs() < 0.004, "{ratio:?} {problems:?}");
//! # Ok::<(), std::fmt::Error>(())
//! ```
//!
//! From a vehicle file to an advice:
//!
//! ```
//! use truing::choose::{Advice, choose};
//! use truing::describe::vehicle::Vehicle;
//! use truing::measure::fusion::fuse;
//!
//! let text = r#"
//! [chain]
//! sensor_at = "transmission-output"
//! counts_per_turn = 8
//! axle_ratio = "41/11"
//! [adjuster]
//! kind = "free-constant"
//! unit = "pulses-per-mile"
//! min = 1000
//! max = 99999
//! present = 20000
//! [[evidence]]
//! kind = "odometer-distance"
//! indicated = "10.40 mi"
//! true = "10.00 mi"
//! "#;
//! let (vehicle, problems) = Vehicle::read("truck.toml", text);
//! let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
//! let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
//! let choice = choose("truck.toml", &vehicle, &estimate, None, None).unwrap();
//! assert_eq!(choice.advice, Advice::Write);
//! ```

pub mod choose;
pub mod describe;
pub mod logs;
pub mod measure;
pub mod nearest;
pub mod problem;
pub mod prove;
pub mod record;
pub mod report;
pub mod rules;
pub mod set;
#[cfg(any(test, feature = "simulate"))]
pub mod simulate;
pub mod units;
