//! A reason of a choice, as the answers give it.

use crate::choose::{Exactly, Reason};
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
    /// The same for paper, where it is shorter: without the sum on paper, which a job sheet has no room for.
    #[serde(skip)]
    pub(crate) brief: Option<String>,
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
        let brief = without_sum(reason).map(|reason| sentence(vehicle, &reason, units));
        Self { reason: reason.clone(), alarm, conflict, unknowable, text, brief }
    }
}

/// How it reads without the sum on paper, where there is one.
fn without_sum(reason: &Reason) -> Option<Reason> {
    let Reason::Reading { make_true, now, exactly_true } = reason else { return None };
    exactly_true.by_hand.as_ref()?;
    let exactly_true = Exactly { by_hand: None, ..exactly_true.clone() };
    Some(Reason::Reading { make_true: *make_true, now: *now, exactly_true })
}
