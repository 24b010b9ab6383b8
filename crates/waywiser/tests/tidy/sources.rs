//! Every data file is named in the `SOURCES.md` beside it, and every file named there exists.

use crate::tree::{File, Tree, resolve};

const LIST: &str = "SOURCES.md";

/// Data without an origin, and origins without data.
pub fn check(tree: &Tree) -> Vec<String> {
    let data = tree.files.iter().filter(|file| is_data(&file.path) && file.split().1 != LIST);
    let unnamed = data.filter_map(|file| unnamed(tree, file));
    let lists = tree.files.iter().filter(|file| file.split().1 == LIST);
    unnamed.chain(lists.flat_map(|list| missing(tree, list))).collect()
}

fn is_data(path: &str) -> bool {
    path.contains("/tests/data/") || path.starts_with("examples/")
}

/// The list is that of the folder or of the nearest one above it.
fn unnamed(tree: &Tree, file: &File) -> Option<String> {
    let mut folder = file.split().0;
    loop {
        let found = tree.files.iter().find(|list| list.path == format!("{folder}/{LIST}"));
        if let Some(list) = found {
            let name = &file.path[folder.len() + 1..];
            let is_named = in_backticks(&list.text).contains(&name);
            return (!is_named).then(|| format!("{}: not named in {}", file.path, list.path));
        }
        let Some((above, _)) = folder.rsplit_once('/') else {
            return Some(format!("{}: no {LIST} beside it", file.path));
        };
        folder = above;
    }
}

fn missing(tree: &Tree, list: &File) -> Vec<String> {
    let folder = list.split().0;
    let named = in_backticks(&list.text).into_iter().filter(|name| is_own_file(tree, folder, name));
    let paths = named.map(|name| (name, resolve(folder, name)));
    let gone = paths.filter(|(_, path)| !tree.holds(path));
    gone.map(|(name, _)| format!("{}: names `{name}`, which is not there", list.path)).collect()
}

fn in_backticks(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

/// A bare file name, or a path from here; a path of another repository begins with a folder that is not here.
fn is_own_file(tree: &Tree, folder: &str, name: &str) -> bool {
    let bare = name.trim_start_matches("../");
    let has_ending = bare.rsplit_once('.').is_some_and(|(stem, ending)| {
        !stem.is_empty() && !stem.starts_with('.') && ending.chars().all(|c| c.is_ascii_alphabetic())
    });
    let is_one_word = !bare.contains(|c: char| !c.is_ascii_alphanumeric() && !"._-/".contains(c));
    let is_here = match bare.split_once('/') {
        Some((first, _)) if bare == name => {
            tree.files.iter().any(|file| file.path.starts_with(&format!("{folder}/{first}/")))
        }
        _ => true,
    };
    has_ending && is_one_word && is_here
}
