//! Plans over the miles to come, held against plain search.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use truing::choose::{Advice, Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::problem::{Problems, any_error};
use truing::report::words::reasons::sentence;
use truing::units::Units;

fn try_choosing(text: &str) -> Result<Choice, Problems> {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    let Some(vehicle) = vehicle.filter(|_| !any_error(&problems)) else { return Err(problems.into()) };
    let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
    choose("truck.toml", &vehicle, &estimate, None, None).map_err(Problems::from)
}

/// The reasons in their sentences, of which none names a piece of a vehicle.
fn said(choice: &Choice) -> Vec<String> {
    let (vehicle, _) = Vehicle::read("truck.toml", "");
    let vehicle = vehicle.unwrap();
    choice.why.iter().map(|reason| sentence(&vehicle, reason, Units::Us)).collect()
}

/// Summer tires of 650 revs per mile (measured, so that nothing else pulls at them) and winter tires of a data sheet; a constant from 5 to 11 by 0.1.
fn truck(winter: f64, present: &str, writes_left: u32, plan: &str) -> String {
    // 650 x 100 / 8000 would be true; a distance on the road shows that the ring is the one believed.
    let shown = 100.0 * 8.125 / present.parse::<f64>().unwrap();
    format!(
        r#"[[tire]]
name = "summer"
mounted = true
[[tire]]
name = "winter"
published_revs_per_mile = {winter}
[chain]
sensor_at = "axle-ring"
ring_teeth = 100
[adjuster]
kind = "stepped-constant"
counts_per_mile_per_unit = 8000
min = "5.0"
max = "11.0"
step = "0.1"
buttons = ["up", "down"]
present = "{present}"
writes_left = {writes_left}
[[evidence]]
kind = "earlier"
tires = "summer"
revs_per_mile = 650
standard_uncertainty = 0.1
[[evidence]]
kind = "odometer-distance"
tires = "summer"
indicated = "{shown:.9} mi"
true = "100 mi +/- 0.5"
resolution = "0.001 mi"
setting = "{present}"
{plan}"#
    )
}

fn stretches(all: &[(&str, f64)]) -> String {
    all.iter().map(|(tires, miles)| format!("[[plan]]\ntires = \"{tires}\"\nmiles = {miles}\n")).collect()
}

/// Least mean square over every sequence of grid values with at most so many changes.
fn by_trying_all(exact: &[(f64, f64)], present: f64, changes: usize) -> f64 {
    let grid: Vec<f64> = (50..=110).map(|tenths| f64::from(tenths) / 10.0).collect();
    fn least(exact: &[(f64, f64)], grid: &[f64], held: f64, changes: usize) -> f64 {
        let Some(((value, miles), rest)) = exact.split_first() else { return 0.0 };
        let loss = |constant: f64| miles * (value / constant).ln().powi(2);
        let stay = loss(held) + least(rest, grid, held, changes);
        let change = |constant: &f64| loss(*constant) + least(rest, grid, *constant, changes - 1);
        match changes {
            0 => stay,
            _ => grid.iter().map(change).fold(stay, f64::min),
        }
    }
    let miles: f64 = exact.iter().map(|(_, miles)| miles).sum();
    (least(exact, &grid, present, changes) / miles).sqrt()
}

#[test]
fn plans_agree_with_trying_all() {
    // 650 x 100 / 8000 = 8.125 and 680 x 100 / 8000 = 8.5 would be exact.
    let way = [("summer", 7000.0), ("winter", 3000.0), ("summer", 7000.0), ("winter", 3000.0)];
    let exact = [(8.125, 7000.0), (8.5, 3000.0), (8.125, 7000.0), (8.5, 3000.0)];
    for (present, writes) in [("8.1", 0), ("8.1", 1), ("7.5", 1), ("7.5", 2), ("7.5", 3), ("8.5", 2)] {
        let choice = try_choosing(&truck(680.0, present, writes, &stretches(&way))).unwrap();
        let outlook = choice.outlook.unwrap();
        let expected = by_trying_all(&exact, present.parse().unwrap(), writes as usize);
        assert!((outlook.rms.plain() - expected).abs() < 1e-9, "{present} {writes}: {outlook:?} {expected}");
        assert!(outlook.writes <= writes as usize);
    }
}

#[test]
fn one_write_goes_to_the_compromise() {
    // Weighted ln mean of 8.125 (half) and 8.5 (half): 8.3104; the grid has 8.3.
    let way = stretches(&[("summer", 5000.0), ("winter", 5000.0)]);
    let choice = try_choosing(&truck(680.0, "7.5", 1, &way)).unwrap();
    assert_eq!((choice.advice, choice.best.as_ref().unwrap().label.as_str()), (Advice::Write, "8.3"));
    assert_eq!(choice.outlook.unwrap().compromise.0, "8.3");
    // With two writes each set has its own.
    let choice = try_choosing(&truck(680.0, "7.5", 2, &way)).unwrap();
    assert_eq!(choice.best.unwrap().label, "8.1");
    assert_eq!(
        choice.outlook.unwrap().held.iter().map(|held| held.label.as_str()).collect::<Vec<_>>(),
        ["8.1", "8.5"]
    );
}

#[test]
fn the_last_write_waits_for_the_next_tires() {
    // 8.3 reads 2.1 % slow on the tires of today, which go in 300 miles; the next ones run 20 000 miles.
    let way = stretches(&[("summer", 300.0), ("winter", 20000.0)]);
    let choice = try_choosing(&truck(680.0, "8.3", 1, &way)).unwrap();
    assert_eq!(choice.advice, Advice::Leave, "{:?}", choice.why);
    let outlook = choice.outlook.as_ref().unwrap();
    assert!(outlook.first.is_none() && outlook.writes == 1 && outlook.waiting.unwrap() == outlook.rms);
    assert!(said(&choice).iter().any(|why| why.contains("better kept")));
}

#[test]
fn wear_and_another_axle_are_reckoned_with() {
    let sized = |plan: &str| {
        truck(680.0, "7.5", 3, plan).replace(
            "name = \"summer\"\n",
            "name = \"summer\"\nsize = \"235/75R15\"\ntread_depth_new = \"12 mm\"\ntread_depth = \"10 mm\"\n",
        )
    };
    let worn = "[[plan]]\ntires = \"summer\"\nmiles = 20000\ntread_at_end = \"2 mm\"\n";
    let outlook = try_choosing(&sized(worn)).unwrap().outlook.unwrap();
    // 8 mm lost of a radius of 366.75 mm, 0.6 of it seen: 1.3 % more turns at the end. Over the four parts the mean is half.
    let of = |part: usize| outlook.held.iter().map(|held| held.expected_ratio.plain()).nth(part);
    let (first, last) = (of(0).unwrap(), outlook.held.last().unwrap().expected_ratio.plain());
    let shift = (8.5_f64 / 8.0).ln();
    assert!((first - last).abs() < shift, "{outlook:?}");
    let single: f64 = (1.0 + 0.6 * 4.0 / 366.75_f64) * 8.125;
    assert!(
        (single - outlook.compromise.0.parse::<f64>().unwrap()).abs() <= 0.05 + 0.01,
        "{single} {outlook:?}"
    );
    // A shaft sensor: from 3.55 to 4.10 the constant rises by 15 %.
    let axle = truck(680.0, "7.5", 3, "[[plan]]\ntires = \"summer\"\nmiles = 10\n[[plan]]\ntires = \"summer\"\nmiles = 10\naxle_ratio = \"4.10\"\n")
        .replace("axle-ring\"\nring_teeth = 100", "transmission-output\"\nring_teeth = 28\naxle_ratio = \"3.55\"");
    let outlook = try_choosing(&axle).unwrap().outlook.unwrap();
    let constants: Vec<f64> = outlook.held.iter().map(|held| held.label.parse().unwrap()).collect();
    // 650 x 28 x 3.55 / 8000 = 8.076 and x 4.10 = 9.3275
    assert_eq!(constants, [8.1, 9.3], "{outlook:?}");
}

#[test]
fn says_what_is_missing() {
    let problem = |plan: &str| try_choosing(&truck(680.0, "7.5", 1, plan)).unwrap_err().remove(0);
    let unknown = problem("[[plan]]\ntires = \"the spare ones\"\nmiles = 10\n");
    assert!(unknown.line.is_some(), "{unknown:?}");
    let no_depth = problem("[[plan]]\ntires = \"summer\"\nmiles = 10\ntread_at_end = \"2 mm\"\n");
    assert!(no_depth.hint.contains("tread_depth"), "{no_depth:?}");
    assert!(try_choosing(&truck(680.0, "7.5", 1, "[[plan]]\ntires = \"summer\"\nmiles = -3\n")).is_err());
    assert!(try_choosing(&truck(680.0, "7.5", 1, "")).unwrap().outlook.is_none());
}
