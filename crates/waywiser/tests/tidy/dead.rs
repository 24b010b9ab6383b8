//! Files that nothing reaches, and files that are not named as their kind asks.

use crate::code::{code_of, inline_modules, named_after};
use crate::tree::{File, Tree, resolve};
use std::collections::BTreeSet;

/// Rust files no `mod` line leads to, and files beside the code that no code names.
pub fn check(tree: &Tree) -> Vec<String> {
    let mut reached: BTreeSet<String> = BTreeSet::new();
    let mut open: Vec<&File> = tree.rust_under("").filter(|file| is_root(&file.path)).collect();
    while let Some(file) = open.pop() {
        if reached.insert(file.path.clone()) {
            let named = modules_of(file);
            open.extend(tree.files.iter().filter(|file| named.contains(&file.path)));
        }
    }
    let lost = tree.rust_under("crates/").filter(|file| !reached.contains(&file.path));
    let lost = lost.map(|file| format!("{}: no `mod` line leads here", file.path));
    let beside = tree.files.iter().filter(|file| !file.is_rust() && file.path.contains("/src/"));
    let unread = beside.filter(|file| !is_included(tree, file));
    lost.chain(unread.map(|file| format!("{}: no code includes it", file.path))).collect()
}

/// Where a compilation begins.
fn is_root(path: &str) -> bool {
    let names: Vec<&str> = path.split('/').collect();
    matches!(
        names[..],
        ["crates", _, "src", "lib.rs" | "main.rs"]
            | ["crates", _, "src", "bin", _]
            | ["crates", _, "build.rs"]
            | ["crates", _, "tests" | "examples" | "benches", _]
            | ["crates", _, "tests" | "examples" | "benches", _, "main.rs"]
            | ["crates", _, "fuzz", "fuzz_targets", _]
            | ["crates", _, "compare", "src", "main.rs"]
    )
}

/// The paths where the modules that a file names may stand.
fn modules_of(file: &File) -> Vec<String> {
    let code = code_of(&file.text);
    let inline = inline_modules(&code);
    let (folder, name) = file.split();
    let stem = name.trim_end_matches(".rs");
    let is_head = is_root(&file.path) || stem == "mod";
    let home = if is_head { folder.to_string() } else { format!("{folder}/{stem}") };
    let mut found = Vec::new();
    for (at, module) in
        named_after(&code, "mod").into_iter().filter(|(at, _)| inline.iter().all(|one| one.1 != *at))
    {
        if let Some(path) = path_attribute(&file.text, &code, at) {
            found.push(resolve(folder, path));
            continue;
        }
        let around = inline.iter().filter(|(_, start, end)| (*start..*end).contains(&at));
        let place = around.fold(home.clone(), |place, (name, ..)| format!("{place}/{name}"));
        found.extend([format!("{place}/{module}.rs"), format!("{place}/{module}/mod.rs")]);
    }
    found
}

/// `#[path = "..."]` before a `mod` line. The code has its text blanked out, the file still holds it.
fn path_attribute<'a>(text: &'a str, code: &str, module: usize) -> Option<&'a str> {
    let item = code[..module].rfind([';', '{', '}']).map_or(0, |end| end + 1);
    let start = item + code[item..module].find("#[path")?;
    text[start..module].split('"').nth(1)
}

fn is_included(tree: &Tree, file: &File) -> bool {
    let (folder, name) = file.split();
    let last = folder.rsplit('/').next().unwrap_or_default();
    let names = [format!("{name}\")"), format!("{last}/{name}\")")];
    let include = |rust: &&File| names.iter().any(|name| rust.text.contains(name.as_str()));
    tree.rust_under("crates/").filter(|rust| rust.text.contains("include_")).any(|rust| include(&rust))
}

/// Migrations run in the order of their names: `2026-11-25-first-entries.sql`.
pub fn migrations(tree: &Tree) -> Vec<String> {
    let all = tree.files.iter().filter(|file| file.path.contains("/migrations/"));
    let wrong = all.filter(|file| !is_dated(file.split().1));
    wrong
        .map(|file| format!("{}: name it by its day and what it does, 2026-11-25-words.sql", file.path))
        .collect()
}

fn is_dated(name: &str) -> bool {
    let shape: String = name.chars().take(11).map(|c| if c.is_ascii_digit() { '0' } else { c }).collect();
    let words = name.get(11..).and_then(|rest| rest.strip_suffix(".sql"));
    shape == "0000-00-00-"
        && words.is_some_and(|words| {
            !words.is_empty()
                && words.chars().all(|c| c == '-' || c.is_ascii_lowercase() || c.is_ascii_digit())
        })
}

/// Modules with parts whose head does not stand in their folder, and folders that hold a head alone.
pub fn folders(tree: &Tree) -> Vec<String> {
    let sources: Vec<&File> = tree.rust_under("crates/").filter(|file| file.path.contains("/src/")).collect();
    let below = |folder: &str| sources.iter().filter(|file| file.path.starts_with(folder)).count();
    let outside = sources.iter().filter_map(|file| {
        let folder = format!("{}/", file.path.strip_suffix(".rs")?);
        (below(&folder) > 0).then(|| format!("{}: stands beside its folder; write {folder}mod.rs", file.path))
    });
    let alone = sources.iter().filter_map(|file| {
        let folder = file.path.strip_suffix("mod.rs")?;
        (below(folder) == 1).then(|| format!("{}: a folder for one file", file.path))
    });
    outside.chain(alone).collect()
}
