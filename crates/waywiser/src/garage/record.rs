//! What the record says of the trucks, read again only when it has grown.

use super::recorded::Names;
use super::{Garage, Truck, held};
use crate::ledger::Ledger;
use std::collections::BTreeMap;
use std::sync::{Arc, MutexGuard};
use std::time::Duration;
use truing::problem::Problems;
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

/// The record as it stood when it was looked at: its head is asked for once, however many trucks are asked after.
pub struct Look<'g> {
    garage: &'g Garage,
    names: Arc<Names>,
    reader: MutexGuard<'g, Reader>,
}

impl Garage {
    /// Looks at the record.
    pub fn look(&self) -> Result<Look<'_>, Problems> {
        let mut reader = held(&self.reader);
        if reader.ledger.is_none() && self.has_record() {
            let opened = Ledger::open_existing(self.folder(), PATIENCE);
            reader.ledger = Some(opened.map_err(|problems| self.shown(problems))?);
        }
        reader.refresh().map_err(|problems| self.shown(problems))?;
        let names = self.record_names().unwrap_or_default();
        Ok(Look { garage: self, names, reader })
    }

    /// The entries that the state of a truck rests on; none while nothing was recorded.
    pub fn entries_that_matter(&self, truck: &Truck) -> Result<Arc<Vec<Entry>>, Problems> {
        self.look()?.entries_that_matter(truck)
    }
}

impl Look<'_> {
    /// The entries that the state of a truck rests on; none while nothing was recorded.
    pub fn entries_that_matter(&mut self, truck: &Truck) -> Result<Arc<Vec<Entry>>, Problems> {
        let name = self.names.get(&truck.slug).unwrap_or(&truck.name);
        self.reader.entries_of(name).map_err(|problems| self.garage.shown(problems))
    }
}

impl Reader {
    fn refresh(&mut self) -> Result<(), Problems> {
        let Some(ledger) = &self.ledger else { return Ok(()) };
        let head = ledger.head()?;
        if head != self.head {
            self.entries.clear();
            self.head = head;
        }
        Ok(())
    }

    fn entries_of(&mut self, vehicle: &str) -> Result<Arc<Vec<Entry>>, Problems> {
        let Some(ledger) = &self.ledger else { return Ok(self.none.clone()) };
        if let Some(known) = self.entries.get(vehicle) {
            return Ok(known.clone());
        }
        let entries = Arc::new(ledger.that_matter(vehicle)?);
        self.entries.insert(vehicle.to_string(), entries.clone());
        Ok(entries)
    }
}
