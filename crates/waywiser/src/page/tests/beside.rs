//! What belongs to no truck: many drives at once, a signal for the bench, what can be looked up.

use super::Visitor;
use super::visitor::Said;
use crate::work::sample::FILES;
use serde_json::Value;
use std::io::{Cursor, Write};

fn file(name: &str) -> &'static [u8] {
    FILES.iter().find(|(known, _)| *known == name).unwrap().1
}

/// Measures files, and waits for the table.
fn measured(visitor: &Visitor, files: &[(&str, &[u8])]) -> (String, Said) {
    let said = visitor.upload("/batch", &visitor.token(), files);
    let address = said.is(303).location().to_string();
    let page = visitor.get_patiently(&address);
    (address, page)
}

fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        writer.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// The reading ratio of the sample's drive, as the truck's own page has it.
fn expected_ratio(visitor: &Visitor) -> f64 {
    let text = std::str::from_utf8(file("truck.toml")).unwrap();
    let files = [("drive.gpx", file("drive.gpx")), ("drive-log.csv", file("drive-log.csv"))];
    let slug = visitor.app.garage.add("Beside", text, &files).unwrap();
    let known = visitor.app.garage.known(&slug).unwrap();
    known.estimate.drives[0].1.reading_ratio.unwrap().value.plain()
}

#[test]
fn many_drives_come_to_a_table_and_a_bad_file_stops_none() {
    let visitor = Visitor::new();
    visitor.get("/batch").is(200).has(&[
        "Measure them",
        "name=\"files\"",
        "webkitdirectory",
        "name=\"can_signal\"",
    ]);
    let archive = zipped(&[
        ("june/first.gpx", file("drive.gpx")),
        ("june/first-log.csv", file("drive-log.csv")),
        ("../evil.gpx", b"<gpx/>"),
    ]);
    let (address, page) = measured(
        &visitor,
        &[
            ("after.gpx", file("after.gpx")),
            ("after-log.csv", file("after-log.csv")),
            ("june.zip", &archive),
            ("lost-log.csv", b"time,speed_kmh\n1,2\n"),
            ("broken.gpx", b"\x1f\x8b\0\0not a track"),
            ("photo.jpg", b"\xff\xd8"),
        ],
    );
    page.is(200).has(&[
        "4 drives were found; 2 of them say",
        "june.zip/june/first.gpx",
        "could not be used",
        "a track of the same drive beside it",
        "photo.jpg: left out",
        "june.zip/june/first.gpx, indicated over true: <strong>0.9",
        "with a steady offset of the indication as a parameter",
        "Download the table (CSV)",
        "Back to the garage",
    ]);
    page.lacks(&["evil", &visitor.app.garage.folder().display().to_string(), ".looked-at-"]);
    // The table, its JSON and the truck's own page say the same of the same drive.
    let csv = visitor.get(&format!("{address}/table.csv"));
    assert_eq!(csv.is(200).body.lines().count(), 5, "{}", csv.body);
    assert!(csv.headers["content-disposition"].to_str().unwrap().contains("drives.csv"));
    let json: Value =
        serde_json::from_str(&visitor.get(&format!("{address}/table.json")).is(200).body).unwrap();
    let first = json["rows"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["track"] == "june.zip/june/first.gpx")
        .unwrap();
    let ratio = first["drive"]["reading_ratio"]["value"].as_f64().unwrap();
    // The truck is asked at its own usual speed, the table at that of the drive: what tires grow lies between.
    assert!((ratio - expected_ratio(&visitor)).abs() < 2e-3, "{ratio}");
    // Coordinates of the demo's road stand in its file and nowhere in the table.
    let gpx = std::str::from_utf8(file("drive.gpx")).unwrap();
    let latitude: String = gpx.split("lat=\"").nth(1).unwrap().chars().take(6).collect();
    csv.lacks(&[&latitude]);
    page.lacks(&[&latitude]);
    // What was looked at is gone.
    let left = crate::world::folders_in(visitor.app.garage.folder());
    assert!(left.iter().all(|name| name == "trucks"), "{left:?}");
}

#[test]
fn a_fault_in_one_drive_is_its_row_and_the_others_stay() {
    let visitor = Visitor::new();
    let broken = format!("{}.gpx", crate::world::BREAKS);
    let files = [
        ("drive.gpx", file("drive.gpx")),
        (broken.as_str(), file("after.gpx")),
        ("drive-log.csv", file("drive-log.csv")),
    ];
    let (address, page) = measured(&visitor, &files);
    page.is(200).has(&[
        "2 drives were found; 1 of them says",
        &format!("{broken}: expected a drive that can be worked out; found a fault of waywiser itself"),
        "drive.gpx, indicated over true: <strong>0.9",
    ]);
    page.lacks(&[".looked-at-"]);
    assert_eq!(visitor.get(&format!("{address}/table.csv")).is(200).body.lines().count(), 3);
}

#[test]
fn files_of_any_name_come_together() {
    let visitor = Visitor::new();
    let files = [
        ("morning.gpx", file("drive.gpx")),
        ("evening.gpx", file("after.gpx")),
        ("first.csv", file("after-log.csv")),
        ("second.csv", file("drive-log.csv")),
    ];
    let (address, _) = measured(&visitor, &files);
    let json: Value =
        serde_json::from_str(&visitor.get(&format!("{address}/table.json")).is(200).body).unwrap();
    let pairs: Vec<(&str, &str)> = json["rows"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| (row["track"].as_str().unwrap(), row["vehicle_log"].as_str().unwrap()))
        .collect();
    assert_eq!(pairs, [("evening.gpx", "first.csv"), ("morning.gpx", "second.csv")]);
}

#[test]
fn the_table_speaks_the_owners_units() {
    let visitor = Visitor::new();
    visitor.post("/settings", &[("units", "metric")]).is(303);
    let files = [("drive.gpx", file("drive.gpx")), ("drive-log.csv", file("drive-log.csv"))];
    let (_, page) = measured(&visitor, &files);
    page.has(&["kilometres", "km/h"]).lacks(&["miles", "mph"]);
}

#[test]
fn drives_from_elsewhere_or_none_are_refused() {
    let visitor = Visitor::new();
    visitor.upload("/batch", &visitor.token(), &[]).is(422).has(&["No file was chosen", "Choose files"]);
    visitor.upload("/batch", "wrong", &[("a.gpx", b"<gpx>")]).is(403);
    let left = crate::world::folders_in(visitor.app.garage.folder());
    assert!(left.is_empty(), "nothing of a foreign form is kept: {left:?}");
    visitor.get("/batch/none").is(404).has(&["no longer here", "href=\"/batch\""]);
    visitor.get("/batch/none/table.csv").is(404);
}

#[test]
fn a_folder_keeps_its_shape() {
    let visitor = Visitor::new();
    let (_, page) = measured(
        &visitor,
        &[
            ("trips/one/drive.gpx", file("drive.gpx")),
            ("trips/one/drive-log.csv", file("drive-log.csv")),
            ("trips/two/drive.gpx", file("after.gpx")),
            ("../../trips/two/drive-log.csv", file("after-log.csv")),
        ],
    );
    page.has(&["trips/one/drive.gpx", "trips/two/drive.gpx"]);
}

#[test]
fn a_signal_for_the_bench() {
    let visitor = Visitor::new();
    let empty = visitor.get("/bench");
    empty.is(200).has(&[
        "Never feed a signal into a vehicle that can move",
        "Make the signal",
        "name=\"counts\"",
    ]);
    empty.lacks(&["Download it as sound"]);
    let query =
        "counts=8000&per=mile&speeds=60+mph&lasting=2+s&shape=square&from=&to=&ring_teeth=&level=&rate=";
    let made = visitor.get(&format!("/bench?{query}"));
    // 8000 counts a mile at a mile a minute are 133.33 a second: 266 whole ones in two seconds, the last of which ends at 1.995 s.
    made.is(200).has(&[
        "266 pulses in 1.995 s",
        "133.33",
        "Never feed a signal",
        "/bench/signal.wav?",
        "value=\"8000\"",
    ]);
    let wav = visitor.get(&format!("/bench/signal.wav?{query}"));
    assert_eq!(wav.is(200).headers["content-type"], "audio/wav");
    assert!(wav.body.starts_with("RIFF"));
    let csv = visitor.get(&format!("/bench/signal.csv?{query}"));
    let rises = csv.is(200).body.lines().filter(|line| line.ends_with(",1")).count();
    assert_eq!(rises, 266);
    let sweep = visitor.get("/bench?counts=8000&from=5+mph&to=70+mph&lasting=10+s");
    sweep.is(200).has(&["<details open><summary><span>A sweep instead", "value=\"70 mph\""]);
    sweep.lacks(&["<details open><summary><span>A faulty tooth"]);
    let refused = |query: &str, says: &str| {
        visitor.get(&format!("/bench?{query}")).is(422).has(&[says, "Back to the form"]).lacks(&["--"]);
    };
    refused("counts=&speeds=60+mph&lasting=10+s", "counts per mile or per km");
    refused("counts=8000&speeds=&lasting=10+s", "a speed, or several, or a sweep");
    refused("counts=8000&speeds=60&lasting=10+s", "a speed with its unit");
    refused("counts=8000&speeds=60+mph&lasting=10+s&ring_teeth=96", "one that is missing or bent");
    visitor.get("/bench?counts=many&lasting=1+s").is(422).has(&["a number"]);
    // What would fill the memory is refused before it is made.
    let endless = "counts=1e12&speeds=60+mph&lasting=600+s";
    visitor.get(&format!("/bench/signal.csv?{endless}")).is(422).has(&["at most"]);
    visitor
        .get("/bench/signal.wav?counts=8000&speeds=60+mph&lasting=1+s&rate=4000000000")
        .is(422)
        .has(&["192000"]);
}

#[test]
fn what_can_be_looked_up() {
    let visitor = Visitor::new();
    visitor.get("/").has(&[
        "href=\"/batch\"",
        "href=\"/bench\"",
        "href=\"/record\"",
        "href=\"/tire\"",
        "href=\"/rules\"",
    ]);
    visitor.get("/tire").is(200).has(&["Look it up", "Back to the garage"]);
    visitor.get("/tire?size=LT265%2F75R16").is(200).has(&["Tire: LT265/75R16", "per mile"]);
    visitor.get("/tire?size=round").is(422).has(&["Another size"]);
    visitor.get("/rules").is(200).has(&["un-r39", "49 CFR 393.82"]);
}
