//! What is to be checked before anything is stored: a piece or part, what is odd about it, and the slip that would explain it.

mod impossible;
mod parts;
mod stored;

pub use stored::{StoredInstead, stored_now};

use crate::choose::Reason;
use crate::choose::reason::json::{metres, plain, shown};
use crate::describe::adjuster::setting::Setting;
use crate::describe::chain::Link;
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::DiagnosisKind;
use crate::measure::fusion::{Alarm, Conflict, LikelySlip, PieceId, VehicleEstimate};
use metrology::quantity::{Length, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// One thing to check.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What is odd.
    pub what: Checked,
    /// Why it is odd.
    pub odd: Odd,
    /// The slip that most likely explains it.
    pub slip: Option<LikelySlip>,
    /// How to settle it.
    pub settle: Settle,
}

/// What is to be checked.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Checked {
    /// Pieces of evidence or what was believed before any; none where none of them stands out.
    Pieces(Vec<PieceId>),
    /// A part of the chain.
    Part(Link),
    /// How the truck reads as a whole.
    Reading,
}

/// Why something is odd. As JSON its `kind` says which.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Odd {
    /// It disagrees with the rest beyond chance.
    Disagrees {
        /// What it says over what the rest says.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        off: Ratio,
        /// The same in standard deviations.
        deviations: f64,
    },
    /// All of it scatters more than it should.
    Scatters {
        /// How much more.
        birge_ratio: f64,
    },
    /// All agree only with another part than is believed.
    OtherPart {
        /// What would fit.
        instead: String,
        /// What is believed.
        believed: String,
        /// Odds of what would fit.
        odds: f64,
    },
    /// A drive shows an error that no setting puts right.
    NotBySetting {
        /// The kind of error.
        #[schemars(with = "String")]
        error: DiagnosisKind,
    },
    /// A setting that the adjuster cannot have.
    OffTheGrid {
        /// The setting.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        setting: Setting,
    },
    /// It does not fit the setting that is said to have been stored, and fits another one.
    FitsAnotherSetting {
        /// What is said to have been stored.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        said: Setting,
        /// What it fits.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        fits: Setting,
        /// Odds of that.
        odds: f64,
        /// It is not what the file says is stored today.
        is_news: bool,
    },
    /// The distance shown is so large that it is a reading of the odometer.
    ReadingForDistance {
        /// What is given as the distance shown.
        #[serde(rename = "shown_m", serialize_with = "metres")]
        #[schemars(with = "f64")]
        shown: Length,
    },
    /// The truck would read farther off than trucks do.
    FarOff {
        /// Indicated over true.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        ratio: Ratio,
    },
    /// The chain has a part that its transport has no place for.
    DoesNotGoWith {
        /// What it does not go with.
        with: Transport,
    },
}

/// How turns travel in the rest of the chain.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Transport {
    /// As turns of a cable.
    Cable,
    /// As counts on a wire.
    Wire,
}

/// How it is settled.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Settle {
    /// Correct the entry, or measure it again.
    CorrectOrMeasureAgain,
    /// Look at the part: count it or read it.
    LookAtThePart,
    /// Repair what no setting puts right.
    Repair,
    /// Correct the entry.
    Correct,
    /// See what is stored now, and bring the file up to date.
    LookWhatIsStored,
}

/// All there is to check, the gravest first, each with the reason that tells it.
pub(super) fn all(
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    now: Option<Ratio>,
    far_off: Ratio,
) -> Vec<(Check, Reason)> {
    let plain = |check: Check| (check.clone(), Reason::Check { check });
    let mut checks: Vec<(Check, Reason)> = impossible::entries(vehicle).into_iter().map(plain).collect();
    checks.extend(parts::that_do_not_go_together(vehicle).into_iter().map(plain));
    checks.extend(estimate.faults.iter().filter_map(|(index, error)| of_fault(vehicle, *index, *error)));
    checks.extend(estimate.alarms.iter().map(|it| (of_alarm(it), Reason::Alarm { finding: it.clone() })));
    checks.extend(estimate.conflicts.iter().filter_map(|conflict| held(vehicle, estimate, conflict)));
    if checks.is_empty() {
        checks.extend(impossible::reading(vehicle, estimate, now, far_off).map(plain));
    }
    checks
}

fn of_fault(vehicle: &Vehicle, index: usize, error: DiagnosisKind) -> Option<(Check, Reason)> {
    let drive = vehicle.evidence.get(index)?.called();
    let check = Check {
        what: Checked::Pieces(vec![PieceId::Evidence(index)]),
        odd: Odd::NotBySetting { error },
        slip: None,
        settle: match error {
            DiagnosisKind::Slipping => Settle::CorrectOrMeasureAgain,
            _ => Settle::Repair,
        },
    };
    Some((check, Reason::NotBySetting { drive, error }))
}

/// From so many standard deviations on a disagreement is not left to chance, whatever may explain it (judgement: one sound
/// piece in four hundred).
const GRAVE_DEVIATIONS: f64 = 3.0;
/// The same of a scatter in which no piece stands out.
const GRAVE_SCATTER: f64 = 2.0;

/// A disagreement that holds a write back, with the reason that tells it.
fn held(vehicle: &Vehicle, estimate: &VehicleEstimate, conflict: &Conflict) -> Option<(Check, Reason)> {
    let slip_odds = match conflict {
        Conflict::OnePiece { slip, .. } => slip.as_ref().map(|likely| likely.odds),
        Conflict::Among { slip, .. } => slip.as_ref().map(|(_, likely)| likely.odds),
        Conflict::NoneStandsOut { .. } => None,
    };
    if let Some(check) = stored::instead(vehicle, estimate, conflict, slip_odds.unwrap_or_default()) {
        return Some((check.clone(), Reason::Check { check }));
    }
    is_grave(conflict).then(|| (of_conflict(conflict), Reason::Conflict { finding: conflict.clone() }))
}

/// The disagreements that hold nothing back.
pub(super) fn lesser(vehicle: &Vehicle, estimate: &VehicleEstimate) -> Vec<Conflict> {
    let conflicts = estimate.conflicts.iter();
    conflicts.filter(|conflict| held(vehicle, estimate, conflict).is_none()).cloned().collect()
}

/// Whether a disagreement holds a write back: a likely slip explains it, or it is too large for chance. A lesser one widens the
/// intervals, and is told.
fn is_grave(conflict: &Conflict) -> bool {
    match conflict {
        Conflict::OnePiece { deviations, slip, .. } => slip.is_some() || deviations.abs() >= GRAVE_DEVIATIONS,
        Conflict::Among { deviations, slip, .. } => slip.is_some() || deviations.abs() >= GRAVE_DEVIATIONS,
        Conflict::NoneStandsOut { scatter } => scatter.birge_ratio >= GRAVE_SCATTER,
    }
}

fn of_alarm(alarm: &Alarm) -> Check {
    match alarm {
        Alarm::AnotherPart { link, instead, believed, odds, .. } => Check {
            what: Checked::Part(*link),
            odd: Odd::OtherPart { instead: instead.clone(), believed: believed.clone(), odds: *odds },
            slip: None,
            settle: Settle::LookAtThePart,
        },
    }
}

fn of_conflict(conflict: &Conflict) -> Check {
    let (what, odd, slip) = match conflict {
        Conflict::OnePiece { piece, off, deviations, slip, .. } => {
            (vec![piece.clone()], Odd::Disagrees { off: *off, deviations: *deviations }, slip.clone())
        }
        Conflict::Among { pieces, off, deviations, slip, .. } => (
            pieces.clone(),
            Odd::Disagrees { off: *off, deviations: *deviations },
            slip.as_ref().map(|(_, likely)| likely.clone()),
        ),
        Conflict::NoneStandsOut { scatter } => {
            (Vec::new(), Odd::Scatters { birge_ratio: scatter.birge_ratio }, None)
        }
    };
    Check { what: Checked::Pieces(what), odd, slip, settle: Settle::CorrectOrMeasureAgain }
}
