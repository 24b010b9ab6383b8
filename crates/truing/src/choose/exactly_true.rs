//! What would make the reading exactly true, off any grid.

use super::reason::json::{per_mile, plain, shown};
use super::study::Study;
use super::{ByHand, tires};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::adjuster::setting::Setting;
use crate::describe::chain::axle::AxleRatio;
use crate::measure::fusion::VehicleEstimate;
use metrology::quantity::{PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// What would make it exactly true, how sure that is, and what a sum on paper would give instead.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Exactly {
    /// What it is.
    #[serde(flatten)]
    pub what: ExactlyTrue,
    /// Its relative standard uncertainty.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub standard_uncertainty: Ratio,
    /// The sum on paper, where it comes to something else.
    pub by_hand: Option<ByHand>,
}

impl Exactly {
    pub(super) fn new(study: &Study, estimate: &VehicleEstimate) -> Self {
        let what = ExactlyTrue::new(study, estimate);
        let figure = match what {
            ExactlyTrue::Constant { value } => Some(value),
            ExactlyTrue::DrivenTeeth { driven_teeth, .. } => Some(driven_teeth),
            _ => None,
        };
        let by_hand = figure
            .zip(study.parts.all.first())
            .and_then(|(figure, part)| ByHand::beside(study, estimate, part.adjuster, figure));
        Self { what, standard_uncertainty: Ratio::from_plain(study.u), by_hand }
    }
}

/// What the adjuster would have to be set to if it could be set to anything.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ExactlyTrue {
    /// So many times the counts that come now: where several adjusters share it.
    CountsTimes {
        /// Counts then over counts now.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        factor: Ratio,
    },
    /// Tires that turn so often.
    Tires {
        /// Revolutions per mile.
        #[serde(rename = "revs_per_mile", serialize_with = "per_mile")]
        #[schemars(with = "f64")]
        revs: PerLength,
    },
    /// Revolutions to declare beside the axle that is fitted.
    RevsWithAxle {
        /// Revolutions per mile.
        #[serde(rename = "revs_per_mile", serialize_with = "per_mile")]
        #[schemars(with = "f64")]
        revs: PerLength,
        /// The axle, as it is written.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        axle: AxleRatio,
    },
    /// What declared revolutions and axle would have to multiply to.
    RevsTimesAxle {
        /// Revolutions per mile times the axle ratio.
        #[serde(rename = "revs_times_axle_per_mile", serialize_with = "per_mile")]
        #[schemars(with = "f64")]
        product: PerLength,
    },
    /// Revolutions to declare.
    Revs {
        /// Revolutions per mile.
        #[serde(rename = "revs_per_mile", serialize_with = "per_mile")]
        #[schemars(with = "f64")]
        revs: PerLength,
    },
    /// A stored constant.
    Constant {
        /// Its value, in the constant's own unit.
        value: f64,
    },
    /// A ring with so many teeth.
    RingTeeth {
        /// Teeth, with a fraction.
        teeth: f64,
    },
    /// A driven gear with so many teeth beside the drive gear that is fitted.
    DrivenTeeth {
        /// Teeth of the driven gear, with a fraction.
        driven_teeth: f64,
        /// Teeth of the drive gear.
        drive_teeth: u32,
    },
    /// A pair of gears.
    GearRatio {
        /// Teeth of the drive gear over those of the driven one.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        drive_over_driven: Ratio,
    },
    /// A ratio that multiplies the signal.
    SignalRatio {
        /// What comes out over what goes in.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        ratio: Ratio,
    },
}

impl ExactlyTrue {
    pub(super) fn new(study: &Study, estimate: &VehicleEstimate) -> Self {
        let [part] = study.parts.all.as_slice() else {
            return Self::counts_times(study);
        };
        // What divides the counts is their number over what a unit stands for; what multiplies them is the reverse.
        let (divides, multiplies) = (study.base.exp(), Ratio::from_plain((-study.base).exp()));
        match &part.adjuster.kind {
            AdjusterKind::Tires(_) => match tires::mounted(study.vehicle, estimate) {
                Some(now) => Self::Tires { revs: PerLength::from_per_mi((now.ln_per_mi - study.base).exp()) },
                None => Self::counts_times(study),
            },
            AdjusterKind::DeclaredTireAxle(_) => Self::declared(study),
            kind if kind.decides_a_mile() => Self::Constant { value: divides },
            AdjusterKind::ToneRing(_) => Self::RingTeeth { teeth: multiplies.plain() },
            AdjusterKind::GearPair(_) => match part.offer.present.as_ref().map(|pick| &pick.setting) {
                Some(Setting::Pair(pair)) => Self::DrivenTeeth {
                    driven_teeth: f64::from(pair.numerator()) * divides,
                    drive_teeth: pair.numerator(),
                },
                _ => Self::GearRatio { drive_over_driven: multiplies },
            },
            _ => Self::SignalRatio { ratio: multiplies },
        }
    }

    fn counts_times(study: &Study) -> Self {
        Self::CountsTimes { factor: Ratio::from_plain((-study.mean_now().unwrap_or(0.0)).exp()) }
    }

    fn declared(study: &Study) -> Self {
        let all = PerLength::from_per_mi(study.base.exp());
        match study.vehicle.chain.axle_ratio.single() {
            Some(axle) if study.sees_axle() => {
                let revs = PerLength::from_per_mi(all.per_mi() / axle.ratio().plain());
                Self::RevsWithAxle { revs, axle: axle.clone() }
            }
            _ if study.sees_axle() => Self::RevsTimesAxle { product: all },
            _ => Self::Revs { revs: all },
        }
    }
}
