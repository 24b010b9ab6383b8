//! The reasons of a case that was weighed, with their numbers.

use super::{ReadsNow, Reason};
use crate::choose::decide::Case;
use crate::choose::measurements::Measurement;
use crate::choose::study::Study;
use crate::choose::{CHANCE_OF_BREAKING, ExactlyTrue, Scored, Suggested, WORTH_A_WRITE};
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

/// The error before and after.
pub fn worth_a_write(case: &Case, left: Option<u32>) -> Reason {
    let (belief, is_known) = (&case.belief, case.belief.mean.is_finite());
    Reason::WorthAWrite {
        setting: case.best.label.clone(),
        error_now: is_known.then(|| Ratio::from_plain(belief.rms_now())),
        error_then: Ratio::from_plain(belief.rms_best()),
        writes_left_after: left.map(|left| left.saturating_sub(1)),
    }
}

/// The gain that is too small.
pub fn not_worth_a_write(case: &Case) -> Reason {
    Reason::NotWorthAWrite {
        setting: case.best.label.clone(),
        gain: Ratio::from_plain(case.belief.rms_now() - case.belief.rms_best()),
        least_gain: Ratio::from_plain(WORTH_A_WRITE),
    }
}

/// How it reads now, and what would make it exactly true.
pub fn reading(study: &Study, estimate: &VehicleEstimate, present: Option<&Scored>) -> Reason {
    let now = present.map(|present| {
        let Measured { value: ratio, low_95, high_95, .. } = present.expected_ratio;
        ReadsNow { ratio, low_95, high_95 }
    });
    let make_true = study.vehicle.usage.make_true;
    Reason::Reading { make_true, now, exactly_true: ExactlyTrue::of(study, estimate) }
}

/// What measuring brings.
pub fn measure_first(suggested: &Suggested) -> Reason {
    let Suggested { measurement, leaves, changes_decision } = suggested;
    Reason::MeasureFirst {
        measurement: measurement.kind,
        takes: measurement.takes,
        leaves: *leaves,
        changes_decision: *changes_decision,
    }
}

/// A measurement that waits, with the faults it waits for.
pub fn held_back((measurement, faults): (Measurement, Vec<&Fault>)) -> Reason {
    let faults = faults.into_iter().cloned().collect();
    Reason::HeldBack { measurement: measurement.kind, faults }
}

/// A setting counts as biased for a rule from this share of the distance on: one in a thousand, as it is said to people.
const BIASED: f64 = 0.001;

/// Whether the rule is kept, and at what price.
pub fn of_rule(study: &Study, best: &Scored, keeps_rule: bool) -> Vec<Reason> {
    let Some(chance_of_breaking) = best.chance_of_breaking else { return Vec::new() };
    let (rule, setting) = (study.rule.id.to_string(), best.label.clone());
    if !keeps_rule {
        let permitted_chance = Ratio::from_plain(CHANCE_OF_BREAKING);
        return vec![Reason::RuleNotKept { rule, setting, permitted_chance }];
    }
    let title = study.rule.title.to_string();
    let expected_ratio = best.expected_ratio.value;
    let biased = (expected_ratio.plain() - 1.0).abs() >= BIASED;
    let biased = biased.then_some(Reason::BiasedForRule { expected_ratio });
    [Reason::RuleKept { rule, title, setting, chance_of_breaking }].into_iter().chain(biased).collect()
}

/// What an axle costs that is declared and not fitted.
pub fn misdeclared(best: &Scored) -> Option<Reason> {
    let declared_over_fitted = best.misled_by?;
    Some(Reason::AxleMisdeclared { setting: best.label.clone(), declared_over_fitted })
}
