//! Sentences live in the report: a stage that is in this list gives facts with their numbers, and no text of its own.

use crate::code::{code_of, texts, without_tests};
use crate::tree::{File, Tree};

/// Folders where no text may be a sentence.
const WITHOUT: [&str; 4] = [
    "crates/truing/src/choose/",
    "crates/truing/src/measure/",
    "crates/truing/src/prove",
    "crates/truing/src/set/",
];

/// Sentences where none may stand.
pub fn check(tree: &Tree) -> Vec<String> {
    let is_watched = |path: &str| WITHOUT.iter().any(|folder| path.starts_with(folder));
    let watched =
        tree.files.iter().filter(|file| file.is_rust() && !file.is_test() && is_watched(&file.path));
    watched.flat_map(in_file).collect()
}

fn in_file(file: &File) -> Vec<String> {
    // Blanked texts are marked, so that they can be told from what is blanked as a test.
    let kept = without_tests(&code_of(&file.text).replace(' ', "_"));
    let said = texts(&file.text).into_iter().filter(|text| kept.as_bytes()[text.start] != b' ');
    let sentences = said.filter(|text| is_sentence(&file.text[text.clone()]));
    let complaint =
        |at| format!("{}:{}: a sentence; give a fact, and the report words it", file.path, file.line_of(at));
    sentences.map(|text| complaint(text.start)).collect()
}

/// Words that end in a full stop, or go on after one.
fn is_sentence(literal: &str) -> bool {
    let inside = literal.trim_start_matches('r').trim_matches('#').trim_matches('"').trim();
    inside.contains(' ') && inside.ends_with('.') && !inside.ends_with("...") || inside.contains(". ")
}
