//! What can be measured, in a few words.

use crate::choose::MeasurementKind;

/// What to do for a measurement.
pub fn what(kind: MeasurementKind) -> &'static str {
    match kind {
        MeasurementKind::DriveWithLog => "a 20-minute drive with a GPS track and the vehicle's own speed log",
        MeasurementKind::OdometerByTrack => {
            "ten miles (16 km) by GPS track with the odometer read at both ends"
        }
        MeasurementKind::OdometerByPosts => "the odometer over ten miles (16 km) of marker posts",
        MeasurementKind::CalledSpeeds => "six speeds called out on a drive with a GPS track",
        MeasurementKind::TimedMile => "a measured mile (1.6 km) by stopwatch, three runs",
        MeasurementKind::Rollout => "a rollout of five turns with chalk and tape",
        MeasurementKind::LoadedRadius => "the height of the wheel's centre above the ground",
    }
}
