//! Every answer speaks the owner's units, and its numbers for scripts keep their own.

use super::{answer, folder, sample, waywiser, write};
use std::path::Path;

/// What is said in both units whoever reads it (a table may part it in two lines), what a module counts per mile, and what
/// was typed.
const IN_BOTH: [&str; 10] = [
    "odometer 128371.0 mi",
    "odometer 128406.3 mi",
    "odometer 128430.1 mi",
    "ten miles (16",
    "measured mile (1.6",
    "km) by",
    "km) of",
    "1 mph (1.6 km/h)",
    "70080 per mile, 43545.7 per km",
    "counts per mile",
];

const COMMANDS: [&[&str]; 8] = [
    &["describe", "tire", "LT285/75R16"],
    &["describe", "vehicle", "truck.toml"],
    &["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"],
    &["measure", "vehicle", "truck.toml"],
    &["choose", "planned.toml"],
    &["set", "truck.toml"],
    &["prove", "truck.toml", "--track", "after.gpx", "--vehicle-log", "after-log.csv", "--rule", "us-393.82"],
    &["demo", "--out", "made"],
];

/// A folder with the sample truck, and the same with tires planned.
fn trucks(name: &str) -> std::path::PathBuf {
    let folder = sample(name);
    let text = std::fs::read_to_string(folder.join("truck.toml")).unwrap();
    write(&folder, "planned.toml", &format!("{text}\n[[plan]]\ntires = \"LT285/75R16\"\nmiles = 9000\n"));
    folder
}

fn said(folder: &Path, command: &[&str], units: &str) -> String {
    let said = waywiser(folder, &[command, &["--units", units]].concat());
    assert_eq!(said.code, 0, "{command:?}: {}{}", said.out, said.err);
    said.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn check(text: &str, forbidden: &[&str], what: &str) {
    let text = IN_BOTH.iter().fold(text.to_string(), |text, part| text.replace(part, ""));
    for word in forbidden {
        assert!(!text.contains(word), "{what}: `{word}` in {text}");
    }
}

#[test]
fn no_answer_mixes_units() {
    let folder = trucks("owner");
    for command in COMMANDS {
        let us = said(&folder, command, "us");
        check(&us, &["km/h", " km", "mm"], "us");
        let metric = said(&folder, command, "metric");
        check(&metric, &["mph", " mi ", " mi.", " mi;", "mile", " in tall"], "metric");
        let mixed = said(&folder, command, "mixed");
        check(&mixed, &["km/h", " km", " in tall"], "mixed");
    }
}

#[test]
fn a_metric_answer_is_the_same_answer() {
    let folder = trucks("owner-same");
    // 50 mph are 80.47 km/h; the check is asked for at the round 80 km/h instead, and 8.32 reads it true to 0.1.
    let steps = said(&folder, &["set", "truck.toml"], "metric");
    assert!(
        steps.contains("at a true 80 km/h by GPS, 80.0 km/h is to be shown, between 79.8 and 80.2"),
        "{steps}"
    );
    // 639.94 ± 0.73 revolutions per mile / 1.609344 = 397.64 ± 0.45 (rounded after, 0.46); 66554 / 1.609344 = 41355.
    let known = said(&folder, &["measure", "vehicle", "truck.toml"], "metric");
    assert!(known.contains("revolutions per km 397.64 ± 0.46"), "{known}");
    assert!(known.contains("counts per km 41355 ± 47 counts per mile 66554 ± 76"), "{known}");
    // 11.5565 mi x 1.609344 = 18.598 km, 0.0065 mi = 0.010 km.
    let drive = said(&folder, COMMANDS[2], "metric");
    assert!(drive.contains("true length 18.598 ± 0.010 km"), "{drive}");
    // Errors stand at round speeds: 25 mph and 70 mph are 40.2 and 112.7 km/h.
    let choice = said(&folder, &["choose", "truck.toml"], "metric");
    for speed in ["40 km/h", "60 km/h", "80 km/h", "100 km/h", "120 km/h"] {
        assert!(choice.contains(speed), "{speed} in {choice}");
    }
}

#[test]
fn a_metric_record_has_kilometres_and_litres() {
    let garage = folder("owner-record");
    let add = |kind: &str, more: &[&str]| {
        let all = [&["record", "add", kind, "--vehicle", "Mine", "--garage", "."], more].concat();
        let said = waywiser(&garage, &all);
        assert_eq!(said.code, 0, "{all:?}: {}{}", said.out, said.err);
    };
    add("odometer", &["--odometer", "100000 km"]);
    add("estimate", &["--value", "0.950 +/- 0.001"]);
    add("service", &["--text", "engine oil", "--value", "8000 km", "--odometer", "100000 km"]);
    add("fuel", &["--value", "10 l", "--odometer", "100000 km"]);
    add("fuel", &["--value", "60 l", "--odometer", "100380 km"]);
    let of = |command: &str, units: &str| {
        said(&garage, &["record", command, "--vehicle", "Mine", "--garage", "."], units)
    };
    // 380 km shown are 400 km driven: 60 l over them is 15.0 l for 100 km, and 15.8 by the odometer.
    let metric = of("show", "metric");
    check(&metric, &[" mi", "mile", "gallon"], "metric");
    assert!(
        metric.contains("odometer 100380.0 km") && metric.contains("Fuel, litres per 100 km"),
        "{metric}"
    );
    assert!(metric.contains("5 15.8 15.000 ± "), "{metric}");
    assert!(metric.contains("engine oil: due later; 7600.0"), "{metric}");
    assert!(of("distance", "metric").contains("The odometer counted 380.0 km."));
    // 62 127.1 mi: a form asks for whole miles, rounded down as an odometer does.
    let papers = of("papers", "metric");
    assert!(papers.contains("without tenths: 100380 km (62373 mi)"), "{papers}");
    // An entry stays as it was typed; what is told from it is in the owner's units: 100380 / 1.609344.
    assert!(of("show", "us").contains("odometer 62373.2 mi."));
}

#[test]
fn numbers_for_scripts_keep_their_units() {
    let folder = trucks("owner-json");
    let command = ["measure", "vehicle", "truck.toml"];
    let us = answer(&folder, &command);
    let metric = answer(&folder, &[&command[..], &["--units", "metric"]].concat());
    assert_eq!(us["counts_per_mile"], metric["counts_per_mile"]);
    assert_eq!(us["revs_per_mile"], metric["revs_per_mile"]);
}
