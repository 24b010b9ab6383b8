//! No command writes over a file that it reads, nor over one that is there unless that is said.

use super::{folder, read, sample, waywiser, write};
use std::path::Path;

/// Refused, and the file holds what it held.
#[track_caller]
fn refused(folder: &Path, arguments: &[&str], file: &str, words: &str) {
    let before = std::fs::read(folder.join(file)).unwrap();
    let said = waywiser(folder, arguments);
    assert!(
        said.code == 1 && said.err.contains(words) && said.err.contains("--out"),
        "{arguments:?}: {}",
        said.err
    );
    assert_eq!(std::fs::read(folder.join(file)).unwrap(), before, "{arguments:?}");
}

/// Written.
#[track_caller]
fn written(folder: &Path, arguments: &[&str]) {
    let said = waywiser(folder, arguments);
    assert_eq!(said.code, 0, "{arguments:?}: {}", said.err);
}

const BENCH: [&str; 7] =
    ["bench-signal", "--counts-per-mile", "8000", "--speed", "60 mph", "--lasting", "1 s"];

#[test]
fn what_is_read_is_never_written_over() {
    let folder = sample("inputs");
    let text = read(&folder, "truck.toml").replace("drive.gpx", "drive.html");
    std::fs::rename(folder.join("drive.gpx"), folder.join("drive.html")).unwrap();
    write(&folder, "truck.html", &text);
    for force in [&[][..], &["--force"]] {
        let sheet =
            |out: &'static str| [&["sheet", "truck.html", "--garage", "g", "--out", out], force].concat();
        refused(&folder, &sheet("truck.html"), "truck.html", "which is read here");
        refused(&folder, &sheet("./drive.html"), "drive.html", "which is read here");
        let batch = |out: &'static str| [&["batch", ".", "--out", out], force].concat();
        refused(&folder, &batch("drive-log.csv"), "drive-log.csv", "which is read here");
    }
    assert!(waywiser(&folder, &["batch", ".", "--out", "."]).err.contains("a folder"));
}

#[test]
fn what_is_there_is_written_over_only_when_that_is_said() {
    let folder = sample("there");
    for (name, command) in [
        ("old.html", vec!["sheet", "truck.toml", "--garage", "g", "--out", "old.html"]),
        ("old.csv", [&BENCH[..], &["--out", "old.csv"]].concat()),
        ("old.wav", [&BENCH[..], &["--out", "old.wav"]].concat()),
    ] {
        write(&folder, name, "dear to somebody");
        refused(&folder, &command, name, "write over it with --force");
        written(&folder, &[&command[..], &["--force"]].concat());
        assert_ne!(std::fs::read(folder.join(name)).unwrap(), b"dear to somebody");
        refused(&folder, &command, name, "which is there");
    }
    // The table of an earlier run may be written again; it is no drive.
    written(&folder, &["batch", ".", "--out", "table.csv"]);
    refused(&folder, &["batch", ".", "--out", "table.csv"], "table.csv", "which is there");
    let first = read(&folder, "table.csv");
    std::fs::remove_file(folder.join("old.csv")).unwrap();
    written(&folder, &["batch", ".", "--out", "table.csv", "--force"]);
    assert_eq!(first.lines().filter(|line| line.starts_with("drive.gpx")).count(), 1, "{first}");
    assert!(!read(&folder, "table.csv").contains("table.csv"));
}

#[test]
fn the_sample_truck_takes_no_file_away() {
    let folder = folder("demo-twice");
    written(&folder, &["demo", "--out", "demo"]);
    written(&folder, &["demo", "--out", "demo"]);
    write(&folder, "demo/drive.gpx", "a drive of my own");
    refused(&folder, &["demo", "--out", "demo"], "demo/drive.gpx", "which is there");
    written(&folder, &["demo", "--out", "demo", "--force"]);
}

#[cfg(unix)]
#[test]
fn links_are_written_through_and_devices_stay() {
    let folder = sample("links");
    let elsewhere = folder.join("elsewhere");
    std::fs::create_dir(&elsewhere).unwrap();
    write(&elsewhere, "sheet.html", "old");
    std::os::unix::fs::symlink("elsewhere/sheet.html", folder.join("link.html")).unwrap();
    std::os::unix::fs::symlink("truck.toml", folder.join("truck.html")).unwrap();
    let sheet = |out: &'static str| ["sheet", "truck.toml", "--garage", "g", "--force", "--out", out];
    refused(&folder, &sheet("truck.html"), "truck.toml", "which is read here");
    written(&folder, &sheet("link.html"));
    assert!(std::fs::symlink_metadata(folder.join("link.html")).unwrap().is_symlink());
    assert!(read(&elsewhere, "sheet.html").contains("<html"));
    std::os::unix::fs::symlink("/dev/null", folder.join("nowhere.html")).unwrap();
    written(&folder, &sheet("nowhere.html"));
    use std::os::unix::fs::FileTypeExt;
    assert!(std::fs::metadata("/dev/null").unwrap().file_type().is_char_device());
}

#[test]
fn a_wrong_file_given_as_a_record_is_told_in_a_few_lines() {
    let folder = sample("wrong-record");
    let said = waywiser(&folder, &["record", "import", "drive.gpx", "--garage", "g"]);
    assert_eq!(said.code, 1);
    assert!(said.err.lines().count() < 20 && said.err.contains("lines of"), "{}", said.err);
}
