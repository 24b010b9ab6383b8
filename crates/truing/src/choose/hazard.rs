//! A dial that reads slow: who goes by it goes faster than they think.

use super::reason::json::plain;
use super::study::Study;
use crate::measure::fusion::VehicleEstimate;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What a dial shows over the truth.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SlowDial {
    /// Shown over true, below one.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub shown_over_true: Ratio,
    /// Lower end of its 95 % interval, by which the needle is held to keep a limit.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub low_95: Ratio,
    /// The tires it speaks of, where the advice is for others than those that are on.
    pub tires: Option<String>,
}

/// The dial as it shows now, where that is known: the needle, else what the odometer tells of it.
pub(super) fn dial_now(estimate: &VehicleEstimate) -> Option<Dial> {
    let known = estimate.over_all.needle_ratio.or(estimate.over_all.distance_ratio)?;
    Some(Dial { ratio: known.value, low_95: known.low_95 })
}

/// Shown over true, with the lower end of its 95 % interval.
#[derive(Copy, Clone)]
pub(super) struct Dial {
    ratio: Ratio,
    low_95: Ratio,
}

/// The hazard, where a dial is slow enough for one.
pub(super) fn slow_dial(dial: Dial, from: Ratio, tires: Option<String>) -> Option<SlowDial> {
    let Dial { ratio: shown_over_true, low_95 } = dial;
    (shown_over_true.plain() < 1.0 - from.plain()).then_some(SlowDial { shown_over_true, low_95, tires })
}

/// The dial once what is to be true reads so.
pub(super) fn dial_with(study: &Study, estimate: &VehicleEstimate, then: Ratio) -> Option<Dial> {
    let times = then.plain() / study.mean_now()?.exp();
    let Dial { ratio, low_95 } = dial_now(estimate)?;
    Some(Dial { ratio: ratio * times, low_95: low_95 * times })
}
