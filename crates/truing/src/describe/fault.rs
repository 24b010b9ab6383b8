//! Faults of the vehicle, as far as they decide what may be done with it.

use crate::describe::file::document::Entry;
use crate::describe::file::keys::fault as keys;
use crate::describe::file::words::words;

words! {
    /// What a fault has to do with.
    Touches {
        /// Brakes.
        Brakes = "brakes",
        /// Steering.
        Steering = "steering",
        /// Seats and belts.
        Seat = "seat",
        /// Tires.
        Tires = "tires",
        /// Lights.
        Lights = "lights",
        /// Transmission, shafts, axles.
        Driveline = "driveline",
        /// Exhaust.
        Exhaust = "exhaust",
        /// Anything else.
        Other = "other",
    }
}

/// One fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// What it has to do with.
    pub touches: Touches,
    /// What it is, in the owner's words; empty when not said.
    pub note: String,
    /// Whether it is done with.
    pub mended: bool,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// Reads one `[[fault]]`.
pub(super) fn read(entry: &Entry<'_>) -> Option<Fault> {
    let (touches, note, mended) =
        (entry.get(&keys::TOUCHES), entry.get(&keys::NOTE), entry.get(&keys::MENDED));
    Some(Fault {
        touches: touches?,
        note: note.unwrap_or_default(),
        mended: mended.unwrap_or(false),
        line: entry.line(),
    })
}
