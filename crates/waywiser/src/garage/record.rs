//! What the record says of the trucks, read again only when it has grown.

use super::folder::Garage;
use super::kept::{Names, PATIENCE, Reader, held};
use super::known::Truck;
use crate::ledger::Ledger;
use std::sync::{Arc, MutexGuard};
use truing::problem::Problems;
use truing::record::Entry;

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
