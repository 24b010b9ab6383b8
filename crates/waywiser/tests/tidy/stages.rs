//! Data runs one way through the stages of `truing`; nobody reaches back.

use crate::modules::{from_root, module_path, named};
use crate::tree::{File, Tree};

const SOURCE: &str = "crates/truing/src/";
/// In order: each may use those before it.
const STAGES: [&str; 7] = ["describe", "measure", "choose", "set", "prove", "record", "report"];
/// Under all stages; they use each other only.
const GROUND: [&str; 5] = ["logs", "rules", "problem", "nearest", "units"];
/// Makes drives from a known truth. It may use the logs, whose shapes it fills; here only tests use it.
const SIMULATE: &str = "simulate";

/// Uses that run against the order.
pub fn check(tree: &Tree) -> Vec<String> {
    tree.rust_under(SOURCE).flat_map(check_file).collect()
}

fn check_file(file: &File) -> Vec<String> {
    let modules = module_path(&file.path[SOURCE.len()..]);
    let Some(&own) = modules.first() else {
        return Vec::new();
    };
    let mut complaints = Vec::new();
    for one in named(file, modules.len()) {
        let said = from_root(&one.path, one.depth).and_then(|used| complaint(own, used, one.in_test));
        complaints.extend(
            said.map(|said| format!("{}:{}: `{}`: {said}", file.path, file.line_of(one.at), one.path)),
        );
    }
    complaints
}

fn complaint(own: &str, used: &str, in_test: bool) -> Option<String> {
    let place = |name: &str| STAGES.iter().position(|stage| *stage == name);
    let is_ground = |name: &str| GROUND.contains(&name);
    if own == used {
        return None;
    }
    if place(used).is_none() && !is_ground(used) && used != SIMULATE {
        return Some(format!("`{used}` has no place in the order of stages; give it one in tidy/stages.rs"));
    }
    let is_right = match place(own) {
        _ if used == SIMULATE => in_test,
        Some(own) => is_ground(used) || place(used).is_some_and(|used| used < own),
        None if own == SIMULATE => used == "logs",
        None => is_ground(own) && is_ground(used),
    };
    (!is_right).then(|| format!("`{own}` may not use `{used}`"))
}
