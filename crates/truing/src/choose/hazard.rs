//! A dial that reads slow: who goes by it goes faster than they think.

use super::reason::json::plain;
use super::study::Study;
use crate::measure::fusion::VehicleEstimate;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What a dial shows over the truth.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SlowDial {
    /// Shown over true, below one.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub shown_over_true: Ratio,
}

/// The dial as it shows now, where that is known: the needle, else what the odometer tells of it.
pub(super) fn dial_now(estimate: &VehicleEstimate) -> Option<Ratio> {
    let known = estimate.over_all.needle_ratio.or(estimate.over_all.distance_ratio);
    known.map(|ratio| ratio.value)
}

/// The hazard, where a dial is slow enough for one.
pub(super) fn slow_dial(dial: Ratio, from: Ratio) -> Option<SlowDial> {
    (dial.plain() < 1.0 - from.plain()).then_some(SlowDial { shown_over_true: dial })
}

/// The dial once what is to be true reads so.
pub(super) fn dial_with(study: &Study, estimate: &VehicleEstimate, then: Ratio) -> Option<Ratio> {
    let now = study.mean_now()?;
    Some(dial_now(estimate)? * (then.plain() / now.exp()))
}
