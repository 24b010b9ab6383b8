//! What is the owner's stays the owner's: rights of files, what reaches a terminal, who can ask, and what signed papers show.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are a program and its files"
)]

#[path = "serving/mod.rs"]
mod serving;

use serde_json::Value;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("private").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(folder.parent().unwrap()).unwrap();
    folder
}

/// Runs the program under a mask that lets everybody in.
fn run(garage: &Path, words: &[&str]) -> Output {
    let mut command = Command::new("sh");
    command.args(["-c", "umask 000; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_waywiser")]).args(words);
    command.arg("--garage").arg(garage).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn note(garage: &Path, words: &str) {
    let added = run(garage, &["record", "add", "note", "--vehicle", "The grey half-ton", "--text", words]);
    assert!(added.status.success(), "{}", text(&added.stderr));
}

/// Everything in a folder with what others may do to it.
fn open_to_others(folder: &Path) -> Vec<PathBuf> {
    let is_open = |path: &Path| path.symlink_metadata().unwrap().permissions().mode() & 0o077 != 0;
    let mut found: Vec<PathBuf> = is_open(folder).then(|| folder.to_path_buf()).into_iter().collect();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(open_to_others(&path));
        } else if is_open(&path) {
            found.push(path);
        }
    }
    found
}

fn open_up(path: &Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn what_the_program_makes_is_for_its_owner_alone() {
    let garage = folder("made");
    note(&garage, "quiet road");
    for words in [&["record", "backup"][..], &["record", "key", "--make"], &["record", "check"]] {
        assert!(run(&garage, words).status.success(), "{words:?}");
    }
    let names = ["record.sqlite", "record-seen.toml", "record-key.toml", "backups"];
    assert!(names.iter().all(|name| garage.join(name).exists()), "{names:?}");
    assert_eq!(open_to_others(&garage), Vec::<PathBuf>::new());
    // A server under way has its log of writes and its locks there too.
    let served = serving::Served::start("private");
    let truck = serving::add_sample(&served);
    served.change("POST", &format!("{truck}/record"), &[], br#"{"kind": "note", "text": "quiet road"}"#);
    assert!(served.garage.join("record.sqlite").exists());
    assert_eq!(open_to_others(&served.garage), Vec::<PathBuf>::new());
}

#[test]
fn what_was_open_is_narrowed_and_told() {
    let garage = folder("open");
    note(&garage, "quiet road");
    open_up(&garage, 0o755);
    open_up(&garage.join("record.sqlite"), 0o644);
    let shown = run(&garage, &["record", "show"]);
    assert!(text(&shown.stderr).contains("open to others"), "{}", text(&shown.stderr));
    assert_eq!(open_to_others(&garage), Vec::<PathBuf>::new());
    assert_eq!(text(&run(&garage, &["record", "show"]).stderr), "", "told once");
}

#[test]
fn a_folder_that_holds_other_things_is_left_and_told() {
    let garage = folder("shared");
    note(&garage, "quiet road");
    std::fs::write(garage.join("holiday.jpg"), "x").unwrap();
    open_up(&garage, 0o755);
    open_up(&garage.join("holiday.jpg"), 0o644);
    let told = text(&run(&garage, &["record", "show"]).stderr);
    assert!(told.contains("can look into") && told.contains("chmod"), "{told}");
    assert_eq!(open_to_others(&garage), [garage.clone(), garage.join("holiday.jpg")]);
}

#[test]
fn what_a_file_holds_does_not_move_the_cursor() {
    let garage = folder("terminal");
    note(&garage, "a\u{1b}[2J\u{9b}31m\u{202e}b");
    let shown = text(&run(&garage, &["record", "show", "--vehicle", "The grey half-ton"]).stdout);
    assert!(shown.contains("\\u{1b}[2J") && !shown.contains(['\u{1b}', '\u{9b}', '\u{202e}']), "{shown}");
    let json = run(&garage, &["record", "show", "--vehicle", "The grey half-ton", "--json"]).stdout;
    assert!(!text(&json).contains(['\u{1b}', '\u{9b}', '\u{202e}']));
    let said: Value = serde_json::from_slice(&json).unwrap();
    assert!(said.to_string().contains("\u{202e}b"), "JSON loses nothing: {said}");
    let lost = Command::new(env!("CARGO_BIN_EXE_waywiser")).args(["choose", "no\u{1b}[2Jsuch.toml"]).output();
    let told = text(&lost.unwrap().stderr);
    assert!(told.contains("\\u{1b}[2Jsuch") && !told.contains('\u{1b}'), "{told}");
}

#[test]
fn an_address_that_others_reach_is_refused_without_a_key() {
    let garage = folder("address");
    let told = run(&garage, &["serve", "--no-browser", "--address", "192.0.2.7:7171"]);
    assert_eq!(told.status.code(), Some(1));
    let told = text(&told.stderr);
    assert!(told.contains("--with-key") && told.contains("read and change everything"), "{told}");
}

#[test]
fn a_signed_paper_is_held_against_an_export() {
    let garage = folder("signed");
    note(&garage, "quiet road");
    note(&garage, "new chains");
    let papers = || -> Value {
        let said = run(&garage, &["record", "papers", "--vehicle", "The grey half-ton", "--json"]);
        serde_json::from_slice(&said.stdout).unwrap()
    };
    let unsigned = papers();
    assert_eq!((&unsigned["record"]["entries"], &unsigned["record"]["signed"]), (&2.into(), &Value::Null));
    let key: Value =
        serde_json::from_slice(&run(&garage, &["record", "key", "--make", "--json"]).stdout).unwrap();
    let again: Value =
        serde_json::from_slice(&run(&garage, &["record", "key", "--make", "--json"]).stdout).unwrap();
    assert_eq!(key, again, "a key that is there stays");
    let signed = &papers()["record"]["signed"];
    assert_eq!(signed["key"], key["key"]);
    let rows: Vec<&str> =
        signed["sheet_code"].as_array().unwrap().iter().map(|row| row.as_str().unwrap()).collect();
    let code = rows.join("\n");
    note(&garage, "later");
    let export = garage.with_extension("jsonl");
    let lines = text(&run(&garage, &["record", "export"]).stdout);
    std::fs::write(&export, &lines).unwrap();
    let verify = |code: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
        let said =
            command.args(["record", "verify"]).arg(&export).args(["--sheet-code", code]).output().unwrap();
        (said.status.code(), text(&said.stdout), text(&said.stderr))
    };
    let (status, said, _) = verify(&code.to_lowercase());
    assert_eq!(status, Some(0));
    assert!(
        said.contains("nothing in its first 2") && said.contains("does not show that the entries are true"),
        "{said}"
    );
    let slip = code.replacen(|c: char| c != code.chars().next().unwrap() && c.is_alphanumeric(), "0", 1);
    let (status, _, told) = verify(&slip);
    assert_eq!(status, Some(1));
    assert!(told.contains("row 1"), "{told}");
    std::fs::write(&export, lines.replace("new chains", "old chains")).unwrap();
    let (status, said, told) = verify(&code);
    assert_eq!(status, Some(1));
    assert!(said.contains("does NOT hold") && told.contains("changed after it was sealed"), "{said}{told}");
}
