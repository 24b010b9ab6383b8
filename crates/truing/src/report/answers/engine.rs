//! Engine speeds, as `measure vehicle` and `choose` show them.

use crate::choose::EngineAtDial;
use crate::describe::file::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::measure::gearing::Gearing;
use crate::report::document::Document;
use crate::report::words::value::V;
use crate::report::words::value_and_uncertainty;
use crate::units::Units;
use metrology::quantity::{Frequency, Ratio, Speed};
use schemars::JsonSchema;
use serde::Serialize;

/// True speeds shown, in mph and in km/h.
const SHOWN: ([f64; 4], [f64; 4]) = ([30.0, 45.0, 55.0, 65.0], [50.0, 70.0, 90.0, 110.0]);

/// The engine in one gear.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct GearReport {
    /// Turns of the engine per turn of the output shaft.
    pub gear_ratio: f64,
    /// At each true speed.
    pub engine: Vec<EngineReport>,
}

/// The engine at one true speed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct EngineReport {
    /// The true speed.
    pub true_mph: f64,
    /// Engine speed with nothing slipping.
    pub rpm: V,
}

/// The engine in one gear when the dial shows a speed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct EngineAtDialReport {
    /// Turns of the engine per turn of the output shaft.
    pub gear_ratio: f64,
    /// What the dial shows.
    pub indicated_mph: f64,
    /// Engine speed with what is stored now.
    pub now_rpm: Option<f64>,
    /// Engine speed with the best setting.
    pub best_rpm: Option<f64>,
}

/// Every gear of the file; empty where the gears or the turns of the shaft are not known.
pub(crate) fn gears(vehicle: &Vehicle, estimate: &VehicleEstimate, units: Units) -> Vec<GearReport> {
    let Some(shaft_turns) = estimate.over_all.shaft_turns else { return Vec::new() };
    let ratios: Vec<Ratio> =
        vehicle.chain.gear_ratios.iter().map(|gear| Ratio::from_plain(to_f64(*gear))).collect();
    let speeds = units.by_road(SHOWN.0, SHOWN.1).map(|number| units.speed(number));
    let table = Gearing { shaft_turns }.table(&ratios, &speeds);
    let gears = table.iter().map(|in_gear| GearReport {
        gear_ratio: in_gear.gear.plain(),
        engine: in_gear
            .engine
            .iter()
            .map(|(speed, engine)| EngineReport {
                true_mph: speed.mi_per_h(),
                rpm: V::new(engine, Frequency::per_min),
            })
            .collect(),
    });
    gears.collect()
}

/// The table of it.
pub(crate) fn push_gears(gears: &[GearReport], units: Units, document: &mut Document) {
    let Some(first) = gears.first() else { return };
    let at = |at: &EngineReport| units.say_speed(Speed::from_mi_per_h(at.true_mph), 0);
    let speeds: Vec<String> = first.engine.iter().map(at).collect();
    let head: Vec<&str> = std::iter::once("gear").chain(speeds.iter().map(String::as_str)).collect();
    let row = |gear: &GearReport| {
        let rpm =
            gear.engine.iter().map(|at| value_and_uncertainty(at.rpm.value, at.rpm.standard_uncertainty));
        std::iter::once(format!("{:.2}", gear.gear_ratio)).chain(rpm).collect()
    };
    document.table(
        "Engine speed, rpm, at true speeds with nothing slipping",
        &head,
        gears.iter().map(row).collect(),
    );
}

/// What a choice says of the engine.
pub(crate) fn at_dial(engine: &[EngineAtDial]) -> Vec<EngineAtDialReport> {
    let row = |at: &EngineAtDial| EngineAtDialReport {
        gear_ratio: at.gear.plain(),
        indicated_mph: at.indicated.mi_per_h(),
        now_rpm: at.now.map(Frequency::per_min),
        best_rpm: at.best.map(Frequency::per_min),
    };
    engine.iter().map(row).collect()
}

/// The table of it.
pub(crate) fn push_at_dial(engine: &[EngineAtDialReport], units: Units, document: &mut Document) {
    let Some(first) = engine.first() else { return };
    let shown = units.say_speed(Speed::from_mi_per_h(first.indicated_mph), 0);
    let title = format!("Engine speed, rpm, when the dial shows {shown}");
    let cell = |rpm: Option<f64>| rpm.map_or("not known".to_string(), |rpm| format!("{rpm:.0}"));
    let row =
        |at: &EngineAtDialReport| vec![format!("{:.2}", at.gear_ratio), cell(at.now_rpm), cell(at.best_rpm)];
    document.table(&title, &["gear", "now", "with the best setting"], engine.iter().map(row).collect());
}
