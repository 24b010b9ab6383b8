//! What is to be checked before anything is stored.

use crate::choose::{Check, Checked, Odd, Settle};
use crate::describe::vehicle::Vehicle;
use crate::report::findings::evidence::{PieceName, SlipDetails};
use schemars::JsonSchema;
use serde::Serialize;

/// One thing to check.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CheckDetails {
    /// The pieces of evidence, and what was believed beforehand, among which it is; empty where it is a part or the whole.
    pub pieces: Vec<PieceName>,
    /// The part of the chain, where it is one.
    pub part: Option<String>,
    /// Why it is odd.
    pub odd: Odd,
    /// The slip that most likely explains it.
    pub slip: Option<SlipDetails>,
    /// How it is settled.
    pub settle: Settle,
    /// The same in a sentence.
    pub text: String,
}

impl CheckDetails {
    /// Of a check, with the sentence that says it.
    pub fn new(vehicle: &Vehicle, check: &Check, text: String) -> Self {
        let (pieces, part) = match &check.what {
            Checked::Pieces(pieces) => {
                (pieces.iter().map(|piece| PieceName::new(vehicle, piece)).collect(), None)
            }
            Checked::Part(link) => (Vec::new(), Some(link.name().to_string())),
            _ => (Vec::new(), None),
        };
        let slip = check.slip.as_ref().map(SlipDetails::new);
        Self { pieces, part, odd: check.odd.clone(), slip, settle: check.settle, text }
    }
}
