//! The ledger: the record on disk, in one SQLite file per garage. The only place that speaks SQL.
//!
//! One chain per garage. An entry is added inside one immediate transaction that reads the head anew; it is confirmed
//! after the commit has reached the disk (`synchronous = FULL`) and the row was read back and found to be what was
//! meant. A confirmed entry survives the end of the program at any instant; one that was not confirmed is there whole
//! or not at all.

mod append;
mod fault;
mod holder;
mod migrate;
mod read;
mod salvage;
mod take_in;
#[cfg(test)]
mod tests;

pub use append::{Checked, Look};
pub use salvage::{Salvage, salvage, salvaged};
pub use take_in::Taken;

use crate::world;
use fault::Fault;
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::Problem;

/// The file of the record in the garage's folder.
pub const FILE: &str = "record.sqlite";

/// Another program makes a new file ready in less.
const BETWEEN_TRIES: Duration = Duration::from_millis(5);

/// The record of one garage, open.
pub struct Ledger {
    connection: Connection,
    path: PathBuf,
}

impl Ledger {
    /// Opens the record of a garage, making it where there is none, and brings an older one up to date. Another
    /// program that is writing is waited for as long as `patience`.
    pub fn open(garage: &Path, patience: Duration) -> Result<Self, Vec<Problem>> {
        let path = garage.join(FILE);
        std::fs::create_dir_all(garage).map_err(|error| vec![no_folder(garage, &error)])?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        Self::waited_for(&path, flags, patience)
    }

    /// Opens the record of a garage where there is one.
    pub fn open_existing(garage: &Path, patience: Duration) -> Result<Self, Vec<Problem>> {
        let path = garage.join(FILE);
        if !path.exists() {
            return Err(vec![nothing_there(&path)]);
        }
        Self::waited_for(&path, OpenFlags::SQLITE_OPEN_READ_WRITE, patience)
    }

    /// Opened, and opened again while another program is in the way. SQLite waits for most locks by itself, but refuses
    /// at once where two programs turn the same new file into one with a write-ahead log.
    fn waited_for(path: &Path, flags: OpenFlags, patience: Duration) -> Result<Self, Vec<Problem>> {
        let since = world::now();
        let waited = || world::now().duration_since(since).unsigned_abs();
        loop {
            match Self::prepared(path, flags, patience) {
                Err(fault) if fault.is_busy() && waited() < patience => std::thread::sleep(BETWEEN_TRIES),
                opened => return opened.map_err(|fault| fault.problems(path)),
            }
        }
    }

    fn prepared(path: &Path, flags: OpenFlags, patience: Duration) -> Result<Self, Fault> {
        let mut connection = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
        connection.busy_timeout(patience)?;
        migrate::refuse_others(&connection)?;
        connection.pragma_update(None, "journal_mode", "WAL")?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        migrate::bring_up_to_date(&mut connection)?;
        Ok(Self { connection, path: path.to_path_buf() })
    }

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
            std::fs::create_dir_all(folder).map_err(|error| vec![no_folder(folder, &error)])?;
        }
        let copied = self.connection.execute("VACUUM INTO ?1", [to.display().to_string()]);
        copied.map_err(|error| Fault::from(error).problems(&self.path))?;
        synced(to).map_err(|error| vec![no_folder(to, &error)])
    }
}

/// Waits until a file has reached the disk.
#[expect(clippy::disallowed_methods, reason = "the ledger's files are its own; this door is watched too")]
fn synced(path: &Path) -> std::io::Result<()> {
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
