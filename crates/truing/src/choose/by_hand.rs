//! What a sum on paper would give from the tire's book, the teeth and the constant, with nothing measured: to show beside the
//! result what measuring moved.

use super::options::per_unit;
use super::reason::json::{per_mile, plain};
use super::study::Study;
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::reader::Takes;
use crate::describe::chain::{Assumption, Transport, assumed_by};
use crate::describe::tire::TireSize;
use crate::describe::tire::circumference::{RollingConditions, roll};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{PieceId, VehicleEstimate};
use metrology::quantity::{PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// The sum, with what went into it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ByHand {
    /// What it comes to.
    pub value: f64,
    /// Turns of the tire per mile, by its book or its size.
    #[serde(rename = "revs_per_mile", serialize_with = "per_mile")]
    #[schemars(with = "f64")]
    pub revs: PerLength,
    /// Counts per turn of the tire, or turns of the cable; with a pair of gears without its driven one.
    pub times: f64,
    /// What it is divided by: counts per mile for one unit of the constant, or turns that the head takes for a mile.
    pub over: f64,
    /// What would be exactly true over this.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub moved: Ratio,
    /// The piece of evidence that weighs most in what would be exactly true; none where nothing was measured.
    #[serde(skip)]
    pub most: Option<PieceId>,
}

/// A sum that comes as near as this is no other number (judgement: a tenth of a percentage point).
const ALIKE: f64 = 0.001;

impl ByHand {
    /// Beside what would be exactly true; none where the sum cannot be made, or comes to the same.
    pub(super) fn beside(
        study: &Study,
        estimate: &VehicleEstimate,
        adjuster: &Adjuster,
        exactly: f64,
    ) -> Option<Self> {
        let revs = by_the_book(study.vehicle)?;
        let (times, over) = counts(study.vehicle, adjuster)?;
        let value = revs.per_mi() * times / over;
        let moved = exactly / value;
        let told = moved.is_finite() && moved.ln().abs() > ALIKE;
        let measured = estimate.evidence.iter().filter(|piece| !piece.is_prior && !piece.is_nuisance);
        let most = measured.max_by(|a, b| a.weight.plain().total_cmp(&b.weight.plain()));
        let (moved, most) = (Ratio::from_plain(moved), most.map(|piece| piece.id.clone()));
        told.then_some(Self { value, revs, times, over, moved, most })
    }
}

/// Turns of the tires that are on, per mile: as their book says, else as their size promises when they are new.
fn by_the_book(vehicle: &Vehicle) -> Option<PerLength> {
    let tires = vehicle.mounted()?;
    let by_size = || {
        let size = TireSize::parse(tires.size.as_deref()?).ok()?;
        Some(roll(&size, &RollingConditions::default()).ok()?.revs_per_mile.value)
    };
    tires.published_revs.or_else(by_size)
}

/// What a turn of the tire is multiplied by, and divided by.
fn counts(vehicle: &Vehicle, adjuster: &Adjuster) -> Option<(f64, f64)> {
    let hypotheses = vehicle.chain.hypotheses();
    let [only] = hypotheses.as_slice() else { return None };
    let one = PerLength::from_per_mi(1.0);
    let points = only.points(one);
    let last = points.last().filter(|_| points.len() > 1)?;
    let per_turn = last.per_length?.per_mi();
    match (&adjuster.kind, adjuster.present()) {
        (AdjusterKind::SteppedConstant(_) | AdjusterKind::FreeConstant(_), _) => {
            Some((per_turn, per_unit(adjuster)?.per_mi()))
        }
        (AdjusterKind::GearPair(_), Some(Setting::Pair(pair)))
            if vehicle.chain.transport == Transport::Cable =>
        {
            let head = vehicle.readers.iter().find(|reader| matches!(reader.takes, Some(Takes::Turns(_))));
            let Assumption::PerLength { per_length, .. } = assumed_by(head, &[], Transport::Cable) else {
                return None;
            };
            Some((per_turn * f64::from(pair.denominator()), per_length.per_mi()))
        }
        _ => None,
    }
}
