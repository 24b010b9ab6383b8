//! The last entry that was seen on this machine, kept beside the record: so a tail that was cut off, and a file that was
//! swapped for another, are noticed here without anything on paper.
//!
//! It is behind the record where a program ended between the two, and never before it. One that cannot be written is no
//! matter; what it would have told stands on paper.

use super::fault::Fault;
use super::read;
use super::store::Ledger;
use crate::world;
use rusqlite::Connection;
use std::path::Path;
use toml_edit::DocumentMut;
use truing::problem::{Problem, Problems};
use truing::record::{Entry, Hash};

/// The file in the garage's folder.
const FILE: &str = "record-seen.toml";
const HEAD: &str = "# The last entry of the record that was seen on this machine. A record that lacks it was cut off or swapped.\n";

/// How many entries there were, and the hash of the last.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// How many.
    pub entries: u64,
    /// The hash.
    pub head: Hash,
}

/// What was seen last in a garage, where it was noted and can be read.
pub fn seen(garage: &Path) -> Option<Seen> {
    let text = world::read_text(&garage.join(FILE)).ok()?;
    let document: DocumentMut = text.parse().ok()?;
    let entries = u64::try_from(document.get("entries")?.as_integer()?).ok()?;
    Some(Seen { entries, head: Hash::read(document.get("head")?.as_str()?).ok()? })
}

/// Notes the last entry.
pub(super) fn note(record: &Path, last: &Entry) {
    let text = format!("{HEAD}entries = {}\nhead = \"{}\"\n", last.sequence, last.hash);
    if let Some(garage) = record.parent() {
        let _ = world::replace_unsynced(&garage.join(FILE), text.as_bytes());
    }
}

/// Whether the record lacks what was seen of it.
pub(super) fn lost(connection: &Connection, record: &Path) -> Result<Option<Problem>, Fault> {
    let Some(seen) = record.parent().and_then(seen) else { return Ok(None) };
    let found = read::entry(connection, seen.entries)?;
    if found.as_ref().is_some_and(|entry| entry.hash == seen.head) {
        return Ok(None);
    }
    let expected =
        format!("entry {} with the hash {}, which was seen on this machine", seen.entries, seen.head);
    let found = match found {
        Some(entry) => format!("another one with the hash {}", entry.hash),
        None => format!("{} entries", read::head(connection)?.map_or(0, |last| last.sequence)),
    };
    Ok(Some(Problem::error("record", expected, found).hint(
        "The last entries were cut off, or the file was swapped for another. Nothing is added to it so. Put the newest \
         whole copy in its place. If this one is meant to be the record from now on, say so with a check.",
    )))
}

impl Ledger {
    /// Whether the record lacks what was seen of it on this machine.
    pub fn lost(&self) -> Result<Option<Problem>, Problems> {
        lost(&self.connection, &self.path).map_err(|fault| fault.problems(&self.path))
    }

    /// Takes the record as it is from now on, whatever was seen before.
    pub fn take_as_it_is(&self) -> Result<(), Problems> {
        let last = read::head(&self.connection).map_err(|fault| fault.problems(&self.path))?;
        match (last, self.path.parent()) {
            (Some(last), _) => note(&self.path, &last),
            (None, Some(garage)) => world::remove(&garage.join(FILE)),
            (None, None) => {}
        }
        Ok(())
    }
}
