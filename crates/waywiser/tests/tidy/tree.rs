//! The source tree as names and texts, read from disk or made up for a test.

#![expect(clippy::disallowed_methods, reason = "what is tested here is the files themselves")]

use std::fs;
use std::path::Path;

/// Folders that hold nothing of ours: what tools make, and what `.gitignore` names.
const NOT_OURS: [&str; 10] = [
    ".git",
    ".cargo",
    "target",
    "demo",
    "crates/waywiser/tests/browser/node_modules",
    "crates/truing/compare/target",
    "crates/truing/fuzz/target",
    "crates/truing/fuzz/corpus",
    "crates/truing/fuzz/artifacts",
    "crates/truing/fuzz/coverage",
];

/// One file: its path from the root of the tree, with `/`, and its text.
pub struct File {
    pub path: String,
    /// Bytes that are no UTF-8 are replaced: data may hold any.
    pub text: String,
}

impl File {
    pub fn is_rust(&self) -> bool {
        self.path.ends_with(".rs")
    }

    /// Whether the whole file is no product: tests, benchmarks, examples. They may print and stop.
    pub fn is_test(&self) -> bool {
        let folders = ["/tests/", "/fuzz/", "/benches/", "/examples/", "/compare/"];
        folders.iter().any(|folder| self.path.contains(folder)) || self.path.ends_with("tests.rs")
    }

    /// The folder it is in and its own name.
    pub fn split(&self) -> (&str, &str) {
        self.path.rsplit_once('/').unwrap_or(("", &self.path))
    }

    /// Line, counted from 1, of a place in the text.
    pub fn line_of(&self, at: usize) -> usize {
        self.text.as_bytes()[..at].iter().filter(|&&byte| byte == b'\n').count() + 1
    }
}

/// All files, sorted by path.
pub struct Tree {
    pub files: Vec<File>,
}

impl Tree {
    /// The tree this test belongs to.
    pub fn here() -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let mut files = Vec::new();
        collect(&root, "", &mut files);
        files.sort_by(|a, b| a.path.cmp(&b.path));
        Self { files }
    }

    /// A made-up tree, to show that a check can fail.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let file = |&(path, text): &(&str, &str)| File { path: path.to_string(), text: text.to_string() };
        Self { files: files.iter().map(file).collect() }
    }

    /// The Rust files whose path starts so.
    pub fn rust_under<'a>(&'a self, start: &'a str) -> impl Iterator<Item = &'a File> {
        self.files.iter().filter(move |file| file.is_rust() && file.path.starts_with(start))
    }

    pub fn holds(&self, path: &str) -> bool {
        self.files.iter().any(|file| file.path == path)
    }
}

fn collect(folder: &Path, prefix: &str, files: &mut Vec<File>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for entry in entries {
        let entry = entry.expect("an entry of a folder that was just opened");
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        let kind = entry.file_type().expect("the kind of an entry");
        if NOT_OURS.contains(&path.as_str()) {
            continue;
        }
        if kind.is_dir() {
            collect(&entry.path(), &format!("{path}/"), files);
        } else if kind.is_file() {
            let bytes = fs::read(entry.path()).unwrap_or_else(|error| panic!("{path}: {error}"));
            files.push(File { path, text: String::from_utf8_lossy(&bytes).into_owned() });
        }
    }
}

/// The path that a name means in a folder: `../` leads out of it.
pub fn resolve(folder: &str, name: &str) -> String {
    let (mut folder, mut name) = (folder, name);
    while let Some(rest) = name.strip_prefix("../") {
        folder = folder.rsplit_once('/').map_or("", |(above, _)| above);
        name = rest;
    }
    format!("{folder}/{name}")
}
