//! What a garage keeps in memory between two questions.

use super::names::Slug;
use crate::ledger::Ledger;
use crate::world::Stamp;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use truing::problem::Problems;
use truing::record::{Entry, Hash};

/// A lock that somebody died in still holds whole values: each is replaced in one step.
pub fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Folder of a truck and its name in the record.
pub type Names = BTreeMap<Slug, String>;

/// The names as they were read, and what tells that they are still those.
#[derive(Default)]
pub struct Kept(pub Option<Stamp>, pub Arc<Names>);

/// How long another program that is writing is waited for.
pub const PATIENCE: Duration = Duration::from_secs(10);

/// The record, open for reading, and what was read of it.
#[derive(Default)]
pub struct Reader {
    /// The record, once it was opened.
    pub ledger: Option<Ledger>,
    none: Arc<Vec<Entry>>,
    head: Option<Hash>,
    entries: BTreeMap<String, Arc<Vec<Entry>>>,
}

impl Reader {
    /// Forgets what was read where the record has grown since.
    pub fn refresh(&mut self) -> Result<(), Problems> {
        let Some(ledger) = &self.ledger else { return Ok(()) };
        let head = ledger.head()?;
        if head != self.head {
            self.entries.clear();
            self.head = head;
        }
        Ok(())
    }

    /// The entries that the state of a vehicle rests on.
    pub fn entries_of(&mut self, vehicle: &str) -> Result<Arc<Vec<Entry>>, Problems> {
        let Some(ledger) = &self.ledger else { return Ok(self.none.clone()) };
        if let Some(known) = self.entries.get(vehicle) {
            return Ok(known.clone());
        }
        let entries = Arc::new(ledger.that_matter(vehicle)?);
        self.entries.insert(vehicle.to_string(), entries.clone());
        Ok(entries)
    }
}
