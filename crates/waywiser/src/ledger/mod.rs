//! The ledger: the record on disk, in one SQLite file per garage. The only place that speaks SQL.
//!
//! One chain per garage. An entry is added inside one immediate transaction that reads the head anew; it is confirmed
//! after the commit has reached the disk (`synchronous = FULL`) and the row was read back and found to be what was
//! meant. A confirmed entry survives the end of the program at any instant; one that was not confirmed is there whole
//! or not at all.

mod append;
mod check;
#[cfg(test)]
mod damage_tests;
mod fault;
mod holder;
#[cfg(test)]
mod kept_tests;
mod migrate;
mod open;
mod read;
mod salvage;
mod seen;
mod take_in;
#[cfg(test)]
mod tests;

pub use append::{Look, Request};
pub use check::{Checked, Finding, check};
pub use salvage::{Salvage, salvage, salvaged};
pub use seen::{Seen, seen};
pub use take_in::Taken;

use crate::world::faults::Operation;
use crate::world::{self, Scratch};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use truing::problem::Problem;

/// The file of the record in the garage's folder.
pub const FILE: &str = "record.sqlite";

/// The record of one garage, open.
pub struct Ledger {
    connection: Connection,
    path: PathBuf,
    /// Where a copy is read, the folder of the copy.
    _copy: Option<Scratch>,
}

impl Ledger {
    /// Where it is on disk.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Copies the whole record into a new file, whatever others write meanwhile. Never over a file that is there.
    pub fn back_up(&self, to: &Path) -> Result<(), Vec<Problem>> {
        if to.exists() {
            let problem = Problem::error(to.display().to_string(), "a name that is free", "a file");
            return Err(vec![problem.hint("Choose another name: a backup is never written over.")]);
        }
        if let Some(folder) = to.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            world::make_folders(folder).map_err(|error| vec![no_folder(folder, &error)])?;
        }
        let copied = open::may(Operation::Create, to)
            .and_then(|()| Ok(self.connection.execute("VACUUM INTO ?1", [to.display().to_string()])?));
        copied.map_err(|fault| fault.problems(&self.path))?;
        synced(to).map_err(|error| vec![no_folder(to, &error)])
    }
}

/// Waits until a file has reached the disk.
#[expect(clippy::disallowed_methods, reason = "the ledger's files are its own; this door is watched too")]
fn synced(path: &Path) -> std::io::Result<()> {
    world::faults::before(Operation::Sync, path)?;
    std::fs::File::open(path)?.sync_all()
}

fn no_folder(place: &Path, error: &std::io::Error) -> Problem {
    Problem::error(place.display().to_string(), "a place that can be written to", error.to_string())
        .hint("Choose another place with --garage.")
}

fn nothing_there(path: &Path) -> Problem {
    Problem::error(path.display().to_string(), "a record", "no such file")
        .hint("Add a first entry with `waywiser record add`, or say where the record is with --garage.")
}
