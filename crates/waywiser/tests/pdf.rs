//! Papers as PDF, measured and checked from outside: by poppler's tools, by qpdf, and by where every word stands.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read and write files"
)]

#[path = "any/mod.rs"]
mod any;
#[path = "pdf/boxes.rs"]
mod boxes;
#[path = "pdf/content.rs"]
mod content;
#[path = "demo/mod.rs"]
mod demo;
#[path = "pdf/form.rs"]
mod form;
#[path = "samples/mod.rs"]
#[allow(dead_code, reason = "shared with the tests of the HTML sheet")]
mod samples;
#[path = "pdf/trucks.rs"]
mod trucks;

use std::path::{Path, PathBuf};
use std::process::Command;

/// Runs a tool of the system; a missing one is said with what to install.
fn tool(name: &str, arguments: &[&str]) -> Vec<u8> {
    let output = Command::new(name).args(arguments).output();
    let output = output
        .unwrap_or_else(|error| panic!("{name}: {error}. On Debian: apt-get install poppler-utils qpdf"));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{name} {arguments:?}: {said}");
    output.stdout
}

/// The words of a file as one line.
fn text(pdf: &Path) -> String {
    let found = String::from_utf8(tool("pdftotext", &["-raw", pdf.to_str().unwrap(), "-"])).unwrap();
    one_line(&found)
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An empty folder of its own, with the sample truck in it.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pdf").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for entry in std::fs::read_dir(demo::folder()).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
    }
    folder
}

/// Writes a vehicle file and makes a paper of it.
fn paper(folder: &Path, vehicle: &str, name: &str, options: &[&str]) -> PathBuf {
    let file = folder.join(format!("{name}.toml"));
    std::fs::write(&file, vehicle).unwrap();
    let out = folder.join(format!("{name}.pdf"));
    waywiser(
        &[&["sheet", file.to_str().unwrap(), "--force", "--out", out.to_str().unwrap()], options].concat(),
    );
    out
}

fn waywiser(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_waywiser")).args(arguments).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{arguments:?}: {said}");
    String::from_utf8(output.stdout).unwrap()
}
