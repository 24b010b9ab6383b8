//! How long files and functions are.

use crate::code::{block_end, code_of, named_after};
use crate::ratchet::Sizes;
use crate::tree::{File, Tree};

/// A file longer than this holds more than one thing.
const FILE_LINES: usize = 400;
/// A function longer than this does not fit on a screen; most have about ten lines.
const FUNCTION_LINES: usize = 60;
/// A file may be longer where its head says why.
const REASON: &str = "Long because";
const HEAD_LINES: usize = 10;
/// What people write, as against data, licences and lock files.
const WRITTEN: [&str; 6] = [".rs", ".sh", ".py", ".sql", ".js", ".css"];

/// Files and functions over their limit.
pub fn over_limit(tree: &Tree) -> Sizes {
    let mut sizes = Sizes::new();
    for file in tree.files.iter().filter(|file| WRITTEN.iter().any(|end| file.path.ends_with(end))) {
        let lines = file.text.lines().count();
        let has_reason = file.text.lines().take(HEAD_LINES).any(|line| line.contains(REASON));
        if lines > FILE_LINES && !has_reason {
            sizes.insert(format!("lines of {}", file.path), (lines, "give its parts files of their own"));
        }
        if file.is_rust() {
            add_long_functions(file, &mut sizes);
        }
    }
    sizes
}

/// Two functions of one name in one file count together.
fn add_long_functions(file: &File, sizes: &mut Sizes) {
    let code = code_of(&file.text);
    for (at, name) in named_after(&code, "fn") {
        let lines = code[at..function_end(&code, at)].lines().count();
        if lines > FUNCTION_LINES {
            let key = format!("lines of fn {name} in {}", file.path);
            sizes.entry(key).or_insert((0, "give its steps names of their own")).0 += lines;
        }
    }
}

/// The end of the body, or of the signature where there is no body.
fn function_end(code: &str, start: usize) -> usize {
    let mut at = start;
    while let Some(offset) = code[at..].find(['{', ';', '(', '[']) {
        at += offset;
        let end = block_end(code, at);
        if matches!(code.as_bytes()[at], b'{' | b';') {
            return end;
        }
        at = end;
    }
    code.len()
}
