//! What the engine does when the dial shows a speed, before and after a setting.
//!
//! A setting changes no gear: the truck is driven by the dial, and the dial changes. At an indicated speed `v` the truck does
//! `v / R`, and the engine turns `shaft turns per length x gear x v / R`. Other tires change the turns and `R` alike.

use super::{Choice, Scored};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::file::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::measure::gearing::Gearing;
use metrology::quantity::{Frequency, Ratio, Speed};

/// Speeds shown (mph) where the file names no usual ones.
const USUAL_MPH: (f64, f64) = (25.0, 70.0);

/// The engine in one gear at one indicated speed.
#[derive(Clone, Debug, PartialEq)]
pub struct EngineAtDial {
    /// Turns of the engine per turn of the output shaft.
    pub gear: Ratio,
    /// What the dial shows.
    pub indicated: Speed,
    /// Engine speed with what is stored now.
    pub now: Option<Frequency>,
    /// Engine speed with the best setting.
    pub best: Option<Frequency>,
}

/// Every gear of the file at the greatest usual speed; empty where the gears or the turns of the shaft are not known.
pub(super) fn at_dial(vehicle: &Vehicle, estimate: &VehicleEstimate, choice: &Choice) -> Vec<EngineAtDial> {
    let Some(shaft_turns) = estimate.over_all.shaft_turns else { return Vec::new() };
    let gearing = Gearing { shaft_turns };
    let (_, indicated) = vehicle
        .usage
        .speeds
        .unwrap_or((Speed::from_mi_per_h(USUAL_MPH.0), Speed::from_mi_per_h(USUAL_MPH.1)));
    let speed = |option: &Option<Scored>, gear: Ratio| {
        let option = option.as_ref()?;
        let ratio = option.expected_ratio.value.plain();
        let turns = turns_changed(vehicle, choice.present.as_ref(), option)?;
        let true_speed = Speed::from_m_per_s(indicated.m_per_s() / ratio);
        Some(Frequency::from_hz(gearing.engine_speed(true_speed, gear).value.hz() * turns))
    };
    let gears = vehicle.chain.gear_ratios.iter().map(|gear| Ratio::from_plain(to_f64(*gear)));
    gears
        .map(|gear| EngineAtDial {
            gear,
            indicated,
            now: speed(&choice.present, gear),
            best: speed(&choice.best, gear),
        })
        .collect()
}

/// By how much a setting changes the turns of the shaft on the road. None where tires change together with something else:
/// the ratio does not tell their part.
fn turns_changed(vehicle: &Vehicle, present: Option<&Scored>, option: &Scored) -> Option<f64> {
    let is_tires = |place: usize| {
        vehicle.adjusters.get(place).is_some_and(|adjuster| matches!(adjuster.kind, AdjusterKind::Tires(_)))
    };
    match (option.is_present, option.settings.as_slice()) {
        (true, _) => Some(1.0),
        (false, settings) if !settings.iter().any(|(place, _)| is_tires(*place)) => Some(1.0),
        (false, [_]) => Some(option.expected_ratio.value.plain() / present?.expected_ratio.value.plain()),
        _ => None,
    }
}
