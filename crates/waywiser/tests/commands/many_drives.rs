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
    assert!(row("alone.nmea")["problems"].contains("a vehicle log of the same drive beside it"));
    assert!(row("bad.csv")["problems"].contains("expected") && row("bad.csv")["distance_m"].is_empty());
    assert!(rows.iter().any(|row| row["vehicle_log"].ends_with("lost-log.csv") && row["track"].is_empty()));
    // The table itself is no drive when the same is done again.
    assert_eq!(answer(&folder, &["batch", ".", "--out", "table.csv", "--force"])["drives"], said["drives"]);
    no_coordinates(&folder, &table);
}

/// The rows of a folder as (track, log, ratio).
fn measured(folder: &Path, files: &[(&str, &[u8])]) -> Vec<(String, String, Option<f64>)> {
    for (name, bytes) in files {
        std::fs::write(folder.join(name), bytes).unwrap();
    }
    answer(folder, &["batch", ".", "--out", "table.csv", "--force"]);
    let rows = rows(&read(folder, "table.csv"));
    let row = |row: &std::collections::BTreeMap<String, String>| {
        (row["track"].clone(), row["vehicle_log"].clone(), row["reading_ratio"].parse().ok())
    };
    rows.iter().map(row).collect()
}

#[test]
fn files_of_any_name_come_together() {
    let sample = sample("batch-any-names-from");
    let file = |name: &str| std::fs::read(sample.join(name)).unwrap();
    let [drive, drive_log, after, after_log] =
        ["drive.gpx", "drive-log.csv", "after.gpx", "after-log.csv"].map(file);
    // The only two of a folder.
    let two =
        measured(&folder("batch-two"), &[("ride.gpx", &*drive), ("shown on the dash.csv", &*drive_log)]);
    let [(track, log, Some(ratio))] = two.as_slice() else { panic!("{two:?}") };
    assert_eq!((track.as_str(), log.as_str()), ("ride.gpx", "shown on the dash.csv"));
    // 615.5 x 46/11 x 22 / (40 x 1479), by the simulator.
    assert!((ratio - 0.95717).abs() < 0.004, "{ratio}");
    // Several: by the times they have in common.
    let four = [("1.gpx", &*drive), ("2.gpx", &*after), ("3.csv", &*after_log), ("4.csv", &*drive_log)];
    let four = measured(&folder("batch-four"), &four);
    let pairs: Vec<(&str, &str)> = four.iter().map(|(track, log, _)| (&**track, &**log)).collect();
    assert_eq!(pairs, [("1.gpx", "4.csv"), ("2.gpx", "3.csv")]);
    assert!(four.iter().all(|(.., ratio)| ratio.is_some()), "{four:?}");
}

/// One file is both sides of a drive only where the vehicle's speed has a column of its own.
#[test]
fn no_drive_is_a_file_beside_itself() {
    // Due north, faster and slower; a degree of latitude is about 111 060 m there. Shown is 0.96 of it.
    let row = |second: usize, own: bool| {
        let s = second as f64;
        let (speed, distance_m) =
            (15.0 + 8.0 * (s / 40.0).sin(), 15.0 * s + 320.0 * (1.0 - (s / 40.0).cos()));
        let own = if own { format!(",{:.2}", 0.96 * speed * 3.6) } else { String::new() };
        format!("{s},{:.7},-108.5,{speed:.3}{own}\n", 41.0 + distance_m / 111_060.0)
    };
    let text = |header: &str, own: bool| {
        header.to_string() + &(0..600).map(|second| row(second, own)).collect::<String>()
    };
    // The speed beside the positions is the receiver's: against itself it would read true.
    let alone = text("time_s,lat,lon,speed_m_per_s\n", false);
    let found = measured(&folder("batch-itself"), &[("walk.csv", alone.as_bytes())]);
    assert_eq!(found, [("walk.csv".to_string(), String::new(), None)]);
    let both = text("time_s,lat,lon,gps_speed_m_per_s,vehicle_speed_kmh\n", true);
    let found = measured(&folder("batch-both"), &[("walk.csv", both.as_bytes())]);
    let [(track, log, Some(ratio))] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!((track.as_str(), log.as_str()), ("walk.csv", "walk.csv"));
    assert!((ratio - 0.96).abs() < 0.01, "{ratio}");
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
fn an_archive_of_drives_is_looked_into() {
    use std::io::Write;
    let folder = sample("batch-archive");
    let mut writer = zip::ZipWriter::new(std::fs::File::create(folder.join("june.zip")).unwrap());
    for (name, from) in
        [("in/one.gpx", "drive.gpx"), ("in/one-log.csv", "drive-log.csv"), ("notes.md", "truck.toml")]
    {
        writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(&std::fs::read(folder.join(from)).unwrap()).unwrap();
    }
    writer.finish().unwrap();
    answer(&folder, &["batch", ".", "--out", "table.csv"]);
    let rows = rows(&read(&folder, "table.csv"));
    let row =
        |track: &str| rows.iter().find(|row| row["track"] == track).unwrap_or_else(|| panic!("{rows:?}"));
    let (packed, plain) = (row("june.zip/in/one.gpx"), row("drive.gpx"));
    assert_eq!(packed["vehicle_log"], "june.zip/in/one-log.csv");
    assert_eq!(packed["reading_ratio"], plain["reading_ratio"]);
}

/// By how much the bus is faster than the track: the very same speeds on both sides would be refused as one measurement.
const FASTER: f64 = 1.013;

/// The same wheel, decoded by others, as a track whose speeds are lower.
fn slower_wheel(folder: &Path) {
    copy(folder, "one-minute-wheel.csv", "wheel.csv");
    let text = std::fs::read_to_string(folder.join("wheel.csv")).unwrap();
    let slower = |line: &str| match line.split_once(',') {
        Some((time, speed)) if speed.parse::<f64>().is_ok() => {
            format!("{time},{:.6}\n", speed.parse::<f64>().unwrap() / FASTER)
        }
        _ => format!("{line}\n"),
    };
    std::fs::write(folder.join("wheel.csv"), text.lines().map(slower).collect::<String>()).unwrap();
}

#[test]
fn signals_of_a_can_log() {
    let folder = folder("can");
    copy(&folder, "one-minute-can.log", "bus.log");
    slower_wheel(&folder);
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
    // No heights: the road is taken 1.3e-4 longer than on the map.
    assert!((value(&typed["ratio_by_distance"]) / FASTER * 1.000_13 - 1.0).abs() < 1e-4, "{typed}");
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

/// A truck with the minute of the bus as its only measurement, read as `lines` say.
fn truck_with_a_bus(lines: &str) -> String {
    "[tire]\nsize = \"LT265/75R16\"\n\n[chain]\nsensor_at = \"wheel-ring\"\nring_teeth = 48\n\n\
     [[evidence]]\nkind = \"drive\"\ntrack = \"wheel.csv\"\ntrack_columns = \"speed=fl_m_s m/s\"\nvehicle_log = \"bus.log\"\n"
        .to_owned()
        + lines
}

const SECOND_WHEEL: &str = "id=0x0AA byte=2 length=16 order=big factor=0.01 offset=-67.67 unit=km/h";

#[test]
fn signals_named_in_the_vehicle_file() {
    let folder = folder("can-in-the-vehicle-file");
    copy(&folder, "one-minute-can.log", "bus.log");
    slower_wheel(&folder);
    let dbc = "VERSION \"\"\n\nBU_: A\n\nBO_ 170 WHEELS: 8 A\n SG_ SECOND : 23|16@0+ (0.01,-67.67) [0|250] \"km/h\" A\n";
    std::fs::write(folder.join("bus.dbc"), dbc).unwrap();
    let measured = |lines: &str| {
        std::fs::write(folder.join("truck.toml"), truck_with_a_bus(lines)).unwrap();
        waywiser(&folder, &["measure", "vehicle", "truck.toml", "--json"])
    };
    let described = measured(&format!("can_signal = \"{SECOND_WHEEL}\"\n"));
    assert_eq!(described.code, 0, "{}", described.err);
    let said: serde_json::Value = serde_json::from_str(&described.out).unwrap();
    assert!((value(&said["distance_ratio"]) / FASTER - 1.0).abs() < 1e-3, "{said}");
    for lines in ["dbc = \"bus.dbc\"\n", "dbc = \"bus.dbc\"\nsignal = \"WHEELS.SECOND\"\n"] {
        assert_eq!(measured(lines).out, described.out, "{lines}");
    }
    // Without it no speed is known in the log; a name that is not there is told with those that are.
    for (lines, told) in [
        ("", "expected the vehicle's speed among the frames"),
        ("dbc = \"bus.dbc\"\nsignal = \"THIRD\"\n", "expected a signal \"THIRD\"; found none of that name"),
        ("dbc = \"none.dbc\"\n", "none.dbc, [[evidence]] at line 8: expected a file that can be read"),
        ("dbc = \"wheel.csv\"\n", "expected a DBC file"),
    ] {
        let said = measured(lines);
        assert_eq!(said.code, 1, "{lines}: {}", said.out);
        assert!(said.err.contains(told), "{lines}: {}", said.err);
    }
}

/// What a folder of a few years holds besides drives: nothing of it stops the rest.
#[test]
fn bad_files_among_the_drives() {
    let folder = sample("batch-bad");
    let gpx = std::fs::read(folder.join("drive.gpx")).unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.join(name), bytes).unwrap();
    let mut packed = Vec::new();
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(&mut packed));
    writer.start_file("in.gpx", zip::write::SimpleFileOptions::default()).unwrap();
    std::io::Write::write_all(&mut writer, &gpx).unwrap();
    writer.finish().unwrap();
    write("half.zip", &packed[..packed.len() / 2]);
    let mut zipped = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut zipped, &gpx).unwrap();
    write("short.gpx.gz", &zipped.finish().unwrap()[..2000]);
    write("cut.gpx", &gpx[..gpx.len() / 2]);
    let junk: Vec<u8> = (0..70_000u32).map(|at| (at.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    write("junk.gpx", &junk);
    write("junk-log.csv", &junk);
    write("empty.gpx", b"");
    write("zeros.csv", &[0; 5000]);
    std::fs::create_dir(folder.join("folder.gpx")).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder.join("nowhere.gpx"), folder.join("broken-link.gpx")).unwrap();
    let good = ["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"];
    let good = answer(&folder, &good);
    answer(&folder, &["batch", ".", "--out", "table.csv"]);
    let table = read(&folder, "table.csv");
    let rows = rows(&table);
    let row = |name: &str| rows.iter().find(|row| row["track"].ends_with(name));
    let ratio: f64 = row("drive.gpx").unwrap()["reading_ratio"].parse().unwrap();
    assert!((ratio / value(&good["reading_ratio"]) - 1.0).abs() < LAST_DIGIT, "{table}");
    for name in ["half.zip", "short.gpx.gz", "cut.gpx", "junk.gpx", "empty.gpx", "zeros.csv"] {
        let row = row(name).unwrap_or_else(|| panic!("{name}: {table}"));
        assert!(row["reading_ratio"].is_empty() && row["problems"].contains("expected"), "{name}: {row:?}");
    }
}
