//! Fuel figures corrected: how far a tank truly took the vehicle.

use super::chain::Entry;
use super::correction::Corrections;
use super::event::EventKind;
use super::mileage::{Mileage, TrueDistance};
use crate::problem::Problem;
use metrology::quantity::Volume;
use metrology::text::volume;

/// From one fill to the brim to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Tank {
    /// The entry of the fill at its end.
    pub entry: u64,
    /// What went in since the fill at its start.
    pub volume: Volume,
    /// How far the vehicle went.
    pub gone: TrueDistance,
}

/// The tanks between fills to the brim. A fill that was not (`full = no`) counts towards the next that was. The first
/// fill only marks the start.
pub fn tanks(entries: &[Entry]) -> (Vec<Tank>, Vec<Problem>) {
    let (corrections, mileage) = (Corrections::among(entries.iter()), Mileage::from_entries(entries));
    let (mut tanks, mut problems) = (Vec::new(), Vec::new());
    let mut start = None;
    let mut filled = Volume::default();
    for entry in entries.iter().filter(|entry| entry.event.kind == EventKind::Fuel) {
        let fields = corrections.over(entry);
        let typed = volume(fields.get("volume").map_or("", String::as_str));
        let (Ok(typed), Some(here)) = (&typed, mileage.place_of_entry(entry.sequence)) else {
            let found = typed.err().map_or("no reading of the odometer".to_string(), |error| error.found);
            let problem =
                Problem::warning("record", "a volume such as 18.2 gal or 60 l, and a reading", found);
            problems.push(super::chain::at(entry.sequence, problem.hint("Add a correction.")));
            start = None;
            continue;
        };
        filled = filled + typed.value;
        if fields.get("full").is_some_and(|full| full == "no") {
            continue;
        }
        if let Some(start) = start.replace(here) {
            match mileage.distance(start, here) {
                Ok(gone) => tanks.push(Tank { entry: entry.sequence, volume: filled, gone }),
                Err(problem) => problems.push(super::chain::at(entry.sequence, problem)),
            }
        }
        filled = Volume::default();
    }
    (tanks, problems)
}
