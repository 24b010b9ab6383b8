//! What a drive with marks needs, told before it is driven: how sure the dial is after so many holds and the odometer after so long
//! a way, and what holds the drive back. A small table, for a phone that has no network on the road.

use crate::describe::hold_back::{Activity, held_back};
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::DriveConditions;
use crate::measure::drive::planned::{BETWEEN_HOLDS_S, by_holds, by_odometer};
use crate::report::words::fault;
use crate::units::Units;
use metrology::measured::{Measured, coverage_factor_95};
use metrology::quantity::{Duration, Length, Ratio, Speed};
use serde::Serialize;

/// Holds of so many seconds.
const LASTING_S: [f64; 3] = [10.0, 20.0, 30.0];
/// Those that are advised, and how many of them where no number of them reaches the target.
const ADVISED_S: f64 = 20.0;
const ADVISED_HOLDS: usize = 6;
/// Most holds of a drive that are looked at.
const MOST_HOLDS: usize = 12;
/// Ways between two marks of the odometer that are looked at, in the owner's unit.
const WAYS: [f64; 8] = [0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0];
/// Steps of the last digit, in the owner's unit.
const LAST_DIGITS: [f64; 2] = [0.1, 1.0];

/// What a drive needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunNeeds {
    /// What speeds are in.
    pub speed_unit: &'static str,
    /// One of it.
    pub speed_unit_m_per_s: f64,
    /// What distances are in.
    pub road_unit: &'static str,
    /// One of it.
    pub road_unit_m: f64,
    /// Usual speeds of a dial, to be picked.
    pub speeds: Vec<f64>,
    /// Half of the 95 % interval that is enough: what is left then is no more than what makes a write worth it.
    pub target_percent: f64,
    /// Seconds from one hold to the next.
    pub between_holds_s: f64,
    /// How sure the dial is after so many holds.
    pub needle: Vec<AfterHolds>,
    /// The fewest that reach the target; where none do, what is advised.
    pub needle_goal: Option<AfterHolds>,
    /// How sure the odometer is after a way between two marks.
    pub odometer: Vec<AfterWay>,
    /// The shortest way that reaches the target, for each last digit; where none does, the longest.
    pub odometer_goals: Vec<AfterWay>,
    /// The open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Those that hold it back in the dark.
    pub held_back_in_the_dark_by: Vec<String>,
}

/// How sure the dial is after holds.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct AfterHolds {
    /// So many.
    pub holds: usize,
    /// Each as long.
    pub seconds: f64,
    /// Half of the 95 % interval of its ratio.
    pub half_width_percent: f64,
}

/// How sure the odometer is after a way.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct AfterWay {
    /// One step of its last digit.
    pub last_digit: f64,
    /// From one mark to the other.
    pub way: f64,
    /// Half of the 95 % interval of its ratio.
    pub half_width_percent: f64,
}

impl RunNeeds {
    /// What a drive of this truck needs, in the owner's units.
    pub fn new(vehicle: &Vehicle, units: Units) -> Self {
        let conditions = DriveConditions::to_come(vehicle);
        let target_percent =
            coverage_factor_95(f64::INFINITY) * vehicle.usage.thresholds.worth_a_write.percent();
        let needle = needle(&conditions, units);
        let odometer = odometer(&conditions, units);
        let holding_back = |activity| held_back(&vehicle.faults, activity).into_iter().map(fault).collect();
        Self {
            speed_unit: units.speed_word(),
            speed_unit_m_per_s: units.speed(1.0).m_per_s(),
            road_unit: units.road_word(),
            road_unit_m: road(units, 1.0).m(),
            speeds: usual_speeds(units),
            target_percent: rounded(target_percent),
            between_holds_s: BETWEEN_HOLDS_S,
            needle_goal: needle_goal(&needle, target_percent),
            odometer_goals: LAST_DIGITS
                .iter()
                .filter_map(|digit| way_goal(&odometer, *digit, target_percent))
                .collect(),
            needle,
            odometer,
            held_back_by: holding_back(Activity::Drive),
            held_back_in_the_dark_by: holding_back(Activity::DriveInTheDark),
        }
    }
}

/// As dials are marked.
fn usual_speeds(units: Units) -> Vec<f64> {
    let step = units.of_speed(units.speed_step());
    let (from, to) = units.by_road((5, 14), (3, 12));
    (from..=to).map(|number| (step * f64::from(number)).round()).collect()
}

/// From a low speed to one of an open road.
fn planned_speeds(units: Units) -> [Speed; 3] {
    units.by_road([30.0, 45.0, 60.0], [50.0, 70.0, 90.0]).map(|number| units.speed(number))
}

fn needle(conditions: &DriveConditions, units: Units) -> Vec<AfterHolds> {
    let speeds = planned_speeds(units);
    let after = |seconds: f64, holds: usize| {
        let told = by_holds(conditions, &speeds, holds, Duration::from_s(seconds))?;
        Some(AfterHolds { holds, seconds, half_width_percent: half_width_percent(&told) })
    };
    LASTING_S
        .into_iter()
        .flat_map(|seconds| (1..=MOST_HOLDS).filter_map(move |holds| after(seconds, holds)))
        .collect()
}

fn road(units: Units, number: f64) -> Length {
    units.by_road(Length::from_mi(number), Length::from_km(number))
}

fn odometer(conditions: &DriveConditions, units: Units) -> Vec<AfterWay> {
    let length = |number: f64| road(units, number);
    let speed = planned_speeds(units)[2];
    let after = |last_digit: f64, way: f64| {
        let told = by_odometer(conditions, length(way), length(last_digit), speed)?;
        Some(AfterWay { last_digit, way, half_width_percent: half_width_percent(&told) })
    };
    let fits = |digit: f64| WAYS.into_iter().filter(move |way| *way >= digit);
    LAST_DIGITS.into_iter().flat_map(|digit| fits(digit).filter_map(move |way| after(digit, way))).collect()
}

fn needle_goal(needle: &[AfterHolds], target_percent: f64) -> Option<AfterHolds> {
    let advised = || needle.iter().filter(|after| after.seconds == ADVISED_S);
    let reaches = advised().find(|after| after.half_width_percent <= target_percent);
    reaches.or_else(|| advised().find(|after| after.holds == ADVISED_HOLDS)).copied()
}

fn way_goal(odometer: &[AfterWay], last_digit: f64, target_percent: f64) -> Option<AfterWay> {
    let of_digit = || odometer.iter().filter(|after| after.last_digit == last_digit);
    let reaches = of_digit().find(|after| after.half_width_percent <= target_percent);
    reaches.or_else(|| of_digit().next_back()).copied()
}

fn half_width_percent(ratio: &Measured<Ratio>) -> f64 {
    rounded(50.0 * (ratio.high_95.plain() - ratio.low_95.plain()) / ratio.value.plain())
}

/// A plan is not surer than a hundredth of a percent.
fn rounded(percent: f64) -> f64 {
    (100.0 * percent).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "name = \"One\"\n[tire]\nsize = \"LT265/75R16\"\n[[fault]]\ntouches = \"brakes\"\nnote = \"pedal soft\"\n\
        [[fault]]\ntouches = \"lights\"\n[[fault]]\ntouches = \"exhaust\"\n";

    fn needs(units: Units) -> RunNeeds {
        RunNeeds::new(&Vehicle::read("truck.toml", TEXT).0.unwrap(), units)
    }

    #[test]
    fn faults_and_units_are_those_of_the_truck() {
        let needs = needs(Units::Us);
        assert_eq!(needs.held_back_by, ["brakes (pedal soft)"]);
        assert_eq!(needs.held_back_in_the_dark_by, ["lights"]);
        assert_eq!((needs.speed_unit, needs.road_unit), ("mph", "mi"));
        assert_eq!((needs.speeds.first(), needs.speeds.last()), (Some(&25.0), Some(&70.0)));
        let metric = self::needs(Units::Metric);
        assert_eq!((metric.speeds.first(), metric.speeds.last()), (Some(&30.0), Some(&120.0)));
    }

    #[test]
    fn what_is_enough_is_what_makes_a_write_worth_it() {
        let needs = needs(Units::Us);
        // 1.96 times half a percent.
        assert!((needs.target_percent - 0.98).abs() < 1e-9);
        let goal = needs.needle_goal.unwrap();
        let reaches = goal.half_width_percent <= needs.target_percent;
        assert!(reaches || (goal.holds, goal.seconds) == (6, 20.0), "{goal:?}");
        for goal in &needs.odometer_goals {
            let shorter = needs
                .odometer
                .iter()
                .filter(|after| after.last_digit == goal.last_digit && after.way < goal.way);
            assert!(goal.half_width_percent <= needs.target_percent || goal.way == 20.0, "{goal:?}");
            assert!(
                shorter.into_iter().all(|after| after.half_width_percent > needs.target_percent),
                "{goal:?}"
            );
        }
        assert_eq!(needs.needle.len(), LASTING_S.len() * MOST_HOLDS);
    }
}
