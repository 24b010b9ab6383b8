//! The README's commands are run, and their output is what the README shows.
//!
//! `WRITE_README=1 cargo test -p waywiser --test readme` writes the outputs again: a block whose lines hold `...` keeps what it
//! shows, and is only checked: where it is out of date, that is said.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

use std::path::{Path, PathBuf};
use std::process::Command;

const ELISION: &str = "...";

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A fresh copy of the example's files, so that no test sees what another wrote.
fn example(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for entry in std::fs::read_dir(root().join("examples/demo")).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
    }
    folder
}

fn run(folder: &Path, command: &str) -> String {
    let words = command.split_whitespace().skip(1);
    let output =
        Command::new(env!("CARGO_BIN_EXE_waywiser")).args(words).current_dir(folder).output().unwrap();
    assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Whether `found` has the lines of `shown` in order, with anything where an elision stands.
fn matches(shown: &[&str], found: &[&str]) -> bool {
    match shown.split_first() {
        None => found.is_empty(),
        Some((first, rest)) if *first == ELISION => {
            (0..=found.len()).any(|skipped| matches(rest, &found[skipped..]))
        }
        Some((first, rest)) => found.first() == Some(first) && matches(rest, &found[1..]),
    }
}

/// The README with its console blocks as they should be; the commands whose block says something else, and those among them
/// whose block can only be changed by hand.
fn rewritten(readme: &str, folder: &Path) -> (String, [Vec<String>; 2]) {
    let (mut out, mut wrong, mut by_hand) = (String::new(), Vec::new(), Vec::new());
    let mut parts = readme.split("```console\n");
    out.push_str(parts.next().unwrap());
    for part in parts {
        let (block, after) = part.split_once("```").unwrap();
        let mut made = String::new();
        for shown in block.split("$ ").skip(1) {
            let (command, lines) = shown.split_once('\n').unwrap();
            let found = run(folder, command);
            let lines: Vec<&str> = lines.lines().collect();
            let output: Vec<&str> = found.lines().collect();
            if !matches(&lines, &output) {
                wrong.push(format!("$ {command}\n{found}"));
                by_hand.extend(lines.contains(&ELISION).then(|| format!("$ {command}\n{found}")));
            }
            let body = if lines.contains(&ELISION) { lines.join("\n") } else { output.join("\n") };
            made.push_str(&format!("$ {command}\n{body}\n"));
        }
        out.push_str(&format!("```console\n{made}```{after}"));
    }
    (out, [wrong, by_hand])
}

#[test]
fn the_readme_shows_what_its_commands_say() {
    let path = root().join("README.md");
    let readme = std::fs::read_to_string(&path).unwrap();
    let (made, [wrong, by_hand]) = rewritten(&readme, &example("readme"));
    if std::env::var_os("WRITE_README").is_some() {
        std::fs::write(&path, &made).unwrap();
        assert!(
            by_hand.is_empty(),
            "blocks with `...` are left to be changed by hand:\n{}",
            by_hand.join("\n")
        );
        return;
    }
    assert!(readme.matches("$ waywiser").count() >= 6, "the worked example is gone");
    assert!(wrong.is_empty(), "the README is out of date:\n{}", wrong.join("\n"));
}

#[test]
fn an_elision_stands_for_any_lines_but_no_others() {
    assert!(matches(&["a", "...", "c"], &["a", "b", "b", "c"]));
    assert!(matches(&["...", "c"], &["c"]));
    assert!(!matches(&["a", "...", "d"], &["a", "b", "c"]));
    assert!(!matches(&["a"], &["a", "b"]));
}
