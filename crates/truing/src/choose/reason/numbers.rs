//! What reasons hold that is more than one number, and which of them decide.

use super::Reason;
use super::json::plain;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

impl Reason {
    /// Whether it decides to store or to leave: what does not stand while something is odd.
    pub(in crate::choose) fn decides_to_store(&self) -> bool {
        matches!(
            self,
            Self::WorthAWrite { .. }
                | Self::WriteForRule { .. }
                | Self::NotWorthAWrite { .. }
                | Self::StoredIsBest { .. }
                | Self::StoredMayChange { .. }
                | Self::SecondWriteLikely { .. }
                | Self::WriteUndecided
                | Self::MayBeWorse { .. }
                | Self::RestsOnNeedle { .. }
                | Self::WriteServesLater
                | Self::ServesRoadBest { .. }
        )
    }
}

/// How it reads with what is stored: indicated over true.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReadsNow {
    /// Best value.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub ratio: Ratio,
    /// Lower end of the 95 % interval.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub low_95: Ratio,
    /// Upper end of the 95 % interval.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub high_95: Ratio,
}

/// A setting with what it risks.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Risk {
    /// The setting.
    pub setting: String,
    /// RMS of the relative error with it.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub error: Ratio,
    /// Probability that it breaks the rule.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub chance_of_breaking: Ratio,
}
