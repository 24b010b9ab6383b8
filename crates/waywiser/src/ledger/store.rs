//! The record of one garage, open; what it is called, and what is said where it is not.

use crate::world::Scratch;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use truing::problem::{Field, Problem, Wording};

/// The file of the record in the garage's folder.
pub const FILE: &str = "record.sqlite";

/// The record of one garage, open.
pub struct Ledger {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    /// Where a copy is read, the folder of the copy.
    pub(super) _copy: Option<Scratch>,
}

impl Ledger {
    /// Where it is on disk.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// A place in which the record cannot be.
pub(super) fn no_folder(place: &Path, error: &std::io::Error) -> Problem {
    Problem::error(place.display().to_string(), "a place that can be written to", error.to_string())
        .hint(Wording::from("Choose another place with ").field(Field::Garage).text("."))
}

/// Where a record is looked for and none is.
pub(super) fn nothing_there(path: &Path) -> Problem {
    let found = if path.exists() { "an empty file, in which nothing was recorded" } else { "no such file" };
    let hint = "Add a first entry with `waywiser record add`, or say where the record is with ";
    Problem::error(path.display().to_string(), "a record", found)
        .hint(Wording::from(hint).field(Field::Garage).text("."))
}
