//! The floors of `waywiser`: each uses only those below it. And files that use each other round about, of which there are
//! none.

use crate::modules::{Modules, from_root, module_path, named};
use crate::tree::{File, Tree};
use std::collections::{BTreeMap, BTreeSet};

const SOURCE: &str = "crates/waywiser/src/";
/// From the lowest up. Those on one line stand side by side and use nothing of each other.
const FLOORS: [&[&str]; 8] = [
    &["sound", "unpack", "book"],
    &["world"],
    &["ledger", "chart", "lan", "live"],
    &["paper"],
    &["work"],
    &["garage"],
    &["page"],
    &["cli"],
];

fn floor(name: &str) -> Option<usize> {
    FLOORS.iter().position(|names| names.contains(&name))
}

/// Uses of a floor that is not below. Tests may use any: those of the page run commands.
pub fn check(tree: &Tree) -> Vec<String> {
    tree.rust_under(SOURCE).filter(|file| !file.is_test()).flat_map(check_file).collect()
}

fn check_file(file: &File) -> Vec<String> {
    let modules = module_path(&file.path[SOURCE.len()..]);
    let Some(&own) = modules.first() else { return Vec::new() };
    let mut complaints = Vec::new();
    for one in named(file, modules.len()).into_iter().filter(|one| !one.in_test) {
        let said = from_root(&one.path, one.depth).and_then(|used| complaint(own, used));
        complaints.extend(
            said.map(|said| format!("{}:{}: `{}`: {said}", file.path, file.line_of(one.at), one.path)),
        );
    }
    complaints
}

fn complaint(own: &str, used: &str) -> Option<String> {
    if own == used {
        return None;
    }
    for name in [own, used] {
        if floor(name).is_none() {
            return Some(format!("`{name}` is on no floor; give it one in tidy/floors.rs"));
        }
    }
    (floor(used) >= floor(own)).then(|| format!("`{own}` may not use `{used}`"))
}

/// Files that use each other round about: neither can be understood without the other.
pub fn circles(tree: &Tree) -> Vec<String> {
    let used = Modules::of(tree, SOURCE).used_by();
    let in_circles = in_circles(&used);
    let complaint = |file: &&str| {
        let next: Vec<&str> = used[*file].iter().filter(|used| in_circles.contains(used)).copied().collect();
        format!("{file}: in a circle through {}; move what both need into a file below both", next.join(", "))
    };
    in_circles.iter().map(complaint).collect()
}

/// The files from which one can come back to themselves.
fn in_circles<'t>(used: &BTreeMap<&'t str, Vec<&'t str>>) -> Vec<&'t str> {
    let leads_back = |start: &&&'t str| {
        let (mut seen, mut next) = (BTreeSet::new(), used[*start].clone());
        while let Some(file) = next.pop() {
            if seen.insert(file) {
                next.extend(used.get(file).into_iter().flatten());
            }
        }
        seen.contains(**start)
    };
    used.keys().filter(leads_back).copied().collect()
}
