//! Speeds to hold the needle at: marks of the dial over the speeds that are driven, none of which is over the owner's own
//! highest when the dial reads slow.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::units::Units;
use metrology::quantity::Speed;

/// The speeds driven where the file says none, in mph.
const USUAL_MPH: (f64, f64) = (25.0, 60.0);

/// So many marks at most, spread over what is driven, the slowest first; as words with their unit.
pub fn held_speeds(vehicle: &Vehicle, estimate: &VehicleEstimate, count: usize, units: Units) -> Vec<String> {
    held(vehicle, estimate, count, units).into_iter().map(|speed| units.say_speed(speed, 0)).collect()
}

/// The same as speeds.
pub(super) fn held(vehicle: &Vehicle, estimate: &VehicleEstimate, count: usize, units: Units) -> Vec<Speed> {
    let usual = (Speed::from_mi_per_h(USUAL_MPH.0), Speed::from_mi_per_h(USUAL_MPH.1));
    let (low, high) = vehicle.usage.speeds.unwrap_or(usual);
    let ratio = estimate.over_all.needle_ratio.or(estimate.over_all.distance_ratio);
    // Shown is true times the ratio; the low end of it keeps the true speed at or below the highest.
    let slow = ratio.map_or(1.0, |ratio| ratio.low_95.plain().min(1.0));
    let step = units.speed_step();
    let marks = ((low / step).ceil() as usize).max(1)..=(((high * slow) / step).floor() as usize);
    let marks: Vec<usize> = marks.collect();
    if marks.len() <= count || count < 2 {
        return marks.into_iter().map(|mark| step * mark as f64).collect();
    }
    let at = |index: usize| marks[index * (marks.len() - 1) / (count - 1)];
    (0..count).map(|index| step * at(index) as f64).collect()
}
