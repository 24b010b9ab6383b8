//! A reason of a choice, as the answers give it.

use crate::choose::Reason;
use crate::describe::vehicle::Vehicle;
use crate::report::findings::evidence::{AlarmDetails, ConflictDetails, UnknowableDetails};
use crate::report::words::reasons::sentence;
use crate::units::Units;
use schemars::JsonSchema;
use serde::Serialize;

/// A reason with its kind, its numbers and its sentence.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReasonReport {
    /// Kind and numbers.
    #[serde(flatten)]
    pub reason: Reason,
    /// What was found, where evidence agrees only with another part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alarm: Option<AlarmDetails>,
    /// What was found, where evidence disagrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conflict: Option<ConflictDetails>,
    /// What was found, where something cannot be known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknowable: Option<UnknowableDetails>,
    /// The sentence.
    pub text: String,
}

impl ReasonReport {
    /// As the owner of the vehicle reads it.
    pub fn new(vehicle: &Vehicle, reason: &Reason, units: Units) -> Self {
        let (mut alarm, mut conflict, mut unknowable) = (None, None, None);
        match reason {
            Reason::Alarm { finding } => alarm = Some(AlarmDetails::new(vehicle, finding)),
            Reason::Conflict { finding } => conflict = Some(ConflictDetails::new(vehicle, finding)),
            Reason::Unknowable { finding } => unknowable = Some(UnknowableDetails::new(vehicle, finding)),
            _ => {}
        }
        let text = sentence(vehicle, reason, units);
        Self { reason: reason.clone(), alarm, conflict, unknowable, text }
    }
}
