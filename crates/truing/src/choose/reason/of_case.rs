//! The reasons of a case that was weighed, with their numbers.

use super::numbers::within_95;
use super::{Errors, ReadsNow, Reason, Risk};
use crate::choose::decide::Case;
use crate::choose::measurements::{Measurement, MeasurementKind};
use crate::choose::study::Study;
use crate::choose::{Exactly, Scored, Suggested};
use crate::describe::fault::Fault;
use crate::measure::fusion::VehicleEstimate;
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// How likely another write would follow.
pub fn second_write(case: &Case) -> Reason {
    Reason::SecondWriteLikely {
        setting: case.best.label.clone(),
        standard_uncertainty: Ratio::from_plain(case.belief.u),
        chance_of_second_write: Ratio::from_plain(case.belief.second_write()),
    }
}

/// What the write buys: less error, or a rule kept.
pub fn worth_a_write(case: &Case, left: Option<u32>) -> Reason {
    let belief = &case.belief;
    let (setting, errors) = (case.best.label.clone(), errors(case));
    let writes_left_after = left.map(|left| left.saturating_sub(1));
    match (belief.write_pays(), case.study.breaking(belief.mean, 0.0), case.best.chance_of_breaking) {
        (false, Some(chance_now), Some(chance_then)) => Reason::WriteForRule {
            setting,
            chance_now: Ratio::from_plain(chance_now),
            chance_then,
            errors,
            writes_left_after,
        },
        _ => Reason::WorthAWrite { setting, errors, writes_left_after },
    }
}

/// The error with what is stored and with the best.
fn errors(case: &Case) -> Errors {
    let present = case.study.present_index().map(|index| case.study.scored(index));
    Errors {
        error_now: case.belief.mean.is_finite().then(|| Ratio::from_plain(case.belief.rms_now())),
        error_then: Ratio::from_plain(case.belief.rms_best()),
        within_95_now: present.map(|present| within_95(&present.expected_ratio)),
        within_95_then: within_95(&case.best.expected_ratio),
    }
}

/// The gain that is too small, or none.
pub fn not_worth_a_write(case: &Case) -> Reason {
    Reason::NotWorthAWrite {
        setting: case.best.label.clone(),
        gain: Ratio::from_plain(case.belief.rms_now() - case.belief.rms_best()),
        least_gain: case.study.thresholds.worth_a_write,
        errors: errors(case),
    }
}

/// How it reads now, and what would make it exactly true.
pub fn reading(study: &Study, estimate: &VehicleEstimate, present: Option<&Scored>) -> Reason {
    let now = present.map(|present| {
        let Measured { value: ratio, low_95, high_95, .. } = present.expected_ratio;
        ReadsNow { ratio, low_95, high_95 }
    });
    let make_true = study.vehicle.usage.make_true;
    Reason::Reading { make_true, now, exactly_true: Exactly::new(study, estimate) }
}

/// What measuring brings.
pub fn measure_first(suggested: &Suggested) -> Reason {
    let Suggested { measurement, leaves, changes_decision, brings } = suggested;
    Reason::MeasureFirst {
        measurement: measurement.kind,
        takes: measurement.takes,
        leaves: *leaves,
        changes_decision: *changes_decision,
        brings: *brings,
    }
}

/// Measurements that wait, those that wait for the same faults in one reason.
pub fn held_back(held: Vec<(Measurement, Vec<&Fault>)>) -> Vec<Reason> {
    let mut groups: Vec<(Vec<&Fault>, Vec<MeasurementKind>)> = Vec::new();
    for (measurement, by) in held {
        match groups.iter_mut().find(|(same, _)| *same == by) {
            Some((_, measurements)) => measurements.push(measurement.kind),
            None => groups.push((by, vec![measurement.kind])),
        }
    }
    let reason = |(by, measurements): (Vec<&Fault>, Vec<MeasurementKind>)| Reason::HeldBack {
        measurements,
        faults: by.into_iter().cloned().collect(),
    };
    groups.into_iter().map(reason).collect()
}

/// A setting counts as biased for a rule from this share of the distance on: one in a thousand, as it is said to people.
const BIASED: f64 = 0.001;

/// Whether the rule is kept, and at what price and risk.
pub fn of_rule(study: &Study, best_index: usize, can_be_kept: bool) -> Vec<Reason> {
    let best = study.scored(best_index);
    let Some(chance_of_breaking) = best.chance_of_breaking else { return Vec::new() };
    let (rule, setting) = (study.rule.id.to_string(), best.label.clone());
    let permitted_chance = study.thresholds.chance_of_breaking;
    if !can_be_kept {
        return vec![Reason::RuleNotKept { rule, setting, permitted_chance }];
    }
    let title = study.rule.title.to_string();
    let expected_ratio = best.expected_ratio.value;
    let biased = (expected_ratio.plain() - 1.0).abs() >= BIASED;
    let mut all = vec![Reason::RuleKept { rule, title, setting: setting.clone(), chance_of_breaking }];
    all.extend(biased.then_some(Reason::BiasedForRule { expected_ratio }));
    if chance_of_breaking > permitted_chance
        && let Some(kept) = study.best_kept().map(|index| study.scored(index))
    {
        all.push(Reason::RiskTaken { setting, kept_by: kept.label.clone(), costs: kept.rms - best.rms });
    }
    all.push(Reason::RiskBesideError { options: risks(study, best_index) });
    all
}

/// Neighbours whose risk is shown beside the best's, to either side.
const RISKS_BESIDE: usize = 2;

fn risks(study: &Study, best_index: usize) -> Vec<Risk> {
    let family = study.family(best_index);
    let at = family.iter().position(|one| *one == best_index).unwrap_or(0);
    let around = at.saturating_sub(RISKS_BESIDE)..(at + RISKS_BESIDE + 1).min(family.len());
    let risk = |index: &usize| {
        let Scored { label, rms, expected_ratio, chance_of_breaking, .. } = study.scored(*index);
        let within_95 = within_95(&expected_ratio);
        Some(Risk { setting: label, error: rms, within_95, chance_of_breaking: chance_of_breaking? })
    };
    family[around].iter().filter_map(risk).collect()
}

/// A setting as true or truer that reads slow, where another one was taken; and what costs nothing instead of the last write.
pub fn beside(case: &Case) -> Option<Reason> {
    let study = case.study;
    let truest = study.truest_beside(case.best_index);
    let other = study.scored(truest);
    let is_slow = other.expected_ratio.value.plain() < 1.0 && case.best.expected_ratio.value.plain() > 1.0;
    (truest != case.best_index && is_slow && case.best.chance_of_breaking.is_none()).then(|| {
        Reason::NotSlowPreferred {
            setting: case.best.label.clone(),
            instead_of: other.label.clone(),
            difference: case.best.rms - other.rms,
        }
    })
}

/// What an axle costs that is declared and not fitted.
pub fn misdeclared(best: &Scored) -> Option<Reason> {
    let declared_over_fitted = best.misled_by?;
    Some(Reason::AxleMisdeclared { setting: best.label.clone(), declared_over_fitted })
}
