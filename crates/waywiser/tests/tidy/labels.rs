//! What a label says decides nothing: who picks by it stops working when somebody finds a better word.

use crate::code::{code_of, without_tests};
use crate::tree::{File, Tree};

/// Where faces and reports are made.
const WATCHED: [&str; 2] = ["crates/waywiser/src/", "crates/truing/src/report/"];
/// Fields whose texts are for people alone.
const LABELS: [&str; 8] =
    [".answer", ".caption", ".expected", ".found", ".headline", ".hint", ".shown", ".standing"];
/// Ways to look into a text.
const LOOKS: [&str; 8] = [
    "== \"",
    "!= \"",
    ".contains(\"",
    ".starts_with(",
    ".ends_with(",
    ".strip_prefix(",
    ".strip_suffix(",
    ".find(\"",
];

/// Labels that are looked into.
pub fn check(tree: &Tree) -> Vec<String> {
    let is_watched = |file: &&File| {
        file.is_rust() && !file.is_test() && WATCHED.iter().any(|folder| file.path.starts_with(folder))
    };
    tree.files.iter().filter(is_watched).flat_map(in_file).collect()
}

fn in_file(file: &File) -> Vec<String> {
    let code = without_tests(&code_of(&file.text));
    let found = LABELS.iter().flat_map(|label| code.match_indices(label));
    let looked_into = found.filter(|(at, label)| {
        let behind = &file.text[at + label.len()..];
        let as_text = behind.strip_prefix(".as_str()").or(behind.strip_prefix("()")).unwrap_or(behind);
        let before = file.text[..*at].trim_end_matches(|c: char| c.is_alphanumeric() || "_.".contains(c));
        LOOKS.iter().any(|look| as_text.trim_start().starts_with(look))
            || (before.ends_with("match ") && behind.starts_with(".as_str()"))
    });
    let complaint = |(at, label): (usize, &str)| {
        format!("{}:{}: `{label}` decides by its words; give it an id", file.path, file.line_of(at))
    };
    looked_into.map(complaint).collect()
}
