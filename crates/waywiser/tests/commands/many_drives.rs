//! `batch`, packed files, sentences and frames on the command line.

use super::{answer, folder, read, sample, value, waywiser};
use std::path::{Path, PathBuf};

/// The JSON reader of the tests may miss the last digit of a number.
const LAST_DIGIT: f64 = 1e-14;

fn data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../truing/tests/data")
}

fn copy(folder: &Path, from: &str, to: &str) {
    std::fs::copy(data().join(from), folder.join(to)).unwrap();
}

/// The rows of a table by the name of the column.
fn rows(table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

#[test]
fn a_folder_of_drives() {
    let folder = sample("batch");
    std::fs::create_dir_all(folder.join("more")).unwrap();
    copy(&folder, "two-clocks-1-track.csv", "more/town-track.csv");
    copy(&folder, "two-clocks-1-vehicle.csv", "more/town-vehicle.csv");
    copy(&folder, "mixed-sentences.nmea", "more/alone.nmea");
    std::fs::write(folder.join("more/bad.csv"), b"\x1f\x8b\0\0not a log").unwrap();
    std::fs::write(folder.join("more/lost-log.csv"), "time,speed_kmh\n1,2\n").unwrap();
    let said = answer(&folder, &["batch", ".", "--out", "table.csv"]);
    let table = read(&folder, "table.csv");
    let rows = rows(&table);
    let row = |track: &str| {
        rows.iter().find(|row| row["track"].ends_with(track)).unwrap_or_else(|| panic!("{track}: {table}"))
    };
    assert_eq!(said["drives"].as_u64(), Some(rows.len() as u64));

    let one = answer(
        &folder.join("more"),
        &["measure", "drive", "--track", "town-track.csv", "--vehicle-log", "town-vehicle.csv"],
    );
    for (column, place) in [
        ("reading_ratio", "/reading_ratio/value"),
        ("reading_ratio_low_95", "/reading_ratio/low_95"),
        ("ratio_by_distance", "/ratio_by_distance/value"),
        ("clock_lag_s", "/clock_lag_s/value"),
        ("distance_m", "/distance_m/value"),
        ("points_used", "/points/used"),
    ] {
        let expected = one.pointer(place).and_then(serde_json::Value::as_f64).unwrap();
        let found: f64 = row("town-track.csv")[column].parse().unwrap();
        assert!((found / expected - 1.0).abs() < LAST_DIGIT, "{column}: {found} {expected}");
    }
    assert!(row("alone.nmea")["reading_ratio"].is_empty() && !row("alone.nmea")["distance_m"].is_empty());
    assert!(row("alone.nmea")["problems"].contains("a vehicle log of the same name beside it"));
    assert!(row("bad.csv")["problems"].contains("expected") && row("bad.csv")["distance_m"].is_empty());
    assert!(rows.iter().any(|row| row["vehicle_log"].ends_with("lost-log.csv") && row["track"].is_empty()));
    // The table itself is no drive when the same is done again.
    assert_eq!(answer(&folder, &["batch", ".", "--out", "table.csv"])["drives"], said["drives"]);
    no_coordinates(&folder, &table);
}

/// Not even the first digits of a position stand in the table.
fn no_coordinates(folder: &Path, table: &str) {
    let track = read(folder, "more/town-track.csv");
    let header: Vec<&str> = track.lines().next().unwrap().split(',').collect();
    let column = |word: &str| header.iter().position(|name| name.to_lowercase().contains(word)).unwrap();
    for at in [column("lat"), column("lon")] {
        for line in track.lines().skip(1) {
            let cell = line.split(',').nth(at).unwrap();
            let digits = &cell[..cell.find('.').unwrap() + 4];
            assert!(!table.contains(digits), "{digits} stands in the table");
        }
    }
    assert!(
        !table.contains("5505.") && !table.contains("55.0"),
        "a position of the sentences stands in the table"
    );
}

#[test]
fn an_empty_folder_and_none() {
    let folder = folder("batch-empty");
    assert_eq!(answer(&folder, &["batch", ".", "--out", "table.csv"])["drives"].as_u64(), Some(0));
    let said = waywiser(&folder, &["batch", "none", "--out", "table.csv"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("none: expected a file that can be read; found no such file"), "{}", said.err);
}

#[test]
fn packed_tracks() {
    use std::io::Write;
    let folder = sample("packed");
    let plain =
        answer(&folder, &["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"]);
    let gpx = std::fs::read(folder.join("drive.gpx")).unwrap();
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    encoder.write_all(&gpx).unwrap();
    std::fs::write(folder.join("drive.gpx.gz"), encoder.finish().unwrap()).unwrap();
    let mut writer = zip::ZipWriter::new(std::fs::File::create(folder.join("drive.zip")).unwrap());
    for name in ["one.gpx", "two.gpx"] {
        writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(&gpx).unwrap();
    }
    writer.finish().unwrap();
    for track in ["drive.gpx.gz", "drive.zip/two.gpx"] {
        let packed =
            answer(&folder, &["measure", "drive", "--track", track, "--vehicle-log", "drive-log.csv"]);
        assert_eq!(packed["reading_ratio"], plain["reading_ratio"], "{track}");
    }
    let said = waywiser(&folder, &["measure", "drive", "--track", "drive.zip"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("found one.gpx, two.gpx. name the one that is meant"), "{}", said.err);
}

#[test]
fn signals_of_a_can_log() {
    let folder = folder("can");
    copy(&folder, "one-minute-can.log", "bus.log");
    copy(&folder, "one-minute-wheel.csv", "wheel.csv");
    let dbc = "VERSION \"\"\n\nBU_: A\n\nBO_ 170 WHEELS: 8 A\n SG_ SECOND : 23|16@0+ (0.01,-67.67) [0|250] \"km/h\" A\n";
    std::fs::write(folder.join("bus.dbc"), dbc).unwrap();
    let drive = |more: &[&str]| {
        let mut all = vec![
            "measure",
            "drive",
            "--track",
            "wheel.csv",
            "--track-columns",
            "speed=fl_m_s m/s",
            "--vehicle-log",
            "bus.log",
        ];
        all.extend(more);
        answer(&folder, &all)
    };
    let typed =
        drive(&["--can-signal", "id=0x0AA byte=2 length=16 order=big factor=0.01 offset=-67.67 unit=km/h"]);
    // The track is the same wheel, decoded by others.
    assert!((value(&typed["ratio_by_distance"]) - 1.0).abs() < 1e-4, "{typed}");
    for more in [vec!["--dbc", "bus.dbc"], vec!["--dbc", "bus.dbc", "--signal", "WHEELS.SECOND"]] {
        assert_eq!(drive(&more)["ratio_by_distance"], typed["ratio_by_distance"], "{more:?}");
    }
    let third = ["--vehicle-log", "bus.log", "--dbc", "bus.dbc", "--signal", "THIRD"];
    let mut all = vec!["measure", "drive", "--track", "wheel.csv", "--track-columns", "speed=fl_m_s m/s"];
    all.extend(third);
    let said = waywiser(&folder, &all);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("a signal \"THIRD\""), "{}", said.err);
}
