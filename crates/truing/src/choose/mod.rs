//! What to set, or to leave it, or to measure first; and why, in sentences.

mod decide;
mod measurements;
mod options;
mod rule;
mod says;
mod worth;

pub use measurements::Measurement;
pub use options::Steps;
pub use rule::rule_of;
pub use worth::{CHANCE_WORTH_MEASURING, WORTH_A_WRITE, WORTH_MEASURING};

use crate::describe::decimal::to_f64;
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use crate::rules::{ReadingModel, Rule, What, chance_of_breaking};
use metrology::measured::{Measured, normal_cdf};
use metrology::quantity::{PerLength, Ratio};
use options::Base;
use serde::Serialize;

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
    let mut choice = decide::decide(&study, estimate, reserve);
    choice.why.extend(estimate.alarms.iter().chain(&estimate.conflicts).cloned());
    Ok(choice)
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
    why.extend(held.iter().map(|(measurement, faults)| says::held(measurement, faults)));
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

    fn present_index(&self) -> Option<u64> {
        self.steps.present.and_then(|value| self.steps.index_of(value))
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
