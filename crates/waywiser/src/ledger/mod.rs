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
mod key;
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
pub use key::{key, make_key};
pub(crate) use open::is_none;
pub use salvage::{Salvage, salvage, salvaged};
pub use seen::{Seen, seen};
pub use take_in::Taken;

use crate::world::faults::Operation;
use crate::world::{self, Scratch};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::{Problem, Problems};
use truing::record::{Entry, Expected};

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

    /// Copies the whole record into a new file, whatever others write meanwhile: checked before it gets its name, and never
    /// over a file that is there. What fails leaves nothing.
    pub fn back_up(&self, to: &Path) -> Result<(), Problems> {
        if to.exists() {
            return Err(name_taken(to).into());
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        // It has no name of its own before it is whole; what a killed program left of one is cleared away.
        world::clear_left_behind(folder);
        let apart = Scratch::inside(folder)?;
        let copy = apart.path().join(FILE);
        let before = read::head(&self.connection).map_err(|fault| fault.problems(&self.path))?;
        let copied = open::may(Operation::Create, &copy)
            .and_then(|()| Ok(self.connection.execute("VACUUM INTO ?1", [copy.display().to_string()])?));
        copied.map_err(|fault| fault.problems(&self.path))?;
        self.compare(&copy, before.as_ref())?;
        synced(&copy).map_err(|error| vec![no_folder(to, &error)])?;
        match world::give_name(&copy, to)? {
            true => Ok(()),
            false => Err(name_taken(to).into()),
        }
    }

    /// Refuses a copy that is not whole, or that lacks what the record held before it was copied.
    fn compare(&self, copy: &Path, before: Option<&Entry>) -> Result<(), Problems> {
        let folder = copy.parent().unwrap_or(Path::new(""));
        let found = Ledger::open_to_read(folder, Duration::ZERO)?;
        let checked = found.check(&Expected::default());
        if checked.finding != Finding::Whole {
            let problem = Problem::error("the copy", "a record that is in order", "one that is not")
                .hint("Nothing was written. See what `waywiser record check` says of the record itself.");
            return Err(checked.problems.into_iter().chain([problem]).collect());
        }
        let last = before.map(|last| read::entry(&found.connection, last.sequence)).transpose();
        if last.map_err(|fault| fault.problems(copy))?.flatten().as_ref() == before {
            return Ok(());
        }
        let problem = Problem::error("the copy", "every entry of the record", "fewer or others");
        Err(problem.hint("Nothing was written. Try again, on another disk if it happens again.").into())
    }
}

/// Waits until a file has reached the disk.
#[expect(clippy::disallowed_methods, reason = "the ledger's files are its own; this door is watched too")]
fn synced(path: &Path) -> std::io::Result<()> {
    world::faults::before(Operation::Sync, path)?;
    std::fs::File::open(path)?.sync_all()
}

fn name_taken(to: &Path) -> Problem {
    Problem::error(to.display().to_string(), "a name that is free", "a file")
        .hint("Choose another name: a backup is never written over.")
}

fn no_folder(place: &Path, error: &std::io::Error) -> Problem {
    Problem::error(place.display().to_string(), "a place that can be written to", error.to_string())
        .hint("Choose another place with --garage.")
}

fn nothing_there(path: &Path) -> Problem {
    let found = if path.exists() { "an empty file, in which nothing was recorded" } else { "no such file" };
    Problem::error(path.display().to_string(), "a record", found)
        .hint("Add a first entry with `waywiser record add`, or say where the record is with --garage.")
}
