//! What `docs/trust.md` names as shown by a test is shown by one that exists.

use crate::tree::Tree;

const PAGE: &str = "docs/trust.md";

/// Tests that are named and not there, and lines of its tables that name none.
pub fn check(tree: &Tree) -> Vec<String> {
    let Some(page) = tree.files.iter().find(|file| file.path == PAGE) else {
        return vec![format!("{PAGE}: not there")];
    };
    let rows = page.text.lines().filter(|line| line.starts_with("| ") && !line.ends_with("| Shown by |"));
    rows.flat_map(|row| {
        let named = named(row);
        match named.is_empty() {
            true => vec![format!("{PAGE}: no test in `{row}`")],
            false => named.into_iter().filter_map(|(path, test)| missing(tree, path, test)).collect(),
        }
    })
    .collect()
}

/// Each `file.rs: test` between backticks.
fn named(row: &str) -> Vec<(&str, &str)> {
    let quoted = row.split('`').skip(1).step_by(2);
    quoted
        .filter_map(|text| text.split_once(".rs: ").map(|(stem, test)| (&text[..stem.len() + 3], test)))
        .collect()
}

fn missing(tree: &Tree, path: &str, test: &str) -> Option<String> {
    let Some(file) = tree.files.iter().find(|file| file.path == path) else {
        return Some(format!("{PAGE}: `{path}` is not there"));
    };
    // A test stands behind its mark; other marks and the sign of a property test may stand between.
    let tests: Vec<&str> =
        file.text.split("#[test]").skip(1).filter_map(|after| after.split("fn ").nth(1)).collect();
    // Targets of a macro are tests by their names.
    let is_target = file.text.contains(&format!("\n    {test}: "));
    let is_there = match test {
        "*" => !tests.is_empty(),
        test => is_target || tests.iter().any(|after| after.split(['(', '<']).next() == Some(test)),
    };
    (!is_there).then(|| format!("{PAGE}: no test `{test}` in `{path}`"))
}
