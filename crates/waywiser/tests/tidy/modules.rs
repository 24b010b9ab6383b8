//! Which module a file is, and what a path in it leads to.

use crate::code::{code_of, inline_modules, paths, without_tests};
use crate::tree::{File, Tree};
use std::collections::BTreeMap;

/// `measure/drive/line/fit.rs` is `measure::drive::line::fit`, the root is empty.
pub fn module_path(path: &str) -> Vec<&str> {
    let mut names: Vec<&str> = path.trim_end_matches(".rs").split('/').collect();
    if matches!(names.last(), Some(&"mod" | &"lib" | &"main")) {
        names.pop();
    }
    names
}

/// A path that a file names: where it starts, as it is written, whether in a test, and how deep under the root that is.
pub struct Named {
    pub at: usize,
    pub path: String,
    pub in_test: bool,
    pub depth: usize,
}

/// Every path of a file whose module lies so deep.
pub fn named(file: &File, modules: usize) -> Vec<Named> {
    let code = code_of(&file.text);
    let product = without_tests(&code);
    let inline = inline_modules(&code);
    let one = |(at, path): (usize, String)| {
        let depth = modules + inline.iter().filter(|(_, start, end)| (*start..*end).contains(&at)).count();
        let in_test = file.is_test() || product[at..].starts_with(' ');
        Named { at, path, in_test, depth }
    };
    paths(&code).into_iter().map(one).collect()
}

/// What a path names directly under the root of the crate, if it goes through the root.
pub fn from_root(path: &str, depth: usize) -> Option<&str> {
    let names: Vec<&str> = path.split("::").collect();
    if names[0] == "crate" {
        return Some(names[1]);
    }
    let names = names.strip_prefix(&["self"]).unwrap_or(&names);
    let ups = names.iter().take_while(|name| **name == "super").count();
    (ups == depth).then(|| names.get(ups).copied().unwrap_or("*"))
}

type Module = Vec<String>;

/// The modules of a crate, each with the file that it stands in.
pub struct Modules<'t> {
    files: BTreeMap<Module, &'t File>,
    /// What a module gives out of another one: its name there to the whole path that it stands for.
    given_out: BTreeMap<(Module, String), Module>,
}

impl<'t> Modules<'t> {
    /// The product's files under `source`.
    pub fn of(tree: &'t Tree, source: &'t str) -> Self {
        let module =
            |file: &File| module_path(&file.path[source.len()..]).into_iter().map(str::to_string).collect();
        let product = tree.rust_under(source).filter(|file| !file.is_test());
        let files: BTreeMap<Module, &File> = product.map(|file| (module(file), file)).collect();
        let mut modules = Self { files, given_out: BTreeMap::new() };
        let all: Vec<(Module, &File)> =
            modules.files.iter().map(|(own, file)| (own.clone(), *file)).collect();
        for (own, file) in all {
            for (_, path) in given_out(file) {
                let (Some(whole), Some(name)) = (modules.whole(&own, &path), path.rsplit("::").next()) else {
                    continue;
                };
                modules.given_out.insert((own.clone(), name.to_string()), whole);
            }
        }
        modules
    }

    /// The files that a file uses something of, its own apart, by their paths. What is only given out is not used.
    pub fn used_by(&self) -> BTreeMap<&'t str, Vec<&'t str>> {
        let mut all = BTreeMap::new();
        for (own, file) in &self.files {
            let given_out: Vec<usize> = given_out(file).into_iter().map(|(at, _)| at).collect();
            let used = named(file, own.len()).into_iter();
            let used = used.filter(|one| !one.in_test && !given_out.contains(&one.at));
            let mut used: Vec<&str> = used
                .filter_map(|one| {
                    // A path inside an inline module begins there.
                    let inside = one.depth - own.len();
                    let names: Vec<&str> = one.path.split("::").collect();
                    let ups = names.iter().take_while(|name| **name == "super").count();
                    let path = names[ups.min(inside)..].join("::");
                    Some(self.file_of(&self.whole(own, &path)?, 0)?.path.as_str())
                })
                .filter(|path| *path != file.path)
                .collect();
            used.sort_unstable();
            used.dedup();
            all.insert(file.path.as_str(), used);
        }
        all
    }

    /// A path from the root, of one that stands in a module; none where it leads out of the crate.
    fn whole(&self, own: &[String], path: &str) -> Option<Module> {
        let names: Vec<&str> = path.split("::").filter(|name| *name != "self").collect();
        let ups = names.iter().take_while(|name| **name == "super").count();
        let begin: &[String] = match names.first() {
            Some(&"crate") => &[],
            _ if ups > 0 => &own[..own.len().checked_sub(ups)?],
            // A module of its own, such as `known::Slot`.
            Some(&name) if self.is_module(&[own, &[name.to_string()]].concat()) => own,
            _ => return None,
        };
        let skipped = if names.first() == Some(&"crate") { 1 } else { ups };
        Some(begin.iter().cloned().chain(names[skipped..].iter().map(|name| (*name).to_string())).collect())
    }

    fn is_module(&self, module: &[String]) -> bool {
        self.files.contains_key(module)
    }

    /// The file in which what a whole path names is made: where a module gives it out of another one, that other.
    fn file_of(&self, whole: &[String], turns: usize) -> Option<&'t File> {
        let deepest = (0..=whole.len()).rev().find(|length| self.is_module(&whole[..*length]))?;
        let (module, rest) = whole.split_at(deepest);
        let elsewhere = rest.first().and_then(|name| self.given_out.get(&(module.to_vec(), name.clone())));
        match elsewhere {
            Some(elsewhere) if turns < 8 => {
                self.file_of(&[elsewhere.as_slice(), &rest[1..]].concat(), turns + 1)
            }
            _ => self.files.get(module).copied(),
        }
    }
}

/// What a file gives out of other modules (`pub use`), each with the place where the path starts.
fn given_out(file: &File) -> Vec<(usize, String)> {
    let code = without_tests(&code_of(&file.text));
    let is_given = |at: &usize| {
        let before = code[..*at].trim_end();
        let before = before.strip_suffix("use").map_or("", str::trim_end);
        before.ends_with("pub") || before.ends_with("pub(crate)") || before.ends_with("pub(super)")
    };
    paths(&code).into_iter().filter(|(at, _)| is_given(at)).collect()
}
