//! Bad input: a message that says where, what was expected, what was found and what to do; exit 1; never a panic.

use super::{folder, read, sample, waywiser, write};

/// Runs what must fail; every word must stand in the message, and JSON must still be one object.
#[track_caller]
fn check(folder: &std::path::Path, arguments: &[&str], words: &[&str]) {
    let said = waywiser(folder, arguments);
    assert_eq!(said.code, 1, "{arguments:?}: {}{}", said.out, said.err);
    assert!(said.out.is_empty(), "{}", said.out);
    for word in ["expected", "found"].iter().chain(words) {
        assert!(said.err.contains(word), "{word} not in: {}", said.err);
    }
    assert!(!said.err.contains("panicked"), "{}", said.err);
    let mut all = arguments.to_vec();
    all.push("--json");
    let said = waywiser(folder, &all);
    assert_eq!(said.code, 1);
    assert!(!said.json()["problems"].as_array().unwrap().is_empty(), "{}", said.out);
}

const LOG: &[&str] = &["--vehicle-log", "drive-log.csv"];

fn drive<'a>(track: &'a str, log: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["measure", "drive", "--track", track];
    arguments.extend(log);
    arguments
}

#[test]
fn tracks_that_cannot_be_used() {
    let folder = sample("bad-tracks");
    write(&folder, "empty.gpx", "");
    check(&folder, &drive("empty.gpx", LOG), &["empty.gpx"]);
    let timeless: String = {
        let text = read(&folder, "drive.gpx");
        let mut out = String::new();
        for part in text.split("<time>") {
            out.push_str(part.split_once("</time>").map_or(part, |(_, rest)| rest));
        }
        out
    };
    write(&folder, "timeless.gpx", &timeless);
    check(&folder, &drive("timeless.gpx", LOG), &["timeless.gpx", "time"]);
    write(&folder, "page.gpx", "<!DOCTYPE html><html><body>Sign in</body></html>");
    check(&folder, &drive("page.gpx", LOG), &["page.gpx"]);
    check(&folder, &drive("missing.gpx", LOG), &["missing.gpx", "no such file"]);
    check(&folder, &drive(".", LOG), &["a folder"]);
}

#[test]
fn a_truncated_track_says_so_and_is_read_as_far_as_it_goes() {
    let folder = sample("truncated");
    let text = read(&folder, "drive.gpx");
    write(&folder, "cut.gpx", &text[..text.len() * 2 / 3]);
    let said = waywiser(&folder, &drive("cut.gpx", LOG));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("cut.gpx, line") && said.err.contains("expected"), "{}", said.err);
    assert!(said.out.contains("slow"), "{}", said.out);
    // Nothing but a head: nothing to go on.
    write(&folder, "head.gpx", &text[..160]);
    check(&folder, &drive("head.gpx", LOG), &["head.gpx"]);
}

#[test]
fn logs_that_do_not_meet_in_time() {
    let folder = sample("apart");
    let log = read(&folder, "drive-log.csv");
    write(&folder, "hours.csv", &log.replace("T15:", "T19:"));
    check(&folder, &drive("drive.gpx", &["--vehicle-log", "hours.csv"]), &["overlap", "4 h earlier"]);
    write(&folder, "years.csv", &log.replace("2026-", "2021-"));
    check(&folder, &drive("drive.gpx", &["--vehicle-log", "years.csv"]), &["overlap", "same drive"]);
    write(&folder, "unit.csv", &log.replace("vehicle_speed_kmh", "vehicle_speed"));
    check(&folder, &drive("drive.gpx", &["--vehicle-log", "unit.csv"]), &["unit.csv", "--vehicle-columns"]);
    let named = ["--vehicle-log", "unit.csv", "--vehicle-columns", "speed=vehicle_speed km/h"];
    assert_eq!(waywiser(&folder, &drive("drive.gpx", &named)).code, 0);
}

#[test]
fn vehicle_files_with_slips() {
    let folder = sample("slips");
    let good = read(&folder, "truck.toml");
    for (from, to, words) in [
        ("counts_per_turn", "count_per_turn", ["counts_per_turn", "line"].as_slice()),
        ("present = \"1479\"", "present = \"1478\"", &["1478", "line"]),
        ("step = \"3\"", "step = \"3,0\"", &["3,0", "line"]),
        ("LT275/75R17", "LT275/75Q17", &["LT275/75Q17"]),
        ("track = \"drive.gpx\"", "track = \"other.gpx\"", &["other.gpx", "no such file"]),
        ("[chain]", "[chain", &["line"]),
    ] {
        assert!(good.contains(from));
        write(&folder, "slip.toml", &good.replacen(from, to, 1));
        if from.starts_with("LT") {
            // A size that cannot be read leaves the rest to answer.
            let said = waywiser(&folder, &["measure", "vehicle", "slip.toml"]);
            assert!(said.code == 0 && said.err.contains("LT275/75Q17"), "{}", said.err);
            continue;
        }
        check(&folder, &["measure", "vehicle", "slip.toml"], words);
    }
}

#[test]
fn values_on_the_command_line() {
    let folder = sample("values");
    check(&folder, &["set", "truck.toml", "--to", "1417"], &["1417", "nearest"]);
    check(&folder, &["set", "truck.toml", "--to", "1416,0"], &["1416,0"]);
    check(&folder, &["describe", "tire", "thirty-one inch"], &["thirty-one inch"]);
    check(&folder, &["choose", "truck.toml", "--rule", "un-r93"], &["un-r39"]);
    check(&folder, &["sheet", "truck.toml", "--out", "sheet.doc"], &[".doc"]);
    check(&folder, &drive("drive.gpx", &["--holds", "30,45,60"]), &["--holds"]);
    check(
        &folder,
        &drive("drive.gpx", &["--odometer-start", "100.0 mi", "--odometer-end", "90.0 mi"]),
        &["swapped"],
    );
}

#[test]
fn a_wrong_command_line_is_exit_two() {
    let folder = folder("wrong");
    for arguments in [["choose"].as_slice(), &["chose", "x.toml"], &["measure", "drive"]] {
        assert_eq!(waywiser(&folder, arguments).code, 2, "{arguments:?}");
    }
}

#[test]
fn every_help_ends_with_an_example() {
    let folder = folder("help");
    for command in [
        ["demo"].as_slice(),
        &["describe", "tire"],
        &["describe", "vehicle"],
        &["describe", "rules"],
        &["measure", "drive"],
        &["measure", "vehicle"],
        &["choose"],
        &["set"],
        &["prove"],
        &["sheet"],
    ] {
        let mut arguments = command.to_vec();
        arguments.push("--help");
        let said = waywiser(&folder, &arguments);
        let last = said.out.rsplit("Example:").next().unwrap();
        assert!(
            said.code == 0 && last.contains(&format!("waywiser {}", command.join(" "))),
            "{command:?}: {}",
            said.out
        );
    }
}
