//! Write, leave, or measure first.

use super::measurements::{self, Measurement};
use super::needle::{self, NeedleFirst};
use super::reason::of_case::{
    beside, held_back, measure_first, misdeclared, not_worth_a_write, of_rule, reading, second_write,
    worth_a_write,
};
use super::worth::{Belief, Brings, Measuring};
use super::{Advice, Choice, Outlook, Prospect, Reason, SHOWN_BESIDE, Scored, Study, Suggested, short};
use crate::describe::evidence::EvidenceKind;
use crate::describe::fault::Fault;
use crate::describe::hold_back::Activity;
use crate::measure::fusion::{DOUBT, PieceId, VehicleEstimate};
use metrology::quantity::Ratio;

/// What the decision is made of.
pub(super) struct Case<'s> {
    pub study: &'s Study<'s>,
    pub belief: Belief,
    pub best: Scored,
    pub best_index: usize,
    /// The rule is broken now, and the best setting keeps it.
    pub restores_rule: bool,
    /// The rule would be bought on a belief about the needle.
    pub needle_first: Option<NeedleFirst>,
    pub reserve: u32,
    /// What measuring would bring at most, faults aside.
    pub measuring: Option<Measuring>,
}

/// Decides, with the reasons.
pub(super) fn decide(study: &Study, estimate: &VehicleEstimate, reserve: u32) -> Choice {
    let (best_index, keeps_rule) = study.best();
    let best = study.scored(best_index);
    // Where nothing readable is stored, whatever it is, the best is better.
    let now_mean = study.mean_now().unwrap_or(f64::INFINITY);
    let belief = believed(study, estimate, now_mean, best_index);
    let (free, held) = measurements::within_reach(study.vehicle, estimate);
    let prospects = prospects(&belief, &free, &held);
    let free = most_useful(&belief, telling(&belief, free));
    let measuring = most_useful(&belief, held.iter().map(|(m, _)| m.clone()).collect())
        .into_iter()
        .chain(free.clone())
        .max_by(|a, b| a.0.gain.total_cmp(&b.0.gain));
    let broken_now = study.breaking(now_mean, 0.0).is_some_and(|chance| !study.permits(chance));
    let case = Case {
        study,
        belief: belief.clone(),
        best: best.clone(),
        best_index,
        restores_rule: broken_now && keeps_rule,
        needle_first: needle::first(study, &best, keeps_rule),
        reserve,
        measuring: measuring.map(|m| m.0),
    };
    let (advice, reason) = weigh(&case);
    let present = study.present_index().map(|index| study.scored(index));
    let mut why = vec![reading(study, estimate, present.as_ref()), reason];
    let measures_first = advice == Advice::MeasureFirst;
    let measure = match case.needle_first.as_ref().filter(|_| measures_first) {
        Some(needle) => needle.suggested(&prospects),
        None => free.filter(|_| measures_first).map(suggested),
    };
    why.extend(measure.as_ref().map(measure_first));
    why.extend(measure.iter().filter_map(|it| measurements::ask(study.vehicle, it.measurement.kind)));
    why.extend(measures_first.then(|| held_back(held)).into_iter().flatten());
    why.extend(of_rule(study, best_index, keeps_rule));
    why.extend(misdeclared(&best));
    why.extend(beside(&case));
    why.extend(what_else(&case));
    Choice {
        advice,
        probability_best_is_best: Some(Ratio::from_plain(study.probability_nearest(best_index))),
        options: options(study, best_index),
        best: Some(best),
        present,
        why,
        checks: Vec::new(),
        measure,
        prospects,
        outlook: None,
        engine: Vec::new(),
        rule: study.rule.clone(),
        make_true: study.vehicle.usage.make_true,
    }
}

/// What is believed of the reading now and with the best setting.
fn believed(study: &Study, estimate: &VehicleEstimate, now_mean: f64, best: usize) -> Belief {
    let best_mean = study.scored(best).expected_ratio.value.plain().ln();
    Belief {
        mean: now_mean,
        u: study.u,
        best_mean,
        aim: study.aim(best_mean),
        settings: study.reach(best),
        is_counted: study.writes_left(best).is_some(),
        doubt: doubt(study, estimate),
        thresholds: study.thresholds,
    }
}

/// Where a part is in doubt, what is measured on the road sees it: only that tells.
fn telling(belief: &Belief, all: Vec<Measurement>) -> Vec<Measurement> {
    let on_the_road = |one: &&Measurement| belief.doubt == 0.0 || one.activity == Activity::Drive;
    all.iter().filter(on_the_road).cloned().collect()
}

/// How likely a part is another than is believed, where nothing that was measured sees the parts between wheel and reading.
fn doubt(study: &Study, estimate: &VehicleEstimate) -> f64 {
    let vehicle = study.vehicle;
    let kinds = estimate.evidence.iter().filter_map(|piece| match piece.id {
        PieceId::Evidence(index) => vehicle.evidence.get(index).map(|evidence| &evidence.kind),
        _ => None,
    });
    let is_seen =
        kinds.into_iter().any(|kind| kind.shows_indicated() || matches!(kind, EvidenceKind::Pulses { .. }));
    let chain = &vehicle.chain;
    let is_believed = chain.ring_teeth.single().is_some() || chain.counts_per_turn.single().is_some();
    let reads = estimate.over_all.distance_ratio.is_some();
    if reads && is_believed && !is_seen { DOUBT } else { 0.0 }
}

/// A write is spent where it serves the miles to come best: later, or on a setting between two sets of tires. A rule comes
/// before miles: the setting that keeps it stands.
pub(super) fn looking_ahead(mut choice: Choice, outlook: Option<Outlook>) -> Choice {
    let Some(outlook) = outlook else { return choice };
    if choice.advice == Advice::Write && !choice.rule.constrains_choice {
        match &outlook.first {
            None => {
                choice.advice = Advice::Leave;
                choice.why.push(Reason::WriteServesLater);
            }
            Some(first) if choice.best.as_ref().is_some_and(|best| best.settings != first.settings) => {
                choice.why.push(Reason::ServesRoadBest { setting: first.label.clone() });
                choice.best = Some(first.clone());
            }
            Some(_) => {}
        }
    }
    choice.outlook = Some(outlook);
    choice
}

/// The measurement that lowers the error most; of equals, the quickest.
fn most_useful(belief: &Belief, all: Vec<Measurement>) -> Option<(Measuring, Measurement)> {
    all.into_iter()
        .map(|m| (belief.measuring(m.u_ln_ratio.plain()), m))
        .max_by(|a, b| a.0.gain.total_cmp(&b.0.gain).then(b.1.takes.min().total_cmp(&a.1.takes.min())))
}

fn suggested((measuring, measurement): (Measuring, Measurement)) -> Suggested {
    Suggested {
        leaves: Ratio::from_plain(measuring.u_after),
        changes_decision: Ratio::from_plain(measuring.changes_decision),
        brings: measuring.brings(),
        measurement,
    }
}

/// Where what can be set ends short or cannot be reached, or nothing is left to set: what would help.
fn what_else(case: &Case) -> Vec<Reason> {
    let study = case.study;
    let helps = short::helps(study.vehicle);
    let setting = || case.best.label.clone();
    let short = short::ends_short(study, &case.best).map(|leaves| Reason::RangeEndsShort {
        setting: setting(),
        leaves,
        helps: helps.clone(),
    });
    let barred = short::barred(study, &case.best).map(|(nearest, button)| Reason::NotReachable {
        nearest,
        button,
        setting: setting(),
    });
    let spent = study.writes_left(case.best_index).is_some_and(|left| left <= case.reserve);
    let spent = (spent && short.is_none() && !case.best.is_present)
        .then(|| Reason::StillHelps { helps: helps.clone() });
    short.into_iter().chain(barred).chain(spent).collect()
}

/// What every measurement would bring, the one that lowers the error most first.
fn prospects(belief: &Belief, free: &[Measurement], held: &[(Measurement, Vec<&Fault>)]) -> Vec<Prospect> {
    let of = |measurement: &Measurement, faults: &[&Fault]| {
        let measuring = belief.measuring(measurement.u_ln_ratio.plain());
        Prospect {
            measurement: measurement.clone(),
            leaves: Ratio::from_plain(measuring.u_after),
            gain: Ratio::from_plain(measuring.gain),
            changes_decision: Ratio::from_plain(measuring.changes_decision),
            changes_setting: Ratio::from_plain(belief.changes_setting(measuring.u_after)),
            held_back_by: faults.iter().map(|fault| (*fault).clone()).collect(),
        }
    };
    let mut all: Vec<Prospect> = free.iter().map(|measurement| of(measurement, &[])).collect();
    all.extend(held.iter().map(|(measurement, faults)| of(measurement, faults)));
    all.sort_by(|a, b| b.gain.plain().total_cmp(&a.gain.plain()));
    all
}

/// The settings around the best, those reached otherwise that come next, and the present one; the truest first.
fn options(study: &Study, best: usize) -> Vec<Scored> {
    let family = study.family(best);
    let at = family.iter().position(|one| *one == best).unwrap_or(0);
    let around = at.saturating_sub(SHOWN_BESIDE)..(at + SHOWN_BESIDE + 1).min(family.len());
    let mut indices = family[around].to_vec();
    let mut others: Vec<usize> =
        (0..study.candidates.len()).filter(|index| !family.contains(index)).collect();
    others.sort_by(|a, b| study.rms_at(*a).total_cmp(&study.rms_at(*b)));
    indices.extend(others.into_iter().take(SHOWN_BESIDE));
    indices.extend(study.best_alone());
    indices.extend(study.present_index().filter(|present| !indices.contains(present)));
    indices.sort_unstable();
    indices.dedup();
    indices.sort_by(|a, b| study.rms_at(*a).total_cmp(&study.rms_at(*b)));
    indices.into_iter().map(|index| study.scored(index)).collect()
}

/// Write, leave or measure first, with the reason.
fn weigh(case: &Case) -> (Advice, Reason) {
    let left = case.study.writes_left(case.best_index);
    let writes_are_free = case.study.writes_are_free(case.best_index);
    let setting = || case.best.label.clone();
    if case.best.is_present {
        let changes = case.measuring.filter(|measuring| measuring.may_change() && !writes_are_free);
        return match changes.map(|measuring| Ratio::from_plain(measuring.changes_decision)) {
            Some(chance_of_write) => {
                (Advice::MeasureFirst, Reason::StoredMayChange { setting: setting(), chance_of_write })
            }
            None => (Advice::Leave, Reason::StoredIsBest { setting: setting() }),
        };
    }
    if let Some(writes_left) = left.filter(|left| *left <= case.reserve) {
        return (Advice::Leave, Reason::NoWriteToSpend { writes_left, reserve: case.reserve });
    }
    let pays = case.belief.write_pays() || case.restores_rule;
    if let Some(needle) = case.needle_first.as_ref().filter(|_| pays) {
        return (Advice::MeasureFirst, needle.reason(case));
    }
    if !writes_are_free
        && case.measuring.is_some_and(|measuring| measuring.worth_it(case.belief.write_pays()))
    {
        // A write for a rule pays by the rule: that it takes truth is its price.
        return (Advice::MeasureFirst, undecided(case, pays));
    }
    match pays {
        true => (Advice::Write, worth_a_write(case, left)),
        false => (Advice::Leave, not_worth_a_write(case)),
    }
}

/// Why it is measured before it is decided.
fn undecided(case: &Case, pays: bool) -> Reason {
    match (pays, case.measuring.map(Measuring::brings)) {
        (true, Some(Brings::GuardsAgainstWorse { chance })) => {
            Reason::MayBeWorse { setting: case.best.label.clone(), chance }
        }
        (true, _) => second_write(case),
        (false, _) => Reason::WriteUndecided,
    }
}
