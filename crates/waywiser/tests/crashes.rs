//! A fault of the program itself: one line on standard error and in the garage, without data and without a path of the machine
//! on which it was built.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are a program and its files"
)]

use std::path::Path;
use std::process::Command;
use waywiser::world::crash;

/// What a fault says of itself may quote a file.
const QUOTED: &str = "lat 41.2529602 of /people/one/drive.gpx";

/// Run in a process of its own by the test below.
#[test]
#[ignore = "it breaks on purpose"]
fn breaks() {
    crash::watch();
    crash::keep_in(Path::new(&std::env::var("GARAGE").unwrap()));
    let ours = std::thread::Builder::new().name("worker".into()).spawn(|| panic!("{QUOTED}"));
    let _ = ours.unwrap().join();
    // In a library that was built somewhere on this machine.
    let theirs = std::thread::spawn(|| jiff::civil::date(2026, 13, 1));
    let _ = theirs.join();
}

#[test]
fn a_fault_is_told_without_data_or_paths() {
    let garage = Path::new(env!("CARGO_TARGET_TMPDIR")).join("crashes");
    let _ = std::fs::remove_dir_all(&garage);
    std::fs::create_dir_all(&garage).unwrap();
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["--exact", "breaks", "--ignored", "--nocapture"]).env("GARAGE", &garage);
    let said = command.output().unwrap();
    let told = String::from_utf8(said.stderr).unwrap();
    let kept = std::fs::read_to_string(garage.join(crash::FILE)).unwrap();
    let lines: Vec<&str> = kept.lines().collect();
    assert_eq!(lines.len(), 2, "{kept}");
    for piece in [env!("CARGO_PKG_VERSION"), "crates/waywiser/tests/crashes.rs:", "thread worker", "T"] {
        assert!(lines[0].contains(piece), "{piece} in {kept}");
    }
    let home = std::env::var("HOME").unwrap_or_else(|_| "/nowhere".into());
    for text in [&told, &kept] {
        for piece in
            ["41.25", "drive.gpx", "/people", "registry", ".cargo", &home, env!("CARGO_MANIFEST_DIR")]
        {
            assert!(!text.contains(piece), "{piece} in {text}");
        }
    }
    assert!(lines[1].contains(" jiff-"), "{kept}");
    assert!(told.contains("fault of waywiser itself") && told.contains(lines[1]), "{told}");
}
