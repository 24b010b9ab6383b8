//! Data runs one way through the stages of `truing`; nobody reaches back.

use crate::code::{code_of, inline_modules, paths, without_tests};
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
    let code = code_of(&file.text);
    let product = without_tests(&code);
    let mut complaints = Vec::new();
    for (at, path) in paths(&code) {
        let depth = modules.len()
            + inline_modules(&code).iter().filter(|(_, start, end)| (*start..*end).contains(&at)).count();
        let in_test = file.is_test() || product[at..].starts_with(' ');
        if let Some(complaint) = from_root(&path, depth).and_then(|used| complaint(own, used, in_test)) {
            complaints.push(format!("{}:{}: `{path}`: {complaint}", file.path, file.line_of(at)));
        }
    }
    complaints
}

/// `measure/drive/line/fit.rs` is `measure::drive::line::fit`, the root is empty.
fn module_path(path: &str) -> Vec<&str> {
    let mut names: Vec<&str> = path.trim_end_matches(".rs").split('/').collect();
    if matches!(names.last(), Some(&"mod" | &"lib" | &"main")) {
        names.pop();
    }
    names
}

/// What a path names directly under the root of the crate, if it goes through the root.
fn from_root(path: &str, depth: usize) -> Option<&str> {
    let names: Vec<&str> = path.split("::").collect();
    if names[0] == "crate" {
        return Some(names[1]);
    }
    let names = names.strip_prefix(&["self"]).unwrap_or(&names);
    let ups = names.iter().take_while(|name| **name == "super").count();
    (ups == depth).then(|| names.get(ups).copied().unwrap_or("*"))
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
