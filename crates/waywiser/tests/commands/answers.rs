//! What the commands answer.

use super::{answer, folder, read, sample, value, waywiser, write};
use std::path::Path;

/// The truth of the sample truck (see `truing/tests/demo_files.rs`): 615.5 revolutions per mile x 46/11 of the axle x 22 counts,
/// over 1479 units of 40.
const SAMPLE_RATIO: f64 = 615.5 * 46.0 / 11.0 * 22.0 / (40.0 * 1479.0);

/// A truck of the stepped constant with a drive given as a measured pair of distances.
fn truck(present: &str, more: &str) -> String {
    format!(
        r#"name = "The tested half-ton"
[chain]
sensor_at = "axle-ring"
[adjuster]
kind = "stepped-constant"
min = "4.00"
max = "12.00"
step = "0.02"
buttons = ["up"]
wraps = true
present = "{present}"
writes_left = 4
{more}"#
    )
}

/// 95.85 mi on the odometer for 100 mi of road: R = 0.9585.
const OLD_DRIVE: &str = r#"
[[evidence]]
kind = "odometer-distance"
indicated = "95.85 mi"
true = "100.00 mi +/- 0.05"
setting = "8.20"
"#;

#[test]
fn a_tire() {
    let folder = folder("tire");
    let tire = answer(&folder, &["describe", "tire", "lt265/75r16"]);
    assert_eq!((tire["size"].as_str(), tire["construction"].as_str()), (Some("LT265/75R16"), Some("radial")));
    // 25.4 x 16 + 2 x 265 x 0.75 = 803.9 mm
    assert!((value(&tire["diameter_mm"]) - 803.9).abs() < 1e-9);
    // 3.05 x 803.9 mm and a mile over it
    assert!((value(&tire["rolling_circumference_mm"]) - 2451.895).abs() < 1e-6);
    assert!((value(&tire["revs_per_mile"]) - 656.37).abs() < 0.01);
}

#[test]
fn the_sample_drive() {
    let folder = sample("drive");
    let drive =
        answer(&folder, &["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"]);
    let ratio = &drive["reading_ratio"];
    value(ratio);
    assert!(
        ratio["low_95"].as_f64().unwrap() < SAMPLE_RATIO && SAMPLE_RATIO < ratio["high_95"].as_f64().unwrap()
    );
    assert_eq!(drive["reads"], "channel");
    // The simulated clock lag is 4.2 s; 0.3 s is what is promised.
    assert!((value(&drive["clock_lag_s"]) - 4.2).abs() < 0.3);
    for key in ["ratio_by_distance", "offset_m_per_s", "distance_m"] {
        value(&drive[key]);
    }
    assert_eq!(drive["diagnosis"], "proportional");
    assert_eq!(drive["duration_s"].as_f64(), Some(1199.0));
    for key in ["read", "used", "rejected"] {
        assert!(drive["points"][key].as_u64().is_some(), "{key}");
    }
    assert!(drive["holds"].as_array().unwrap().is_empty() && drive["problems"].is_array());
}

#[test]
fn odometer_readings_and_a_track_alone() {
    let folder = sample("odometer");
    let length_mi = {
        let alone = answer(&folder, &["measure", "drive", "--track", "drive.gpx"]);
        assert!(alone["reading_ratio"].is_null() && alone["clock_lag_s"].is_null());
        value(&alone["distance_m"]) / 1609.344
    };
    let end = format!("{:.1} mi", 1000.0 + 0.95 * length_mi);
    let drive = answer(
        &folder,
        &[
            "measure",
            "drive",
            "--track",
            "drive.gpx",
            "--odometer-start",
            "1000.0 mi",
            "--odometer-end",
            &end,
        ],
    );
    assert_eq!(drive["reads"], "distance");
    // A tenth of a mile on twelve: within 0.05 / 12.
    assert!((value(&drive["reading_ratio"]) - 0.95).abs() < 0.05 / length_mi + 1e-6, "{drive}");
}

#[test]
fn nothing_of_a_drive_tells_where_it_was() {
    let folder = sample("privacy");
    let track = read(&folder, "drive.gpx");
    let latitude = track.split("lat=\"").nth(1).unwrap().split('"').next().unwrap();
    let whole = &latitude[..7];
    let json = waywiser(
        &folder,
        &["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv", "--json"],
    );
    let sheet = waywiser(&folder, &["sheet", "truck.toml", "--out", "sheet.html"]);
    assert_eq!((json.code, sheet.code), (0, 0));
    for text in [json.out, json.err, sheet.out, sheet.err, read(&folder, "sheet.html")] {
        assert!(!text.contains(whole), "{whole} in {text}");
    }
}

#[test]
fn all_evidence_fused() {
    let folder = sample("fused");
    let vehicle = answer(&folder, &["measure", "vehicle", "truck.toml"]);
    let ratio = value(&vehicle["distance_ratio"]);
    assert!((ratio / SAMPLE_RATIO - 1.0).abs() < 0.004, "{ratio}");
    for key in ["revs_per_mile", "counts_per_mile", "needle_ratio"] {
        value(&vehicle[key]);
        value(&vehicle["given_top_hypothesis"][key]);
    }
    let weights: f64 =
        vehicle["evidence"].as_array().unwrap().iter().map(|p| p["weight"].as_f64().unwrap()).sum();
    assert!((weights - 1.0).abs() < 1e-9, "{weights}");
    assert_eq!(vehicle["hypotheses"][0]["probability"].as_f64(), Some(1.0));
    assert!(
        vehicle["birge_ratio"].as_f64().is_some() && vehicle["unknowable"].as_array().unwrap().is_empty()
    );
}

#[test]
fn the_sample_truck_is_to_be_written() {
    let folder = sample("choose");
    let choice = answer(&folder, &["choose", "truck.toml"]);
    assert_eq!((choice["advice"].as_str(), choice["best"]["label"].as_str()), (Some("write"), Some("1416")));
    assert!((value(&choice["best"]["expected_ratio"]) - 1.0).abs() < 0.003);
    assert!(
        choice["options"].as_array().unwrap().len() >= 5 && !choice["why"].as_array().unwrap().is_empty()
    );
    let steps = answer(&folder, &["set", "truck.toml"]);
    assert_eq!(
        (steps["presses"][0]["button"].as_str(), steps["presses"][0]["count"].as_u64()),
        (Some("down"), Some(21))
    );
    assert_eq!((steps["total_presses"].as_u64(), steps["wraps"].as_u64()), (Some(21), Some(0)));
    assert_eq!(steps["irreversible_steps"].as_array().unwrap().len(), 1);
    let reserved = answer(&folder, &["choose", "truck.toml", "--reserve", "5"]);
    assert_eq!(reserved["advice"], "leave");
}

#[test]
fn after_the_write_the_old_drive_asks_for_no_second_one() {
    let folder = folder("written");
    let written = "[[written]]\ndate = 2026-05-09\nfrom = \"8.20\"\nto = \"7.86\"\n";
    // As it was: 0.9585 x 8.20 = 7.860.
    write(&folder, "before.toml", &truck("8.20", OLD_DRIVE));
    let before = answer(&folder, &["choose", "before.toml"]);
    assert_eq!((before["advice"].as_str(), before["best"]["label"].as_str()), (Some("write"), Some("7.86")));
    // With the write recorded and the file brought up to date, and with `present` forgotten.
    write(&folder, "after.toml", &truck("7.86", &format!("{OLD_DRIVE}{written}")));
    write(&folder, "forgotten.toml", &truck("8.20", &format!("{OLD_DRIVE}{written}")));
    for file in ["after.toml", "forgotten.toml"] {
        let after = answer(&folder, &["choose", file]);
        assert_eq!(after["advice"], "leave", "{file}: {}", after["why"]);
        let vehicle = answer(&folder, &["measure", "vehicle", file]);
        // 0.9585 x 8.20 / 7.86 = 0.99996
        assert!((value(&vehicle["distance_ratio"]) - 0.99996).abs() < 1e-4, "{file}");
        assert!(vehicle["revs_per_mile"].is_null() && !vehicle["unknowable"].as_array().unwrap().is_empty());
    }
}

#[test]
fn what_the_tire_size_alone_says_is_measured_first() {
    let folder = folder("size-alone");
    let text = truck("8.20", "counts_per_mile_per_unit = 5000\n")
        .replace("sensor_at = \"axle-ring\"", "sensor_at = \"axle-ring\"\nring_teeth = 60");
    write(&folder, "truck.toml", &format!("{text}[tire]\nsize = \"LT265/75R16\"\n"));
    let choice = answer(&folder, &["choose", "truck.toml"]);
    assert_eq!(choice["advice"], "measure-first", "{}", choice["why"]);
    assert!(choice["measure"]["minutes"].as_f64().unwrap() > 0.0);
}

#[test]
fn nothing_known_is_an_answer() {
    let folder = folder("nothing");
    write(&folder, "truck.toml", &truck("8.20", ""));
    let choice = answer(&folder, &["choose", "truck.toml"]);
    assert_eq!((choice["advice"].as_str(), choice["best"].is_null()), (Some("measure-first"), true));
    let vehicle = answer(&folder, &["measure", "vehicle", "truck.toml"]);
    assert!(vehicle["distance_ratio"].is_null());
    let why = vehicle["unknowable"].to_string();
    assert!(why.contains("add one of"), "{why}");
}

#[test]
fn nothing_to_do_has_no_steps() {
    let folder = folder("nothing-to-do");
    write(
        &folder,
        "true.toml",
        &truck("7.86", &OLD_DRIVE.replace("8.20", "7.86").replace("95.85", "100.00")),
    );
    write(&folder, "unknown.toml", &truck("8.20", ""));
    for (file, more, cause, stored, flag) in [
        ("true.toml", &[][..], "leave", Some("7.86"), true),
        ("true.toml", &["--to", "7.86"], "stored-already", Some("7.86"), false),
        ("unknown.toml", &[], "measure-first", None, true),
    ] {
        let words = [&["set", file], more].concat();
        let set = answer(&folder, &words);
        let nothing = &set["nothing_to_do"];
        assert_eq!((nothing["cause"].as_str(), nothing["stored"].as_str()), (Some(cause), stored), "{set}");
        for empty in ["steps", "presses", "runs", "changes", "irreversible_steps"] {
            assert_eq!(set[empty], serde_json::json!([]), "{empty}");
        }
        let said = waywiser(&folder, &words).out;
        assert!(said.contains("NOTHING TO DO") && said.contains("--to VALUE") == flag, "{said}");
    }
    let steps = answer(&folder, &["set", "true.toml", "--to", "7.84"]);
    assert!(steps["nothing_to_do"].is_null() && steps["total_presses"].as_u64() > Some(0), "{steps}");
}

#[test]
fn open_faults_hold_a_drive_back_but_not_the_reading_of_one() {
    let folder = sample("faults");
    let fault = "\n[[fault]]\ntouches = \"brakes\"\nnote = \"pedal soft\"\n";
    write(&folder, "faulty.toml", &format!("{}{fault}", read(&folder, "truck.toml")));
    for command in [["measure", "vehicle"].as_slice(), &["choose"], &["set"], &["describe", "vehicle"]] {
        let mut arguments = command.to_vec();
        arguments.push("faulty.toml");
        let said = answer(&folder, &arguments);
        assert_eq!(said["held_back_by"][0], "brakes (pedal soft)", "{command:?}");
    }
    assert_eq!(answer(&folder, &["choose", "faulty.toml"])["advice"], "write");
    // Where a measurement is wanted, the drive is named as held back and nothing else is advised but what is safe.
    write(&folder, "bare.toml", &truck("8.20", fault));
    let choice = answer(&folder, &["choose", "bare.toml"]);
    assert_eq!((choice["advice"].as_str(), choice["measure"].is_null()), (Some("measure-first"), true));
    assert!(choice["why"].to_string().contains("pedal soft"));
    write(&folder, "mended.toml", &truck("8.20", &fault.replace("note =", "mended = true\nnote =")));
    assert!(answer(&folder, &["choose", "mended.toml"])["held_back_by"].as_array().unwrap().is_empty());
}

#[test]
fn presses_on_a_grid_that_only_counts_down() {
    let folder = folder("presses");
    let text = |present: &str| {
        truck(present, "")
            .replace("min = \"4.00\"", "min = \"3.00\"")
            .replace("max = \"12.00\"", "max = \"9.00\"")
            .replace("0.02", "0.01")
            .replace("\"up\"", "\"down\"")
    };
    // 601 values: 7.10 to 7.14 is 4 up, or 601 - 4 down.
    for (present, presses, wraps) in [("7.10", 597, 1), ("7.18", 4, 0)] {
        write(&folder, "truck.toml", &text(present));
        let steps = answer(&folder, &["set", "truck.toml", "--to", "7.14"]);
        assert_eq!((steps["total_presses"].as_u64(), steps["wraps"].as_u64()), (Some(presses), Some(wraps)));
        assert_eq!(steps["presses"][0]["button"], "down");
    }
}

#[test]
fn a_proof_by_both_rules() {
    let folder = sample("prove");
    let prove = |file: &str, rule: &str, more: &[&str]| {
        let mut arguments =
            vec!["prove", file, "--track", "after.gpx", "--vehicle-log", "after-log.csv", "--rule", rule];
        arguments.extend(more);
        answer(&folder, &arguments)
    };
    let proof = prove("truck.toml", "us-393.82", &[]);
    assert_eq!((proof["verdict"].as_str(), proof["rule"].as_str()), (Some("conforms"), Some("us-393.82")));
    assert!(proof["probability"].as_f64().unwrap() > 0.95 && proof["more_distance_m"].is_null());
    // True to 0.1 %, an analog needle reads low half of the time: UN R39 cannot be said to be kept.
    assert_eq!(prove("truck.toml", "un-r39", &[])["verdict"], "undecided");
    // The drive before the write read 4 % slow: a dial of digits breaks R39 for certain.
    let digital = format!("{}\n[head]\nneedle = \"digital\"\n", read(&folder, "truck.toml"));
    write(&folder, "digital.toml", &digital);
    let before = answer(
        &folder,
        &[
            "prove",
            "digital.toml",
            "--track",
            "drive.gpx",
            "--vehicle-log",
            "drive-log.csv",
            "--rule",
            "un-r39",
        ],
    );
    assert_eq!(before["verdict"], "does-not-conform", "{before}");
}

#[test]
fn the_sheet_stands_alone() {
    let folder = sample("sheet");
    let said = waywiser(&folder, &["sheet", "truck.toml", "--out", "sheet.html"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let sheet = read(&folder, "sheet.html");
    for wanted in ["The green hauler", "1416", "CANNOT BE UNDONE", "<svg", "CAUTION"] {
        assert!(sheet.to_uppercase().contains(&wanted.to_uppercase()), "{wanted}");
    }
    for unwanted in ["<script", "src=\"http", "href=\"http", "url("] {
        assert!(!sheet.contains(unwanted), "{unwanted}");
    }
}

#[test]
fn the_demo_touches_its_own_folder_only() {
    let folder = folder("demo");
    let demo = answer(&folder, &["demo", "--out", "here"]);
    for stage in ["describe", "measure", "choose", "set", "prove", "record"] {
        assert!(demo[stage].is_object(), "{stage}");
    }
    assert_eq!(
        (demo["choose"]["advice"].as_str(), demo["prove"]["verdict"].as_str()),
        (Some("write"), Some("conforms"))
    );
    let names = |path: &Path| -> Vec<String> {
        let mut names: Vec<String> =
            std::fs::read_dir(path).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&folder), ["here"]);
    let made = names(&folder.join("here"));
    for paper in ["sheet.html", "sheet.pdf", "speed-card.pdf", "history.pdf", "door-frame.pdf"] {
        assert!(made.contains(&paper.to_string()), "{paper} is not in {made:?}");
    }
    // The truck, three readings less one that stands in the write, estimate, choice, write and proof.
    assert_eq!(read(&folder, "here/record.jsonl").lines().count(), 7);
}

#[test]
fn called_out_speeds_that_fit_two_ways_are_warned_of() {
    // Nobody held 30, 45 and 60 mph on the sample drive: several stretches fit, and that is said.
    let folder = sample("holds");
    let drive = answer(&folder, &["measure", "drive", "--track", "drive.gpx", "--holds", "30,45,60mph"]);
    assert_eq!((drive["reads"].as_str(), drive["holds"].as_array().unwrap().len()), (Some("needle"), 3));
    assert!(drive["problems"].to_string().contains("fits about as well"), "{}", drive["problems"]);
    value(&drive["reading_ratio"]);
    assert!(drive["clock_lag_s"].is_null());
}

#[test]
fn steps_are_planned_again_from_what_the_display_shows() {
    let folder = folder("shows");
    write(&folder, "truck.toml", &truck("8.20", ""));
    let presses = |arguments: &[&str]| {
        let steps = answer(&folder, &[&["set", "truck.toml", "--to", "7.86"], arguments].concat());
        (steps["total_presses"].as_u64().unwrap(), steps["steps"].to_string())
    };
    // 401 values, up only: 384 presses from 8.20, 3 from 7.80.
    assert_eq!(presses(&[]).0, 384);
    assert_eq!(presses(&["--shows", "7.80"]).0, 3);
    let held = presses(&["--repeat", "5"]);
    assert!(held.0 == 384 && held.1.contains("Hold the button that counts up about "), "{held:?}");
    let said = waywiser(&folder, &["set", "truck.toml", "--to", "7.86", "--adjuster", "the other one"]);
    assert!(said.code == 1 && said.err.contains("stepped-constant"), "{}", said.err);
}

#[test]
fn measurements_and_the_miles_to_come_are_laid_out() {
    let folder = folder("ahead");
    let plan = "[[plan]]\ntires = \"winter\"\nmiles = 4000\n[[plan]]\ntires = \"summer\"\nmiles = 5000\n";
    let tires = "[[tire]]\nname = \"summer\"\npublished_revs_per_mile = 650\nmounted = true\n[[tire]]\nname = \"winter\"\npublished_revs_per_mile = 680\n";
    let drive = OLD_DRIVE.replace("setting", "tires = \"summer\"\nsetting");
    write(&folder, "truck.toml", &truck("8.20", &format!("{tires}{drive}{plan}")));
    let choice = answer(&folder, &["choose", "truck.toml"]);
    let outlook = &choice["outlook"];
    assert_eq!(outlook["held"].as_array().map(Vec::len), Some(2), "{outlook}");
    assert!(outlook["rms"].as_f64().unwrap() <= outlook["compromise_rms"].as_f64().unwrap());
    assert_eq!(outlook["rms_by_writes"].as_array().map(Vec::len), Some(3));
    let measurements = choice["measurements"].as_array().unwrap();
    assert!(measurements.len() >= 5, "{measurements:?}");
    for one in measurements {
        let share = one["changes_decision"].as_f64().unwrap();
        assert!(one["minutes"].as_f64().unwrap() > 0.0 && (0.0..=1.0).contains(&share), "{one}");
    }
}
