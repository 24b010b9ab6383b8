//! By how much it reads off at each speed, now and with the best setting.

use crate::choose::{Choice, Scored};
use crate::describe::vehicle::Vehicle;
use crate::report::words::signed;
use crate::units::Units;
use metrology::quantity::Speed;
use schemars::JsonSchema;
use serde::Serialize;

/// Speeds (mph) at which errors are shown where the file names none.
const SHOWN_MPH: (f64, f64) = (25.0, 70.0);
/// From one speed shown to the next, in mph and in km/h.
const SHOWN_STEP: (f64, f64) = (15.0, 20.0);
/// What the first of them is a multiple of.
const SHOWN_GRAIN: (f64, f64) = (5.0, 10.0);

/// Error at one true speed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ErrorReport {
    /// True speed.
    pub true_mph: f64,
    /// Error with what is stored now.
    pub now_mph: Option<f64>,
    /// Error with the best setting.
    pub best_mph: Option<f64>,
}

impl ErrorReport {
    /// True speed, error now and error with the best setting in the owner's units.
    pub(crate) fn in_units(&self, units: Units) -> [Option<f64>; 3] {
        let number = |mph: f64| units.of_speed(Speed::from_mi_per_h(mph));
        [Some(self.true_mph), self.now_mph, self.best_mph].map(|mph| mph.map(number))
    }
}

/// A row for each speed: true, error now, error with the best setting.
pub(super) fn rows(errors: &[ErrorReport], units: Units) -> Vec<Vec<String>> {
    let word = units.speed_word();
    let cell = |error: Option<f64>| {
        error.map_or("not known".to_string(), |error| format!("{} {word}", signed(error, 1)))
    };
    let row = |e: &ErrorReport| {
        let [at, now, best] = e.in_units(units);
        vec![format!("{:.0} {word}", at.unwrap_or_default()), cell(now), cell(best)]
    };
    errors.iter().map(row).collect()
}

/// At round speeds of the owner's, from about the least usual one to about the greatest.
pub(super) fn errors(vehicle: &Vehicle, choice: &Choice, units: Units) -> Vec<ErrorReport> {
    let usual = || (Speed::from_mi_per_h(SHOWN_MPH.0), Speed::from_mi_per_h(SHOWN_MPH.1));
    let (low, high) = vehicle.usage.speeds.unwrap_or_else(usual);
    let step = units.by_road(SHOWN_STEP.0, SHOWN_STEP.1);
    let grain = units.by_road(SHOWN_GRAIN.0, SHOWN_GRAIN.1);
    let first = ((units.of_speed(low) / grain).round() * grain).max(grain);
    let rows = ((units.of_speed(high) - first) / step).round().max(1.0) as usize;
    let error = |option: &Option<Scored>, mph: f64| {
        option.as_ref().map(|option| mph * (option.expected_ratio.value.plain() - 1.0))
    };
    let row = |k: usize| {
        let true_mph = units.speed(first + step * k as f64).mi_per_h();
        let [now_mph, best_mph] = [&choice.present, &choice.best].map(|option| error(option, true_mph));
        ErrorReport { true_mph, now_mph, best_mph }
    };
    (0..=rows).map(row).collect()
}
