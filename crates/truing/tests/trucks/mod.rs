//! Vehicles and drives for tests of the fusion.

use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};
use truing::describe::vehicle::Vehicle;
use truing::measure::drive::{Diagnosis, DriveEstimate, Points, Reads, Trace};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::Problem;

/// The vehicle of a text that must hold no error.
pub fn vehicle(text: &str) -> Vehicle {
    let (vehicle, problems) = Vehicle::read("vehicle.toml", text);
    let errors: Vec<&Problem> = problems.iter().filter(|problem| problem.is_error()).collect();
    assert!(errors.is_empty(), "{errors:?}\n{text}");
    vehicle.expect("a text without errors is a vehicle")
}

/// A drive that came out at this ratio with this relative uncertainty.
#[allow(dead_code, reason = "not every test drives")]
pub fn drive(reads: Reads, ratio: f64, u: f64) -> DriveEstimate {
    DriveEstimate {
        reads,
        usual_speed: Speed::from_mi_per_h(50.0),
        doubts: Vec::new(),
        by_offset_kind: Vec::new(),
        reading_ratio: Some(Measured::symmetric(
            Ratio::from_plain(ratio),
            Ratio::from_plain(ratio * u),
            f64::INFINITY,
        )),
        ratio_by_distance: None,
        by_odometer: None,
        offset: None,
        ratio_offset_correlation: 0.0,
        clock_lag: None,
        distance: Some(Measured::exact(Length::from_mi(10.0))),
        missing: None,
        compared_distance: Length::from_mi(10.0),
        duration: Duration::from_min(15.0),
        points: Points::default(),
        holds: Vec::new(),
        diagnosis: Diagnosis::Undetermined,
        trace: Trace::default(),
    }
}

/// What is known of the vehicle of a text, with the drives by index of the evidence.
pub fn fused(text: &str, drives: &[(usize, DriveEstimate)]) -> (VehicleEstimate, Vec<Problem>) {
    fuse("vehicle.toml", &vehicle(text), drives.to_vec())
}
