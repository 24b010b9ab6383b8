//! Values that cannot be, and readings farther off than trucks read.

use super::{Check, Checked, Odd, Settle};
use crate::describe::evidence::{Evidence, EvidenceKind};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{LikelySlip, PieceId, VehicleEstimate, slip_in};
use metrology::quantity::{Length, Ratio};

/// How far trucks read off before they are set, relative, one standard deviation: other tires, another axle (judgement).
const TRUCKS_ARE_OFF: f64 = 0.08;
/// A distance shown of so much and more, several times the true one, is what an odometer has counted in its life (judgement).
const READING_FROM_MI: f64 = 1000.0;
const READING_OVER_TRUE: f64 = 3.0;

/// Entries that cannot be as they stand.
pub(super) fn entries(vehicle: &Vehicle) -> Vec<Check> {
    let each = vehicle.evidence.iter().enumerate();
    each.flat_map(|(index, evidence)| {
        let odd = off_the_grid(vehicle, evidence).into_iter().chain(reading_for_distance(evidence));
        odd.map(move |odd| Check {
            what: Checked::Pieces(vec![PieceId::Evidence(index)]),
            odd,
            slip: None,
            settle: Settle::Correct,
        })
    })
    .collect()
}

fn off_the_grid(vehicle: &Vehicle, evidence: &Evidence) -> Option<Odd> {
    evidence.settings.iter().find_map(|(name, setting)| {
        let adjuster = vehicle.adjuster(name.as_deref())?;
        (!adjuster.can_be(setting)).then(|| Odd::OffTheGrid { setting: setting.clone() })
    })
}

fn reading_for_distance(evidence: &Evidence) -> Option<Odd> {
    let EvidenceKind::OdometerDistance { indicated, true_distance, .. } = &evidence.kind else { return None };
    let (shown, over) = (indicated.value, indicated.value / true_distance.value);
    let is_reading = shown >= Length::from_mi(READING_FROM_MI) && over > READING_OVER_TRUE;
    is_reading.then_some(Odd::ReadingForDistance { shown })
}

/// A reading that is far off and that only one kind of evidence speaks for: with a slip that explains it, or farther off than
/// any change of tires and axle makes it.
pub(super) fn reading(
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    now: Option<Ratio>,
    far_off: Ratio,
) -> Option<Check> {
    let now = now?;
    if is_confirmed(vehicle, estimate) {
        return None;
    }
    let deviations = now.plain().ln() / TRUCKS_ARE_OFF;
    let explained = |(index, evidence): (usize, &Evidence)| {
        let (slip, odds) = slip_in(evidence, now, deviations)?;
        Some((index, LikelySlip { slip, odds }))
    };
    let slip = vehicle.evidence.iter().enumerate().find_map(explained);
    let is_far = now.plain().ln().abs() > (1.0 + far_off.plain()).ln();
    if slip.is_none() && !is_far {
        return None;
    }
    let (what, slip) = match slip {
        Some((index, likely)) => (Checked::Pieces(vec![PieceId::Evidence(index)]), Some(likely)),
        None => (Checked::Reading, None),
    };
    Some(Check { what, odd: Odd::FarOff { ratio: now }, slip, settle: Settle::CorrectOrMeasureAgain })
}

/// Whether something indicated was measured and another kind of evidence, or what was believed before, agrees with it.
fn is_confirmed(vehicle: &Vehicle, estimate: &VehicleEstimate) -> bool {
    let used =
        estimate.evidence.iter().filter(|piece| !piece.is_nuisance && piece.normalised_residual.is_some());
    let kinds: Vec<Option<&EvidenceKind>> = used
        .map(|piece| match piece.id {
            PieceId::Evidence(index) => vehicle.evidence.get(index).map(|it| &it.kind),
            _ => None,
        })
        .collect();
    let Some(shown) = kinds.iter().flatten().find(|kind| kind.shows_indicated()) else { return false };
    let is_other = |kind: &Option<&EvidenceKind>| {
        kind.is_none_or(|kind| core::mem::discriminant(kind) != core::mem::discriminant(*shown))
    };
    kinds.iter().any(is_other)
}
