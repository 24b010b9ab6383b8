//! What a terminal and a script rely on beside the answers: short words first, lines as wide as there is room, standard input,
//! codes that tell an answer.

use super::{Said, folder, read, sample, waywiser, write};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs with an environment and something on standard input.
fn with(folder: &Path, arguments: &[&str], variables: &[(&str, &str)], input: &[u8]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    command.args(arguments).current_dir(folder).envs(variables.iter().copied());
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut running = command.spawn().unwrap();
    let mut to = running.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || to.write_all(&input));
    let output = running.wait_with_output().unwrap();
    // What is not read is no fault of whoever writes.
    let _ = writer.join().unwrap();
    Said {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

#[test]
fn an_answer_is_short_and_says_what_comes_next() {
    let folder = sample("short");
    for (command, next, table) in [
        (["choose", "truck.toml"].as_slice(), "Next: waywiser set truck.toml", "Error by speed"),
        (&["measure", "vehicle", "truck.toml"], "Next: waywiser choose truck.toml", "Evidence"),
    ] {
        let short = waywiser(&folder, command);
        let whole = waywiser(&folder, &[command, &["--all"]].concat());
        assert!(short.out.lines().count() <= 16, "{}", short.out);
        assert!(short.out.contains(next) && whole.out.contains(next), "{}", short.out);
        assert!(!short.out.contains(table) && whole.out.contains(table), "{}", short.out);
        let again = format!("Every table: waywiser {} --all", command.join(" "));
        assert!(short.out.contains(&again) && !whole.out.contains(&again), "{}", short.out);
        // What is said before the tables is the same.
        let first = short.out.lines().nth(1).unwrap();
        assert_eq!(whole.out.lines().nth(1), Some(first));
    }
}

#[test]
fn lines_are_as_wide_as_there_is_room() {
    let folder = sample("width");
    let widest = |columns: &str| {
        let said = with(&folder, &["choose", "truck.toml", "--all"], &[("COLUMNS", columns)], b"");
        assert_eq!(said.code, 0, "{}", said.err);
        said.out.lines().map(|line| line.chars().count()).max().unwrap()
    };
    for (columns, most) in [("60", 60), ("80", 80), ("96", 96), ("300", 96), ("nonsense", 96)] {
        let widest = widest(columns);
        assert!(widest <= most && widest > most - 20, "{columns}: {widest}");
    }
}

#[test]
fn colour_is_for_a_terminal_only() {
    let folder = folder("colour");
    for variables in [[].as_slice(), &[("NO_COLOR", "1")]] {
        let said = with(&folder, &["choose", "none.toml"], variables, b"");
        assert!(
            said.code == 1 && said.err.starts_with("error: ") && !said.err.contains('\u{1b}'),
            "{}",
            said.err
        );
    }
}

#[test]
fn a_stroke_is_standard_input() {
    let folder = sample("stroke");
    let check = |named: &[&str], file: &str| {
        let bytes = std::fs::read(folder.join(file)).unwrap();
        let piped: Vec<&str> = named.iter().map(|word| if *word == file { "-" } else { word }).collect();
        let (named, piped) = (waywiser(&folder, named), with(&folder, &piped, &[], &bytes));
        assert_eq!((named.code, piped.code), (0, 0), "{}{}", named.err, piped.err);
        assert_eq!(piped.out.replace(" - ", &format!(" {file} ")), named.out, "{file}");
    };
    check(&["describe", "vehicle", "truck.toml", "--json"], "truck.toml");
    check(&["measure", "vehicle", "truck.toml", "--json"], "truck.toml");
    check(&["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"], "drive-log.csv");
    check(&["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"], "drive.gpx");
    let bench = [
        "bench-signal",
        "--counts-per-mile",
        "4000",
        "--speed",
        "30 mph",
        "--lasting",
        "3 s",
        "--out",
        "wire.wav",
    ];
    assert_eq!(waywiser(&folder, &bench).code, 0);
    check(&["measure", "pulses", "wire.wav"], "wire.wav");
    // Nothing on it is no vehicle file.
    assert_eq!(with(&folder, &["choose", "-"], &[], b"").code, 1);
}

#[test]
fn a_code_tells_the_answer_where_that_is_asked() {
    let folder = sample("codes");
    let text = read(&folder, "truck.toml");
    // Stored already; nothing measured; a rollout of four turns taken for five.
    write(&folder, "leave.toml", &text.replace("present = \"1479\"", "present = \"1416\""));
    write(&folder, "measure.toml", text.split("[[evidence]]").next().unwrap());
    write(&folder, "check.toml", &text.replace("turns = 5", "turns = 4"));
    for (file, advice, code) in [
        ("truck.toml", "write", 0),
        ("leave.toml", "leave", 3),
        ("measure.toml", "measure-first", 4),
        ("check.toml", "check-first", 5),
    ] {
        let said = waywiser(&folder, &["choose", file, "--json", "--exit-code"]);
        assert_eq!((said.json()["advice"].as_str(), said.code), (Some(advice), code), "{file}");
        assert_eq!(waywiser(&folder, &["choose", file]).code, 0, "{file}: without the flag");
    }
    let prove = |drive: &[&str], rule: &str, verdict: &str, code: i32| {
        let command = [&["prove", "truck.toml", "--json", "--exit-code", "--rule", rule], drive].concat();
        let said = waywiser(&folder, &command);
        assert_eq!((said.json()["verdict"].as_str(), said.code), (Some(verdict), code), "{rule}");
    };
    let after = ["--track", "after.gpx", "--vehicle-log", "after-log.csv"];
    prove(&after, "us-393.82", "conforms", 0);
    // The track is 11.56 miles long: 11.1 are 4.0 % slow, and 20 are far too many.
    let odometer = |end| ["--track", "drive.gpx", "--odometer-start", "100.0 mi", "--odometer-end", end];
    prove(&odometer("111.1 mi"), "odometer-4", "undecided", 4);
    prove(&odometer("120.0 mi"), "odometer-4", "does-not-conform", 3);
}

#[test]
fn what_there_is_stands_in_the_help() {
    let folder = folder("offered");
    let help = waywiser(&folder, &["--help"]).out;
    for word in ["completions", "man-pages", "manual", "waywiser manual"] {
        assert!(help.contains(word), "{word} in {help}");
    }
    for command in [
        ["manual"].as_slice(),
        &["completions"],
        &["man-pages"],
        &["describe", "file"],
        &["describe", "keys"],
    ] {
        let said = waywiser(&folder, &[command, &["--help"]].concat());
        let last = said.out.rsplit("Example:").next().unwrap();
        assert!(last.contains(&format!("waywiser {}", command.join(" "))), "{}", said.out);
    }
    let manual = waywiser(&folder, &["manual"]).out;
    assert!(manual.contains("measure-well") && waywiser(&folder, &["manual", "set"]).out.contains("SET"));
    assert_eq!(waywiser(&folder, &["manual", "sett"]).code, 2);
}

#[test]
fn a_starting_file_is_written_once() {
    let folder = folder("starting");
    let command = ["describe", "file", "gear-pair", "--out", "mine.toml"];
    assert_eq!(waywiser(&folder, &command).code, 0);
    let kept = read(&folder, "mine.toml");
    assert_eq!(kept, waywiser(&folder, &command[..3]).out);
    let again = waywiser(&folder, &command);
    assert!(again.code == 1 && again.err.contains("--force"), "{}", again.err);
    write(&folder, "mine.toml", "dear to somebody");
    assert_eq!(waywiser(&folder, &[&command[..], &["--force"]].concat()).code, 0);
    assert_eq!(read(&folder, "mine.toml"), kept);
}
