//! Write, leave, or measure first.

use super::measurements::{self, Measurement};
use super::options::Base;
use super::worth::{Belief, CHANCE_WORTH_MEASURING, Measuring};
use super::{Advice, CHANCE_OF_BREAKING, Choice, SHOWN_BESIDE, Scored, Study, Suggested, says};
use crate::describe::adjuster::AdjusterKind;
use crate::measure::fusion::VehicleEstimate;
use metrology::quantity::Ratio;

/// What the decision is made of.
pub(super) struct Case<'s> {
    pub study: &'s Study<'s>,
    pub belief: Belief,
    pub best: Scored,
    /// The rule is broken now, and the best setting keeps it.
    pub mends_rule: bool,
    pub reserve: u32,
    /// What measuring would bring at most, faults aside.
    pub measuring: Option<Measuring>,
}

/// Decides, with the reasons.
pub(super) fn decide(study: &Study, estimate: &VehicleEstimate, reserve: u32) -> Choice {
    let (best_index, keeps_rule) = study.best();
    let best = study.scored(best_index);
    let now_mean = match study.base {
        Base::Present { ln_ratio, .. } => ln_ratio,
        // Nothing readable is stored: whatever it is, the best is better.
        Base::Counts { .. } => f64::INFINITY,
    };
    let belief = Belief {
        mean: now_mean,
        u: study.u,
        best_mean: best.expected_ratio.value.plain().ln(),
        spacing: study.spacing(best_index),
    };
    let (free, held) = measurements::within_reach(study.vehicle, estimate);
    let free = most_useful(&belief, free);
    let measuring = most_useful(&belief, held.iter().map(|(m, _)| m.clone()).collect())
        .into_iter()
        .chain(free.clone())
        .max_by(|a, b| a.0.gain.total_cmp(&b.0.gain));
    let broken_now = study.breaking(now_mean).is_some_and(|chance| chance > CHANCE_OF_BREAKING);
    let case = Case {
        study,
        belief,
        best: best.clone(),
        mends_rule: broken_now && keeps_rule,
        reserve,
        measuring: measuring.map(|m| m.0),
    };
    let (advice, reason) = weigh(&case);
    let mut why = vec![says::reads(study, &best), reason];
    let measure = free.filter(|_| advice == Advice::MeasureFirst).map(|(measuring, measurement)| {
        why.push(says::measure(&measurement, &measuring));
        Suggested {
            leaves: Ratio::from_plain(measuring.u_after),
            changes_decision: Ratio::from_plain(measuring.changes_decision),
            measurement,
        }
    });
    if advice == Advice::MeasureFirst {
        why.extend(held.iter().map(|(measurement, faults)| says::held(measurement, faults)));
    }
    why.extend(says::rule(study, &best, keeps_rule));
    Choice {
        advice,
        probability_best_is_best: Some(Ratio::from_plain(study.probability_nearest(best_index))),
        options: options(study, best_index),
        best: Some(best),
        present: study.present_index().map(|index| study.scored(index)),
        why,
        measure,
        rule: study.rule.clone(),
        make_true: study.vehicle.usage.make_true,
    }
}

/// The measurement that lowers the error most; of equals, the quickest.
fn most_useful(belief: &Belief, all: Vec<Measurement>) -> Option<(Measuring, Measurement)> {
    all.into_iter()
        .map(|m| (belief.measuring(m.u_ln_ratio.plain()), m))
        .max_by(|a, b| a.0.gain.total_cmp(&b.0.gain).then(b.1.takes.min().total_cmp(&a.1.takes.min())))
}

fn options(study: &Study, best: u64) -> Vec<Scored> {
    let last = study.steps.count - 1;
    let mut indices: Vec<u64> =
        (best.saturating_sub(SHOWN_BESIDE)..=(best + SHOWN_BESIDE).min(last)).collect();
    indices.extend(study.present_index().filter(|present| !indices.contains(present)));
    let mut scored: Vec<Scored> = indices.into_iter().map(|index| study.scored(index)).collect();
    scored.sort_by(|a, b| a.rms.plain().total_cmp(&b.rms.plain()));
    scored
}

/// Write, leave or measure first, with the reason.
fn weigh(case: &Case) -> (Advice, String) {
    let left = case.study.steps.adjuster.writes_left;
    // A free constant whose writes are not counted can be stored again at no price: measuring may come after.
    let writes_are_free =
        left.is_none() && matches!(case.study.steps.adjuster.kind, AdjusterKind::FreeConstant(_));
    let changes = case.measuring.map_or(0.0, |measuring| measuring.changes_decision);
    if case.best.is_present {
        let may_change = changes > CHANCE_WORTH_MEASURING && !writes_are_free;
        return match may_change {
            true => (Advice::MeasureFirst, says::may_change(case, changes)),
            false => (Advice::Leave, says::stored_already(case)),
        };
    }
    if left.is_some_and(|left| left <= case.reserve) {
        return (Advice::Leave, says::no_write_to_spend(case, left.unwrap_or(0)));
    }
    let pays = case.belief.write_pays() || case.mends_rule;
    if !writes_are_free && case.measuring.is_some_and(Measuring::worth_it) {
        return (Advice::MeasureFirst, says::unsure(case, pays));
    }
    match pays {
        true => (Advice::Write, says::worth_a_write(case, left)),
        false => (Advice::Leave, says::not_worth_it(case)),
    }
}
