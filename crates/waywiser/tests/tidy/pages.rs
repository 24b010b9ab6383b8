//! The pages about the code: short enough to be read, and naming every part that is there.

use crate::tree::Tree;
use std::collections::BTreeSet;

const MAP: &str = "ARCHITECTURE.md";
/// A page longer than this is not read to its end.
const PAGE_LINES: [(&str, usize); 2] = [(MAP, 200), ("STYLE.md", 150)];

/// Pages that are missing or too long, and modules the map does not name.
pub fn check(tree: &Tree) -> Vec<String> {
    let text =
        |path: &str| tree.files.iter().find(|file| file.path == path).map_or("", |file| file.text.as_str());
    let wrong = PAGE_LINES.iter().filter_map(|&(path, limit)| match text(path).lines().count() {
        0 => Some(format!("{path}: not there")),
        lines => (lines > limit).then(|| format!("{path}: {lines} lines, {limit} at most")),
    });
    let map = text(MAP);
    let is_named =
        |name: &str| [name, &format!("{name}.rs")].iter().any(|name| map.contains(&format!("`{name}`")));
    let modules = top_modules(tree).into_iter().filter(|(_, name)| !is_named(name));
    wrong.chain(modules.map(|(krate, name)| format!("{MAP}: does not name {name} of {krate}"))).collect()
}

/// Crate and name of every module directly under a root.
fn top_modules(tree: &Tree) -> BTreeSet<(&str, &str)> {
    let parts = tree.rust_under("crates/").map(|file| file.path.split('/').collect::<Vec<_>>());
    let modules = parts.filter_map(|parts| match parts[..] {
        ["crates", krate, "src", name, ..] => Some((krate, name.trim_end_matches(".rs"))),
        _ => None,
    });
    modules.filter(|(_, name)| !matches!(*name, "lib" | "main" | "bin")).collect()
}
