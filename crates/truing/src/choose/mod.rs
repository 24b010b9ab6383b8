//! What to set, or to leave it, or to measure first; and why: as reasons, whose sentences are the report's.

mod ahead;
mod by_hand;
mod check;
mod compare;
mod decide;
mod engine;
mod exactly_true;
mod hazard;
mod measurements;
mod needle;
mod offers;
mod options;
mod readers;
mod reason;
mod rule;
mod short;
mod study;
mod target;
mod tires;
mod with_setting;
mod worth;

pub use ahead::{Held, Outlook};
pub use by_hand::ByHand;
pub use check::{Check, Checked, Odd, Settle, StoredInstead, Transport, stored_now};
pub use compare::{TireCompared, compare_tires};
pub use engine::EngineAtDial;
pub use exactly_true::{Exactly, ExactlyTrue};
pub use hazard::SlowDial;
pub use measurements::{Measurement, MeasurementKind, every_measurement};
pub use readers::ReaderChange;
pub use reason::{Errors, ReadsNow, Reason, Risk, within_95};
pub use rule::rule_of;
pub use short::Help;
pub use target::Target;
pub use with_setting::reading_with;
pub use worth::Brings;

use crate::describe::adjuster::setting::Setting;
use crate::describe::fault::Fault;
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use crate::rules::Rule;
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use options::Parts;
use serde::Serialize;
use study::Study;

/// Neighbours of the best that are shown to either side.
const SHOWN_BESIDE: usize = 3;

/// What to do.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Advice {
    /// Store the best setting.
    Write,
    /// Leave what is stored.
    Leave,
    /// Measure before a write is spent.
    MeasureFirst,
    /// Check what is odd before anything is stored.
    CheckFirst,
}

impl Advice {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Write => "write",
            Self::Leave => "leave",
            Self::MeasureFirst => "measure-first",
            Self::CheckFirst => "check-first",
        }
    }
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
    /// What is to be set for it: the place of each adjuster in the file, and its setting.
    pub settings: Vec<(usize, Setting)>,
    /// Writes it costs of adjusters that count them.
    pub writes: usize,
    /// What it does to whatever reads the signal.
    pub readers: Vec<ReaderChange>,
    /// The axle it declares over the one fitted, where these differ.
    pub misled_by: Option<Ratio>,
}

/// A measurement in reach and what it would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Prospect {
    /// What could be measured.
    pub measurement: Measurement,
    /// Standard uncertainty of the ratio after it.
    pub leaves: Ratio,
    /// By how much it lowers the expected error of what would be stored.
    pub gain: Ratio,
    /// Probability that it changes whether to write.
    pub changes_decision: Ratio,
    /// Probability that another setting is the best after it.
    pub changes_setting: Ratio,
    /// The open faults that hold it back.
    pub held_back_by: Vec<Fault>,
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
    /// What it is proposed for.
    pub brings: Brings,
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
    /// By what it was decided, then what the best setting does to whatever else reads the signal, then the road to come.
    pub why: Vec<Reason>,
    /// What is to be checked, where that is the advice.
    pub checks: Vec<Check>,
    /// What to measure first, where that is the advice.
    pub measure: Option<Suggested>,
    /// Every measurement in reach, the most useful first; empty where the ratio is unknown.
    pub prospects: Vec<Prospect>,
    /// The miles to come, where the file plans them.
    pub outlook: Option<Outlook>,
    /// The engine at an indicated speed, before and after; empty where the gears are not known.
    pub engine: Vec<EngineAtDial>,
    /// The rule that was kept.
    pub rule: Rule,
    /// Whether the odometer or the needle was made true.
    pub make_true: MakeTrue,
}

/// A setting whose expected error exceeds the best's by less than this is about as good (a tenth of a percentage point).
pub(crate) const ABOUT_AS_GOOD: f64 = 0.001;

impl Choice {
    /// Settings of the one adjuster that is to be set which are about as good as the best.
    pub fn equivalents(&self) -> Vec<Setting> {
        let Some([(place, _)]) = self.best.as_ref().map(|best| best.settings.as_slice()) else {
            return Vec::new();
        };
        let limit = self.best.as_ref().map_or(0.0, |best| best.rms.plain()) + ABOUT_AS_GOOD;
        let near = self.options.iter().filter(|option| option.rms.plain() <= limit);
        let same = near.filter_map(|option| match option.settings.as_slice() {
            [(other, setting)] if other == place => Some(setting.clone()),
            _ => None,
        });
        same.collect()
    }
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
    let reserve = reserve.unwrap_or(vehicle.usage.reserve);
    let parts = Parts::new(source, vehicle, estimate, reserve)?;
    let far_off = vehicle.usage.thresholds.far_off;
    let Some(study) = Study::new(vehicle, estimate, parts, rule.clone(), reserve) else {
        let checks = check::all(vehicle, estimate, None, far_off);
        return Ok(checked(unknown(vehicle, estimate, rule), checks));
    };
    let outlook = ahead::outlook(source, &study, estimate, reserve)?;
    let mut choice = decide::decide(&study, estimate, reserve);
    choice.engine = engine::at_dial(vehicle, estimate, &choice);
    let mut choice = decide::looking_ahead(choice, outlook);
    choice
        .why
        .extend(choice.best.iter().flat_map(|best| readers::reasons(vehicle, best)).collect::<Vec<_>>());
    choice.why.extend(choice.outlook.iter().flat_map(Outlook::reasons).collect::<Vec<_>>());
    let lesser = check::lesser(vehicle, estimate).into_iter();
    choice.why.extend(lesser.map(|finding| Reason::Conflict { finding }));
    let now = choice.present.as_ref().map(|present| present.expected_ratio.value);
    let choice = checked(choice, check::all(vehicle, estimate, now, far_off));
    Ok(hazardous(choice, &study, estimate))
}

/// Nothing is stored while something is odd: what is odd comes before all else, and what it would come to is a side note.
fn checked(mut choice: Choice, checks: Vec<(Check, Reason)>) -> Choice {
    if checks.is_empty() {
        return choice;
    }
    let decided =
        |reason: &Reason| reason.decides_to_store() || matches!(reason, Reason::MeasureFirst { .. });
    choice.why.retain(|reason| !decided(reason));
    let otherwise = std::mem::replace(&mut choice.advice, Advice::CheckFirst);
    let nothing = Reason::NothingBeforeChecked { checks: checks.len(), otherwise };
    let (checks, mut why): (Vec<Check>, Vec<Reason>) = checks.into_iter().unzip();
    why.push(nothing);
    why.append(&mut choice.why);
    Choice { checks, why, measure: None, ..choice }
}

/// A dial that reads slow is said before anything else, whatever the advice; and beside what is to be stored.
fn hazardous(mut choice: Choice, study: &Study, estimate: &VehicleEstimate) -> Choice {
    let from = study.thresholds.slow_hazard;
    let stored = choice.best.as_ref().filter(|_| choice.advice == Advice::Write);
    let mounted = study.vehicle.mounted().and_then(|set| set.called());
    // What is advised may be for tires that are not on yet: then the dial with it is the one with them on.
    let first = stored.and_then(|best| {
        let first = choice.outlook.as_ref()?.held.first()?;
        (first.label == best.label && mounted.is_some_and(|on| first.tires != on)).then_some(first)
    });
    let then = stored.and_then(|best| {
        let ratio = first.map_or(best.expected_ratio.value, |first| first.expected_ratio);
        let dial = hazard::dial_with(study, estimate, ratio)?;
        let dial = hazard::slow_dial(dial, from, first.map(|first| first.tires.clone()))?;
        Some(Reason::DialWouldReadSlow { setting: best.label.clone(), dial })
    });
    let on = first.and(mounted).map(str::to_string);
    let now = choice.present.as_ref().and_then(|_| hazard::slow_dial(hazard::dial_now(estimate)?, from, on));
    let now = now.map(|dial| Reason::DialReadsSlow { dial });
    choice.why.splice(0..0, now.into_iter().chain(then).collect::<Vec<_>>());
    choice
}

/// The ratio cannot be known yet: the answer is what to measure.
fn unknown(vehicle: &Vehicle, estimate: &VehicleEstimate, rule: Rule) -> Choice {
    let (free, held) = measurements::within_reach(vehicle, estimate);
    let unknowable = estimate.unknowable.iter();
    let mut why: Vec<Reason> =
        unknowable.map(|finding| Reason::Unknowable { finding: finding.clone() }).collect();
    why.push(Reason::ReadingUnknown);
    let measure = free.into_iter().next().map(|measurement| {
        why.push(Reason::MeasureToKnow { measurement: measurement.kind, takes: measurement.takes });
        let leaves = measurement.u_ln_ratio;
        let changes_decision = Ratio::from_plain(1.0);
        Suggested { measurement, leaves, changes_decision, brings: Brings::TellsReading }
    });
    why.extend(reason::of_case::held_back(held));
    Choice {
        advice: Advice::MeasureFirst,
        best: None,
        present: None,
        options: Vec::new(),
        probability_best_is_best: None,
        why,
        checks: Vec::new(),
        measure,
        prospects: Vec::new(),
        outlook: None,
        engine: Vec::new(),
        rule,
        make_true: vehicle.usage.make_true,
    }
}
