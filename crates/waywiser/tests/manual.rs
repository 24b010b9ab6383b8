//! The manual's commands are run, in the order of each chapter, and say what the manual shows; its figures are those of the tables
//! beside the code; its links and the reference of the vehicle file are up to date.
//!
//! `WRITE_MANUAL=1 cargo test -p waywiser --test manual` writes outputs and reference again.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

mod told;

use std::path::{Path, PathBuf};
use told::{example, root, told};
use truing::report::answers::keys::KeysReport;
use truing::report::document::{Block, Document};
use truing::units::Units;
use waywiser::book::CHAPTERS;

fn writes() -> bool {
    std::env::var_os("WRITE_MANUAL").is_some()
}

fn chapters() -> Vec<(String, PathBuf)> {
    let folder = root().join("docs/manual");
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut chapters: Vec<(String, PathBuf)> = files
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .map(|path| (path.file_stem().unwrap().to_str().unwrap().to_string(), path))
        .collect();
    chapters.sort();
    chapters
}

#[test]
fn the_manual_shows_what_its_commands_say() {
    let (mut commands, mut wrong) = (0, Vec::new());
    for (name, path) in chapters() {
        let text = std::fs::read_to_string(&path).unwrap();
        let told = told(&text, &example(&format!("manual-{name}")));
        commands += told.commands;
        if writes() {
            std::fs::write(&path, &told.made).unwrap();
            wrong.extend(told.by_hand.into_iter().map(|command| format!("{name}.md, by hand: {command}")));
        } else {
            wrong.extend(told.wrong.into_iter().map(|said| format!("{name}.md:\n{said}")));
        }
    }
    assert!(wrong.is_empty(), "the manual is out of date:\n{}", wrong.join("\n"));
    assert!(commands > 50, "{commands} commands");
}

/// The blocks of a text, each with what stands behind its three marks.
fn blocks(text: &str) -> Vec<(String, Vec<String>)> {
    let mut all = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if let Some(kind) = line.strip_prefix("```") {
            let block = lines.by_ref().take_while(|line| *line != "```").map(str::to_string).collect();
            all.push((kind.to_string(), block));
        }
    }
    all
}

/// What is wrong with a line of a block for the shell: what is started or typed by hand cannot be run to its end here, but it
/// is understood, and what is asked of the page is in its description.
fn not_understood(line: &str) -> Option<String> {
    let words = told::words(line);
    match words[0].as_str() {
        // What stands before the flag for help is read all the same.
        "waywiser" => {
            let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_waywiser"));
            let output = program.args(&words[1..]).arg("--help").output().unwrap();
            (!output.status.success()).then(|| String::from_utf8_lossy(&output.stderr).into_owned())
        }
        "curl" => {
            let path =
                words.iter().find_map(|word| word.split_once("7171")).map_or("nothing", |(_, path)| path);
            let described = std::fs::read_to_string(root().join("crates/waywiser/openapi.json")).unwrap();
            let asked = path.replace("my-truck", "{slug}");
            (!described.contains(&format!("\"{asked}\": {{"))).then(|| format!("{asked} is not described"))
        }
        other => Some(format!("{other} is no command of ours")),
    }
}

#[test]
fn a_command_that_is_not_run_is_understood() {
    let (mut seen, mut wrong) = (0, Vec::new());
    for (name, path) in chapters() {
        for (kind, block) in blocks(&std::fs::read_to_string(&path).unwrap()) {
            if kind == "sh" {
                seen += block.len();
                wrong.extend(
                    block
                        .iter()
                        .filter_map(|line| Some(format!("{name}: {line}: {}", not_understood(line)?))),
                );
            } else if kind != "console" {
                let shown =
                    block.iter().filter(|line| line.starts_with("waywiser ") || line.starts_with("$ "));
                wrong.extend(shown.map(|line| format!("{name}: {line}: a command that nothing runs")));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(seen > 5, "{seen} lines");
    // The check can fail.
    for line in
        ["waywiser serve --no-such-flag", "curl http://127.0.0.1:7171/api/v1/nothing", "rm truck.toml"]
    {
        assert!(not_understood(line).is_some(), "{line}");
    }
}

/// Every chapter is built in, and nothing else.
#[test]
fn every_chapter_is_in_the_program() {
    let built_in: Vec<&str> = CHAPTERS.iter().map(|chapter| chapter.word).collect();
    let files: Vec<String> = chapters().into_iter().map(|(name, _)| name).collect();
    for name in files.iter().filter(|name| *name != "README") {
        assert!(built_in.contains(&name.as_str()), "{name} is not built in");
    }
    let contents = std::fs::read_to_string(root().join("docs/manual/README.md")).unwrap();
    for word in built_in {
        assert!(contents.contains(&format!("{word}.md)")), "{word} does not stand in the contents");
    }
}

/// Every link of the files themselves leads to a file.
#[test]
fn every_link_leads_to_a_file() {
    let mut seen = 0;
    for path in chapters().into_iter().map(|(_, path)| path).chain([root().join("README.md")]) {
        let text = std::fs::read_to_string(&path).unwrap();
        for link in text.split("](").skip(1).filter_map(|rest| rest.split([')', '#']).next()) {
            if link.is_empty() || link.contains("://") {
                continue;
            }
            seen += 1;
            assert!(path.parent().unwrap().join(link).exists(), "{}: {link}", path.display());
        }
    }
    assert!(seen > 40, "{seen} links");
}

/// The numbers of a row of a table: its cells without signs of stress; none for a head.
fn numbers(row: &str) -> Vec<String> {
    let cells = row.trim().trim_matches('|').split('|').map(|cell| cell.trim().replace("**", ""));
    cells.filter(|cell| cell.trim_end_matches(" %").parse::<f64>().is_ok()).collect()
}

/// Rows of a text whose numbers do not stand, in this order, in one row of the sources.
fn without_a_source<'t>(text: &'t str, sources: &[Vec<String>]) -> Vec<&'t str> {
    let stands = |wanted: &[String]| {
        sources.iter().any(|row| {
            let mut rest = row.iter();
            wanted.iter().all(|number| rest.any(|other| other == number))
        })
    };
    let rows = text.lines().filter(|line| line.starts_with('|'));
    rows.filter(|row| !numbers(row).is_empty() && !stands(&numbers(row))).collect()
}

#[test]
fn figures_of_accuracy_stand_in_the_tables_beside_the_code() {
    let method = std::fs::read_to_string(root().join("docs/manual/method.md")).unwrap();
    let (_, held) = method.split_once("## How well it held").unwrap();
    let docs = root().join("crates/truing/docs");
    let sources: Vec<Vec<String>> = std::fs::read_dir(docs)
        .unwrap()
        .flat_map(|entry| {
            let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
            text.lines().filter(|line| line.starts_with('|')).map(numbers).collect::<Vec<_>>()
        })
        .collect();
    assert_eq!(without_a_source(held, &sources), Vec::<&str>::new());
    assert!(held.lines().filter(|line| !numbers(line).is_empty() && line.starts_with('|')).count() > 30);
    // The check can fail.
    assert_eq!(without_a_source("| one speed | +0.278 | 0.361 |", &sources).len(), 1);
}

/// A document as Markdown.
fn markdown(document: &Document) -> String {
    let mut out = String::new();
    let cell = |text: &String| text.replace('|', "\\|");
    for block in &document.blocks {
        match block {
            Block::Heading(text) => out.push_str(&format!("\n## {text}\n")),
            Block::Sentence(text) => out.push_str(&format!("\n{text}\n")),
            Block::Table(table) => {
                out.push_str(&format!("\n{}\n\n| {} |\n", table.caption, table.head.join(" | ")));
                out.push_str(&format!("|{}\n", "---|".repeat(table.head.len())));
                for row in &table.rows {
                    let cells: Vec<String> = row.iter().map(cell).collect();
                    let [key, says, takes, example] = &cells[..] else { panic!("{row:?}") };
                    out.push_str(&format!("| `{key}` | {says} | {takes} | `{example}` |\n"));
                }
            }
            other => panic!("{other:?}"),
        }
    }
    out
}

#[test]
fn the_reference_of_the_vehicle_file_is_made_from_its_keys() {
    let path: &Path = &root().join("docs/vehicle-file.md");
    let kept = std::fs::read_to_string(path).unwrap();
    let (head, _) = kept.split_once("\n## ").unwrap();
    let report = KeysReport::new(None, Units::Us).unwrap();
    let made = format!("{head}\n{}", markdown(&report.document()).trim_start_matches('\n'));
    if writes() {
        std::fs::write(path, &made).unwrap();
        return;
    }
    assert!(kept == made, "docs/vehicle-file.md is not what the keys say; see the head of this test");
    assert!(made.matches("\n| `").count() > 150);
}
