//! The commands as their user meets them: answers with the keys scripts rely on, exit codes, and messages for bad input.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

#[path = "commands/answers.rs"]
mod answers;
#[path = "commands/bad_input.rs"]
mod bad_input;
#[path = "commands/decisions.rs"]
mod decisions;
#[path = "commands/kept_files.rs"]
mod kept_files;
#[path = "commands/many_drives.rs"]
mod many_drives;
#[path = "commands/marks.rs"]
mod marks;
#[path = "commands/owner.rs"]
mod owner;
#[path = "commands/pulses.rs"]
mod pulses;
#[path = "commands/sound.rs"]
mod sound;
#[path = "commands/terminal.rs"]
mod terminal;

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a command said.
struct Said {
    code: i32,
    out: String,
    err: String,
}

impl Said {
    /// The one JSON object on standard output.
    fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}{}", self.out, self.err))
    }
}

/// Runs `waywiser` in a folder.
fn waywiser(folder: &Path, arguments: &[&str]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let output = command.args(arguments).current_dir(folder).env_remove("NO_COLOR").output().unwrap();
    Said {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Runs and reads JSON; the command must have answered.
fn answer(folder: &Path, arguments: &[&str]) -> Value {
    let mut all = arguments.to_vec();
    all.push("--json");
    let said = waywiser(folder, &all);
    assert_eq!(said.code, 0, "{arguments:?}: {}{}", said.out, said.err);
    said.json()
}

/// An empty folder of its own.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("commands").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// A folder with the sample truck's files.
fn sample(name: &str) -> PathBuf {
    let folder = folder(name);
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo");
    for entry in std::fs::read_dir(examples).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
    }
    folder
}

fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).unwrap();
}

fn read(folder: &Path, name: &str) -> String {
    std::fs::read_to_string(folder.join(name)).unwrap()
}

/// The value of a measured thing, after checking that it has all four numbers in order.
fn value(measured: &Value) -> f64 {
    let number = |key: &str| measured[key].as_f64().unwrap_or_else(|| panic!("{key} in {measured}"));
    assert!(number("low_95") <= number("value") && number("value") <= number("high_95"), "{measured}");
    assert!(number("standard_uncertainty") >= 0.0, "{measured}");
    number("value")
}
