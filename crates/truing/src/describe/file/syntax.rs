//! Problems of a text that is not TOML.

use crate::describe::file::document::{Document, quoted};
use crate::describe::file::keys::NOTHING;
use crate::problem::Problem;
use toml::de::Error;

/// The syntax errors as problems, with those of the problems found beside them that they do not explain: on other
/// lines, and not for want of a key, which may have been lost to the error.
pub(crate) fn with_syntax_errors(document: &Document, text: &str, errors: &[Error]) -> Vec<Problem> {
    let mut problems: Vec<Problem> = Vec::new();
    for error in errors {
        let offset = error.span().map_or(0, |span| span.start);
        let line = document.line(offset);
        if problems.iter().any(|problem| problem.line == Some(line)) {
            continue;
        }
        let content = text.lines().nth(line - 1).unwrap_or_default();
        let found =
            if content.trim().is_empty() { "the end of the text".into() } else { quoted(content.trim()) };
        let hint = format!("{} ({})", hint(content, error.message()), error.message());
        problems.push(document.error(offset, "TOML", found).hint(hint));
    }
    let broken: Vec<Option<usize>> = problems.iter().map(|problem| problem.line).collect();
    let beside = document.problems().into_iter();
    problems.extend(beside.filter(|problem| problem.found != NOTHING && !broken.contains(&problem.line)));
    problems.sort_by_key(|problem| problem.line);
    problems
}

/// What is most often behind a line that is not TOML.
fn hint(line: &str, message: &str) -> &'static str {
    if message.starts_with("duplicate key") {
        return "It stands further up already; keep one";
    }
    let value = line.split_once('=').map_or("", |(_, value)| value).trim();
    let bytes = value.as_bytes();
    let comma = bytes.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit());
    if comma && !value.starts_with(['[', '{', '"']) {
        "Write a decimal with a point, as in 8.20"
    } else if value.starts_with(|first: char| first.is_ascii_digit()) {
        "Put a value with a unit or a fraction in quotes"
    } else if value.starts_with(|first: char| first.is_alphabetic()) {
        "Put text in quotes"
    } else {
        "A line is `key = value`, a [section] or a # remark"
    }
}
