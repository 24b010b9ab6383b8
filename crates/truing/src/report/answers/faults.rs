//! The open faults of a truck, and what each holds back until it is mended.

use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use crate::report::words::fault;
use schemars::JsonSchema;
use serde::Serialize;

/// An open fault.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OpenFault {
    /// What it has to do with.
    pub touches: String,
    /// The same with the owner's note.
    pub says: String,
    /// What is not to be done until it is mended.
    pub holds_back: Vec<Activity>,
}

impl OpenFault {
    /// Those of a list that are open, in its order.
    pub fn all(faults: &[Fault]) -> Vec<Self> {
        faults.iter().filter(|fault| !fault.mended).map(Self::new).collect()
    }

    fn new(open: &Fault) -> Self {
        let alone = std::slice::from_ref(open);
        let holds = |activity: &Activity| !held_back(alone, *activity).is_empty();
        Self {
            touches: open.touches.to_string(),
            says: fault(open),
            holds_back: Activity::HELD_BACK.into_iter().filter(holds).collect(),
        }
    }
}
