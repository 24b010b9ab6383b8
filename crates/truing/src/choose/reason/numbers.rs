//! What reasons hold that is more than one number, and which of them decide.

use super::Reason;
use super::json::{plain, plain_or_none};
use metrology::measured::Measured;
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

/// How far off it reads with what is stored and with another setting: two figures of each, the RMS that is decided by and
/// the one that is said to people, how far the farther end of the 95 % interval lies from the truth.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Errors {
    /// RMS of the relative error now; none where what is stored is not known.
    #[serde(serialize_with = "plain_or_none")]
    #[schemars(with = "Option<f64>")]
    pub error_now: Option<Ratio>,
    /// RMS of the relative error with the setting.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub error_then: Ratio,
    /// It reads true within this share now (95 %); none where what is stored is not known.
    #[serde(serialize_with = "plain_or_none")]
    #[schemars(with = "Option<f64>")]
    pub within_95_now: Option<Ratio>,
    /// It reads true within this share with the setting (95 %).
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub within_95_then: Ratio,
}

/// How far the farther end of the 95 % interval of a reading lies from the truth, as a share.
pub fn within_95(reading: &Measured<Ratio>) -> Ratio {
    let off = |end: Ratio| (end.plain() - 1.0).abs();
    Ratio::from_plain(off(reading.low_95).max(off(reading.high_95)))
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
    /// It reads true within this share with it (95 %).
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub within_95: Ratio,
    /// Probability that it breaks the rule.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub chance_of_breaking: Ratio,
}
