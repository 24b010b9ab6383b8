//! What the record says of the trucks, read again only when it has grown.

use super::{Garage, held};
use crate::ledger::Ledger;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use truing::problem::Problem;
use truing::record::{Entry, Hash};

/// How long another program that is writing is waited for.
pub const PATIENCE: Duration = Duration::from_secs(10);

/// The record, open for reading, and what was read of it.
#[derive(Default)]
pub struct Reader {
    ledger: Option<Ledger>,
    none: Arc<Vec<Entry>>,
    head: Option<Hash>,
    entries: BTreeMap<String, Arc<Vec<Entry>>>,
}

impl Garage {
    /// The entries that the state of a truck rests on; none while nothing was recorded.
    pub fn entries_that_matter(&self, vehicle: &str) -> Result<Arc<Vec<Entry>>, Vec<Problem>> {
        let mut reader = held(&self.reader);
        if reader.ledger.is_none() {
            if !self.folder().join(crate::ledger::FILE).is_file() {
                return Ok(reader.none.clone());
            }
            let opened = Ledger::open_existing(self.folder(), PATIENCE);
            reader.ledger = Some(opened.map_err(|problems| self.shown(problems))?);
        }
        reader.entries_of(vehicle).map_err(|problems| self.shown(problems))
    }
}

impl Reader {
    fn entries_of(&mut self, vehicle: &str) -> Result<Arc<Vec<Entry>>, Vec<Problem>> {
        let Some(ledger) = &self.ledger else { return Ok(Arc::default()) };
        let head = ledger.head()?;
        if head != self.head {
            self.entries.clear();
            self.head = head;
        }
        if let Some(known) = self.entries.get(vehicle) {
            return Ok(known.clone());
        }
        let entries = Arc::new(ledger.that_matter(vehicle)?);
        self.entries.insert(vehicle.to_string(), entries.clone());
        Ok(entries)
    }
}
