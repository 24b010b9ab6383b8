//! Flags of the command line are said by the command line alone: a page has labels, a paper has neither.

use crate::code::{code_of, texts, without_tests};
use crate::tree::{File, Tree};

/// Where no text may hold a flag.
const NOT_THERE: [&str; 7] = [
    "crates/truing/src/",
    "crates/waywiser/src/garage/",
    "crates/waywiser/src/ledger/",
    "crates/waywiser/src/page/",
    "crates/waywiser/src/paper/",
    "crates/waywiser/src/work/",
    "crates/waywiser/src/world/",
];
/// Files that make the words of a command of our own, to be run apart.
const OF_COMMANDS: [&str; 3] = [
    "crates/waywiser/src/garage/aside.rs",
    "crates/waywiser/src/work/asked.rs",
    "crates/waywiser/src/work/pulses.rs",
];

/// Flags in texts where other faces read them.
pub fn check(tree: &Tree) -> Vec<String> {
    let is_watched =
        |path: &str| NOT_THERE.iter().any(|folder| path.starts_with(folder)) && !OF_COMMANDS.contains(&path);
    let watched =
        tree.files.iter().filter(|file| file.is_rust() && !file.is_test() && is_watched(&file.path));
    watched.flat_map(in_file).collect()
}

fn in_file(file: &File) -> Vec<String> {
    // Blanked texts are marked, so that they can be told from what is blanked as a test.
    let kept = without_tests(&code_of(&file.text).replace(' ', "_"));
    let is_flag = |at: &usize| {
        file.text[at + 2..].starts_with(|c: char| c.is_ascii_lowercase() || c == '{')
            && !file.text[..*at].ends_with('-')
    };
    let flags = texts(&file.text).into_iter().flat_map(|text| {
        let start = text.start;
        file.text[text].match_indices("--").map(move |(offset, _)| start + offset)
    });
    let said = flags.filter(is_flag).filter(|&at| kept.as_bytes()[at] != b' ');
    let complaint = |at| format!("{}:{}: a flag; name a Field instead", file.path, file.line_of(at));
    said.map(complaint).collect()
}
