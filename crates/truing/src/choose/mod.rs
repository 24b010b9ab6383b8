//! What to set, or to leave it, or to measure first; and why, in sentences.

mod measurements;
mod options;
mod worth;

pub use measurements::Measurement;
pub use options::Steps;
pub use worth::{CHANCE_WORTH_MEASURING, WORTH_A_WRITE, WORTH_MEASURING};

use crate::describe::decimal::to_f64;
use crate::describe::usage::{MakeTrue, Rule as RuleOfUse, RuleId, Use};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use crate::rules::{self, Band, Edge, ReadingModel, Rule, What, chance_of_breaking};
use metrology::measured::{Measured, normal_cdf};
use metrology::quantity::{PerLength, Ratio, Speed};
use options::Base;
use serde::Serialize;
use worth::{Belief, Measuring};

/// A rule counts as kept when the chance of breaking it is at most this.
pub const CHANCE_OF_BREAKING: f64 = 0.05;
/// Settings tried outward from the truest until one keeps the rule.
const MOST_TRIED: usize = 800;
/// Neighbours of the best that are shown to either side.
const SHOWN_BESIDE: u64 = 3;

/// What to do.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Advice {
    /// Store the best setting.
    Write,
    /// Leave what is stored.
    Leave,
    /// Measure before a write is spent.
    MeasureFirst,
}

/// A setting and what it would make of the reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Scored {
    /// What it is called.
    pub label: String,
    /// Its value.
    pub value: f64,
    /// Indicated over true with it.
    pub expected_ratio: Measured<Ratio>,
    /// RMS of ln R with it.
    pub rms: Ratio,
    /// Probability that it breaks the rule; none where the rule does not bind.
    pub chance_of_breaking: Option<Ratio>,
    /// It is stored now.
    pub is_present: bool,
}

/// A measurement worth doing first.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggested {
    /// What to measure.
    pub measurement: Measurement,
    /// Standard uncertainty of the ratio after it.
    pub leaves: Ratio,
    /// Probability that it changes whether to write.
    pub changes_decision: Ratio,
}

/// The choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What to do.
    pub advice: Advice,
    /// The best setting; none where the ratio is unknown.
    pub best: Option<Scored>,
    /// What is stored now.
    pub present: Option<Scored>,
    /// The settings around the best, the truest first, and the present one.
    pub options: Vec<Scored>,
    /// Probability that no other setting is truer.
    pub probability_best_is_best: Option<Ratio>,
    /// Why, in sentences.
    pub why: Vec<String>,
    /// What to measure first, where that is the advice.
    pub measure: Option<Suggested>,
    /// The rule that was kept.
    pub rule: Rule,
    /// Whether the odometer or the needle was made true.
    pub make_true: MakeTrue,
}

/// The rule of a use, or another one by its word.
pub fn rule_of(usage: &Use, word: Option<&str>) -> Result<Rule, Problem> {
    if let Some(word) = word {
        return rules::find(word);
    }
    match &usage.rule {
        RuleOfUse::Known(id) => rules::find(word_of(*id)),
        RuleOfUse::Own(band) => {
            let edge = |share: Ratio, offset: Speed, sign: f64| Edge {
                slope: Ratio::from_plain(1.0 + sign * share.plain()),
                offset: offset * sign,
            };
            let (low, high) = (
                edge(band.under_share, band.under_offset, -1.0),
                edge(band.over_share, band.over_offset, 1.0),
            );
            Rule::custom("a band of the owner's own".into(), Band::new(low, high)?, band.speeds.clone())
        }
    }
}

fn word_of(id: RuleId) -> &'static str {
    match id {
        RuleId::True => "true",
        RuleId::UnR39 => "un-r39",
        RuleId::Us393_82 => "us-393.82",
        RuleId::Jp2006 => "jp-2006",
        RuleId::Jp2007 => "jp-2007",
        RuleId::Odometer4 => "odometer-4",
        RuleId::Tachograph2 => "tachograph-2",
    }
}

/// The belief about the quantity that is to be true, with the judge of the rule beside it.
struct Study<'v> {
    vehicle: &'v Vehicle,
    steps: Steps<'v>,
    base: Base,
    /// ln of what is to be true, with the present setting or the value one.
    u: f64,
    dof: f64,
    rule: Rule,
    /// What the rule judges, beside what is made true: shift of the mean and its own uncertainty.
    judged_shift: f64,
    judged_u: f64,
}

/// Chooses for a vehicle. `word` names another rule than the vehicle's own; `reserve` another number of writes to keep.
pub fn choose(
    source: &str,
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    word: Option<&str>,
    reserve: Option<u32>,
) -> Result<Choice, Problem> {
    let rule = rule_of(&vehicle.usage, word)?;
    let steps = Steps::of(vehicle, source)?;
    let Some(study) = study(vehicle, estimate, steps, rule.clone()) else {
        return Ok(unknown(vehicle, estimate, rule));
    };
    let reserve = reserve.unwrap_or(vehicle.usage.reserve);
    Ok(decide(&study, estimate, reserve))
}

fn study<'v>(
    vehicle: &'v Vehicle,
    estimate: &VehicleEstimate,
    steps: Steps<'v>,
    rule: Rule,
) -> Option<Study<'v>> {
    let (distance, needle) = (estimate.over_all.distance_ratio, estimate.over_all.needle_ratio);
    let wanted = match vehicle.usage.make_true {
        MakeTrue::Distance => distance,
        MakeTrue::Needle => needle,
    };
    let base = match (steps.present, wanted, estimate.over_all.counts, steps.per_unit) {
        (Some(present), Some(ratio), _, _) => {
            Base::Present { ln_ratio: ratio.value.plain().ln(), ln_value: to_f64(present).ln() }
        }
        (_, _, Some(counts), Some(per_unit)) => {
            Base::Counts { ln_counts: counts.value.per_mi().ln(), ln_per_unit: per_unit.per_mi().ln() }
        }
        _ => return None,
    };
    let relative = |counts: Measured<PerLength>| (counts.relative_uncertainty().plain(), counts.dof);
    let (u, dof) = wanted
        .map(|ratio| (ratio.relative_uncertainty().plain(), ratio.dof))
        .or_else(|| estimate.over_all.counts.map(relative))?;
    let judged = if rule.what == What::Dial { needle.or(distance) } else { distance.or(needle) };
    let (judged_shift, judged_u) = match (judged, wanted) {
        (Some(judged), Some(wanted)) => {
            ((judged.value.plain() / wanted.value.plain()).ln(), judged.relative_uncertainty().plain())
        }
        _ => (0.0, u),
    };
    Some(Study { vehicle, steps, base, u, dof, rule, judged_shift, judged_u })
}

/// The ratio cannot be known yet: the answer is what to measure.
fn unknown(vehicle: &Vehicle, estimate: &VehicleEstimate, rule: Rule) -> Choice {
    let (free, held) = measurements::within_reach(vehicle, estimate);
    let mut why: Vec<String> = estimate.unknowable.clone();
    why.push("How far off the truck reads is not known yet, so no setting can be advised.".into());
    let measure = free.into_iter().next().map(|measurement| {
        why.push(format!("Measure first: {}, {:.0} minutes.", measurement.what, measurement.takes.min()));
        let leaves = measurement.u_ln_ratio;
        Suggested { measurement, leaves, changes_decision: Ratio::from_plain(1.0) }
    });
    why.extend(held.iter().map(|(measurement, faults)| held_sentence(measurement, faults)));
    Choice {
        advice: Advice::MeasureFirst,
        best: None,
        present: None,
        options: Vec::new(),
        probability_best_is_best: None,
        why,
        measure,
        rule,
        make_true: vehicle.usage.make_true,
    }
}

fn held_sentence(measurement: &Measurement, faults: &[&crate::describe::fault::Fault]) -> String {
    let what: Vec<String> = faults
        .iter()
        .map(
            |f| if f.note.is_empty() { f.touches.to_string() } else { format!("{} ({})", f.touches, f.note) },
        )
        .collect();
    format!("Not advised while a fault is open on {}: {}.", what.join(", "), measurement.what)
}

impl Study<'_> {
    fn mean_at(&self, index: u64) -> f64 {
        self.base.ln_ratio_at(to_f64(self.steps.value(index)))
    }

    fn breaking(&self, mean: f64) -> Option<f64> {
        if !self.rule.constrains_choice {
            return None;
        }
        // The number of degrees of freedom moves these chances by far less than the threshold matters.
        let model = ReadingModel::of_ratio(mean + self.judged_shift, self.judged_u, f64::INFINITY);
        Some(chance_of_breaking(&self.rule, &model, self.vehicle.usage.top_speed).plain())
    }

    fn scored(&self, index: u64) -> Scored {
        let mean = self.mean_at(index);
        Scored {
            label: self.steps.setting(index).to_string(),
            value: to_f64(self.steps.value(index)),
            expected_ratio: Measured::from_log(mean, self.u, self.dof),
            rms: Ratio::from_plain(f64::hypot(mean, self.u)),
            chance_of_breaking: self.breaking(mean).map(Ratio::from_plain),
            is_present: self.steps.present == Some(self.steps.value(index)),
        }
    }

    /// The truest setting that keeps the rule; the truest of all, and false, when none of those tried does.
    fn best(&self) -> (u64, bool) {
        let truest = self.steps.nearest(self.base.exact_value());
        let mut outward: Vec<u64> = (truest.saturating_sub(MOST_TRIED as u64 / 2)
            ..=(truest + MOST_TRIED as u64 / 2).min(self.steps.count - 1))
            .collect();
        outward.sort_by(|a, b| self.mean_at(*a).abs().total_cmp(&self.mean_at(*b).abs()));
        let kept = outward.iter().find(|index| {
            self.breaking(self.mean_at(**index)).is_none_or(|chance| chance <= CHANCE_OF_BREAKING)
        });
        kept.map_or((truest, false), |index| (*index, true))
    }

    fn spacing(&self, index: u64) -> f64 {
        let neighbour = if index + 1 < self.steps.count { index + 1 } else { index.saturating_sub(1) };
        (self.mean_at(index) - self.mean_at(neighbour)).abs()
    }

    /// Probability that the truth lies nearer to this setting than to any other.
    fn probability_nearest(&self, index: u64) -> f64 {
        let mean = self.mean_at(index);
        let half = |neighbour: Option<u64>| neighbour.map(|n| 0.5 * (self.mean_at(n) - mean));
        let above = half((index + 1 < self.steps.count).then_some(index + 1));
        let below = half(index.checked_sub(1));
        // The true ln R with this setting must lie between half-way to either neighbour.
        let (low, high) = (below.map_or(f64::INFINITY, |d| d), above.map_or(f64::NEG_INFINITY, |d| d));
        let cdf = |x: f64| normal_cdf((x - mean) / self.u.max(1e-12));
        cdf(-high) - cdf(-low)
    }
}

fn decide(study: &Study, estimate: &VehicleEstimate, reserve: u32) -> Choice {
    let (best_index, keeps_rule) = study.best();
    let best = study.scored(best_index);
    let present =
        study.steps.present.and_then(|value| study.steps.index_of(value)).map(|index| study.scored(index));
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
    let most_useful = free
        .into_iter()
        .map(|m| (belief.measuring(m.u_ln_ratio.plain()), m))
        .max_by(|a, b| a.0.gain.total_cmp(&b.0.gain).then(b.1.takes.min().total_cmp(&a.1.takes.min())));
    let broken_now = study.breaking(now_mean).is_some_and(|chance| chance > CHANCE_OF_BREAKING);
    let mut why = vec![reads_sentence(study, &best)];
    let verdict = weigh(
        study,
        &belief,
        &best,
        most_useful.as_ref().map(|m| m.0),
        broken_now && keeps_rule,
        reserve,
        &mut why,
    );
    let measure = match (verdict, most_useful) {
        (Advice::MeasureFirst, Some((measuring, measurement))) => {
            why.push(measure_sentence(&measurement, &measuring));
            Some(Suggested {
                leaves: Ratio::from_plain(measuring.u_after),
                changes_decision: Ratio::from_plain(measuring.changes_decision),
                measurement,
            })
        }
        _ => None,
    };
    if verdict == Advice::MeasureFirst {
        why.extend(held.iter().map(|(measurement, faults)| held_sentence(measurement, faults)));
    }
    rule_sentences(study, &best, keeps_rule, &mut why);
    Choice {
        advice: verdict,
        probability_best_is_best: Some(Ratio::from_plain(study.probability_nearest(best_index))),
        options: options(study, best_index),
        best: Some(best),
        present,
        why,
        measure,
        rule: study.rule.clone(),
        make_true: study.vehicle.usage.make_true,
    }
}

fn options(study: &Study, best: u64) -> Vec<Scored> {
    let last = study.steps.count - 1;
    let mut indices: Vec<u64> =
        (best.saturating_sub(SHOWN_BESIDE)..=(best + SHOWN_BESIDE).min(last)).collect();
    if let Some(present) = study.steps.present.and_then(|value| study.steps.index_of(value)) {
        if !indices.contains(&present) {
            indices.push(present);
        }
    }
    let mut scored: Vec<Scored> = indices.into_iter().map(|index| study.scored(index)).collect();
    scored.sort_by(|a, b| a.rms.plain().total_cmp(&b.rms.plain()));
    scored
}

/// Write, leave or measure first, with the reason pushed to `why`.
fn weigh(
    study: &Study,
    belief: &Belief,
    best: &Scored,
    measuring: Option<Measuring>,
    mends_rule: bool,
    reserve: u32,
    why: &mut Vec<String>,
) -> Advice {
    let left = study.steps.adjuster.writes_left;
    let worth = measuring.is_some_and(Measuring::worth_it);
    // A free constant whose writes are not counted can be stored again at no price: measuring may come after.
    let writes_are_free = left.is_none()
        && matches!(study.steps.adjuster.kind, crate::describe::adjuster::AdjusterKind::FreeConstant(_));
    if best.is_present {
        let change = measuring.map_or(0.0, |m| m.changes_decision);
        if change > CHANCE_WORTH_MEASURING && !writes_are_free {
            why.push(format!("{} is stored and is the best of the settings as far as is known, but that may change: with {:.0} % probability a measurement would advise a write.", best.label, 100.0 * change));
            return Advice::MeasureFirst;
        }
        why.push(format!(
            "{} is stored already and no other setting is expected to be truer: leave it.",
            best.label
        ));
        return Advice::Leave;
    }
    if left.is_some_and(|left| left <= reserve) {
        let (left, kept) = (
            left.unwrap_or(0),
            if reserve == 0 { String::new() } else { format!(" and {reserve} are to be kept") },
        );
        why.push(format!("The module has {left} writes left{kept}: leave it."));
        return Advice::Leave;
    }
    let pays = belief.write_pays() || mends_rule;
    if worth && !writes_are_free {
        why.push(if pays {
            format!("Storing {} now would leave an uncertainty of {:.2} % in what is stored; that may well cost a second write ({:.0} % probability).", best.label, 100.0 * belief.u, 100.0 * belief.second_write())
        } else {
            "Whether a write pays cannot be told yet.".into()
        });
        return Advice::MeasureFirst;
    }
    let gain = 100.0 * (belief.rms_now() - belief.rms_best());
    if pays {
        if gain.is_finite() {
            why.push(format!(
                "Storing {} lowers the expected error from {:.2} % to {:.2} %: worth a write.",
                best.label,
                100.0 * belief.rms_now(),
                100.0 * belief.rms_best()
            ));
        } else {
            why.push(format!(
                "What is stored now is not known; {} is the setting the measurements call for.",
                best.label
            ));
        }
        why.extend(left.map(|left| format!("After it the module has {} writes left.", left - 1)));
        return Advice::Write;
    }
    why.push(format!("Storing {} would lower the expected error by only {:.2} percentage points (less than {:.1}): not worth a write.", best.label, gain, 100.0 * WORTH_A_WRITE));
    Advice::Leave
}

fn reads_sentence(study: &Study, best: &Scored) -> String {
    let what = match study.vehicle.usage.make_true {
        MakeTrue::Distance => "odometer",
        MakeTrue::Needle => "needle",
    };
    match study.base {
        Base::Present { ln_ratio, .. } => {
            let percent = 100.0 * (ln_ratio.exp() - 1.0);
            let half =
                100.0 * (best.expected_ratio.high_95.plain() - best.expected_ratio.low_95.plain()) / 2.0;
            let word = if percent < 0.0 { "slow" } else { "fast" };
            format!(
                "The {what} reads {:.1} % {word}, give or take {half:.1} % (95 %); exactly true would be {:.4}.",
                percent.abs(),
                study.base.exact_value()
            )
        }
        Base::Counts { .. } => format!("The measurements call for {:.4}.", study.base.exact_value()),
    }
}

fn measure_sentence(measurement: &Measurement, measuring: &Measuring) -> String {
    format!(
        "Measure first: {} ({:.0} minutes) would leave an uncertainty of {:.2} %, and changes whether to write with {:.0} % probability.",
        measurement.what,
        measurement.takes.min(),
        100.0 * measuring.u_after,
        100.0 * measuring.changes_decision
    )
}

fn rule_sentences(study: &Study, best: &Scored, keeps_rule: bool, why: &mut Vec<String>) {
    let Some(chance) = best.chance_of_breaking else { return };
    if !keeps_rule {
        why.push(format!("No setting in reach keeps the rule `{}` with a chance of breaking it below {:.0} %; {} is the truest.", study.rule.id, 100.0 * CHANCE_OF_BREAKING, best.label));
        return;
    }
    why.push(format!(
        "The rule `{}` ({}): chance of breaking it with {}: {:.1} %. Local law decides.",
        study.rule.id,
        study.rule.title,
        best.label,
        100.0 * chance.plain()
    ));
    let extra = 1000.0 * (best.expected_ratio.value.plain() - 1.0);
    if extra.abs() >= 1.0 {
        why.push(format!("For the rule the setting is biased: the odometer then counts about {:.0} miles for every 1000 driven.", 1000.0 + extra));
    }
}
