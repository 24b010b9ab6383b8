//! One truck among others, in one line.

use super::faults::OpenFault;
use super::state_line::{Believed, Next, StateLine};
use crate::record::Entry;
use crate::report::words::held_back_by;
use schemars::JsonSchema;
use serde::Serialize;

/// A truck as it stands in the garage.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GarageLine {
    /// How far off it reads.
    pub reads: String,
    /// Writes left, where something can be set.
    pub writes_left: Option<String>,
    /// Whether the present setting was proved.
    pub proved: String,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// What is next.
    pub next: Next,
    /// All in one line: "reads 3.1 % slow, 1479 is stored, 5 writes left, unproved; next: store 1416."
    pub line: String,
}

impl GarageLine {
    /// From what the file and its evidence say, and the entries of the record that matter.
    pub fn new(believed: Believed, entries: &[Entry]) -> Self {
        let StateLine { reads, writes_left, proved, next, line, .. } =
            StateLine::new(Some(believed), entries);
        let faults = &believed.vehicle.faults;
        let (held_back_by, open_faults) = (held_back_by(faults), OpenFault::all(faults));
        Self { reads, writes_left, proved, next, held_back_by, open_faults, line }
    }
}
