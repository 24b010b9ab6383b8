//! The pages about the code: short enough to be read, and naming every part that is there.

use crate::tree::Tree;
use std::collections::BTreeSet;

const MAP: &str = "ARCHITECTURE.md";
/// A page longer than this is not read to its end.
const PAGE_LINES: [(&str, usize); 2] = [(MAP, 200), ("STYLE.md", 150)];

/// Pages that are missing or too long, modules without a row in the map, and rows without a module.
pub fn check(tree: &Tree) -> Vec<String> {
    let text =
        |path: &str| tree.files.iter().find(|file| file.path == path).map_or("", |file| file.text.as_str());
    let wrong = PAGE_LINES.iter().filter_map(|&(path, limit)| match text(path).lines().count() {
        0 => Some(format!("{path}: not there")),
        lines => (lines > limit).then(|| format!("{path}: {lines} lines, {limit} at most")),
    });
    let (rows, modules) = (rows(text(MAP)), top_modules(tree));
    let unnamed =
        modules.difference(&rows).map(|(krate, name)| format!("{MAP}: no row for {name} of {krate}"));
    let gone = rows.difference(&modules);
    let gone = gone.map(|(krate, name)| format!("{MAP}: a row for {name} of {krate}, which is not there"));
    wrong.chain(unnamed).chain(gone).collect()
}

/// Crate and name of every row of the map: `| `name` | ...` below the heading of a crate.
fn rows(map: &str) -> BTreeSet<(&str, &str)> {
    let mut krate = None;
    let mut rows = BTreeSet::new();
    for line in map.lines() {
        if line.starts_with('#') {
            krate = line.strip_prefix("### `crates/").and_then(|rest| rest.split('`').next());
        }
        let name = line.strip_prefix("| `").and_then(|rest| rest.split('`').next());
        rows.extend(krate.zip(name.map(|name| name.trim_end_matches(".rs"))));
    }
    rows.retain(|(_, name)| !is_root(name));
    rows
}

fn is_root(name: &str) -> bool {
    matches!(name, "lib" | "main" | "bin")
}

/// Crate and name of every module directly under a root.
fn top_modules(tree: &Tree) -> BTreeSet<(&str, &str)> {
    let parts = tree.rust_under("crates/").map(|file| file.path.split('/').collect::<Vec<_>>());
    let modules = parts.filter_map(|parts| match parts[..] {
        ["crates", krate, "src", name, ..] => Some((krate, name.trim_end_matches(".rs"))),
        _ => None,
    });
    modules.filter(|(_, name)| !is_root(name)).collect()
}
