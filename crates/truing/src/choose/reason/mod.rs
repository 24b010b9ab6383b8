//! Why a choice is what it is, as facts with their numbers. The sentences stand in `report::words::reasons`.

pub(super) mod json;
mod numbers;
pub(super) mod of_case;
use super::{Advice, Brings, Check, Exactly, Held, Help, MeasurementKind, SlowDial};
use crate::describe::adjuster::{Button, setting::Setting};
use crate::describe::chain::OthersRead;
use crate::describe::fault::Fault;
use crate::describe::usage::MakeTrue;
use crate::measure::drive::DiagnosisKind;
use crate::measure::fusion::{Alarm, Conflict, Unknowable};
use json::{minutes, plain, shown, shown_or_none, touched};
use metrology::quantity::{Duration, Ratio};
pub use numbers::{Errors, ReadsNow, Risk, within_95};
use schemars::JsonSchema;
use serde::Serialize;

/// One reason of a choice. As JSON its `kind` says which; shares and probabilities are plain numbers up to one.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Reason {
    /// The dial reads slow now: a hazard.
    DialReadsSlow {
        /// By how much.
        #[serde(flatten)]
        dial: SlowDial,
    },
    /// The dial would read slow with the setting.
    DialWouldReadSlow {
        /// The setting.
        setting: String,
        /// By how much.
        #[serde(flatten)]
        dial: SlowDial,
    },
    /// A drive shows an error that no setting puts right.
    NotBySetting {
        /// The drive, as it is called.
        drive: String,
        /// The kind of error.
        #[schemars(with = "String")]
        error: DiagnosisKind,
    },
    /// The evidence agrees only if a part is another than the owner believes; the text says which.
    Alarm {
        /// The belief and what was found.
        #[serde(skip)]
        finding: Alarm,
    },
    /// The evidence disagrees more than its uncertainties allow; the text says where.
    Conflict {
        /// Which pieces, by how much.
        #[serde(skip)]
        finding: Conflict,
    },
    /// Something else is odd and is checked before anything is stored; the text says what and how.
    Check {
        /// What is to be checked.
        #[serde(skip)]
        check: Check,
    },
    /// Nothing is stored before what is odd is settled.
    NothingBeforeChecked {
        /// Things to check.
        checks: usize,
        /// What the advice would be if all were right as it stands.
        otherwise: Advice,
    },
    /// A quantity cannot be known from what is given; the text says what would tell.
    Unknowable {
        /// What is missing.
        #[serde(skip)]
        finding: Unknowable,
    },
    /// How far off the truck reads is not known, so no setting can be advised.
    ReadingUnknown,
    /// How it reads now, and what would make it exactly true.
    Reading {
        /// What is to be true: `distance` or `needle`.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        make_true: MakeTrue,
        /// How it reads with what is stored; none where that is not known.
        now: Option<ReadsNow>,
        /// What would make it exactly true, off any grid.
        exactly_true: Exactly,
    },
    /// What is stored is the best, and no measurement is expected to change that.
    StoredIsBest {
        /// What is stored.
        setting: String,
    },
    /// What is stored is the best as far as is known, and a measurement may well change that.
    StoredMayChange {
        /// What is stored.
        setting: String,
        /// Probability that the most useful measurement would advise a write.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance_of_write: Ratio,
    },
    /// There is no write left to spend.
    NoWriteToSpend {
        /// Writes left.
        writes_left: u32,
        /// Of these, writes to keep.
        reserve: u32,
    },
    /// Whether a write pays cannot be told yet.
    WriteUndecided,
    /// A write pays, but what it would store is still too uncertain to be the last.
    SecondWriteLikely {
        /// The setting.
        setting: String,
        /// Relative standard uncertainty of what would be stored.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        standard_uncertainty: Ratio,
        /// Probability that a second write would pay once all is known.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance_of_second_write: Ratio,
    },
    /// Storing the setting is worth a write.
    WorthAWrite {
        /// The setting.
        setting: String,
        /// The error now and with it.
        #[serde(flatten)]
        errors: Errors,
        /// Writes left after it, where they are counted.
        writes_left_after: Option<u32>,
    },
    /// The write is for the rule: the error does not fall enough for one, or rises.
    WriteForRule {
        /// The setting.
        setting: String,
        /// Probability that the rule is broken now.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance_now: Ratio,
        /// The same with the setting.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance_then: Ratio,
        /// The error now and with it.
        #[serde(flatten)]
        errors: Errors,
        /// Writes left after it, where they are counted.
        writes_left_after: Option<u32>,
    },
    /// A write may leave the truck worse than it is.
    MayBeWorse {
        /// The setting.
        setting: String,
        /// Probability of that.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance: Ratio,
    },
    /// The rule would be bought with the odometer's truth on a belief about the needle.
    RestsOnNeedle {
        /// The rule, by the word it is asked for.
        rule: String,
        /// The setting.
        setting: String,
        /// How far the odometer would be off for it, as a share.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        bias: Ratio,
        /// Relative standard uncertainty of what is believed of the needle.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        standard_uncertainty: Ratio,
    },
    /// A setting on the slow side is as true or truer, and another one was taken for safety.
    NotSlowPreferred {
        /// The setting.
        setting: String,
        /// The one on the slow side.
        instead_of: String,
        /// By how much the RMS of the relative error is greater for it.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        difference: Ratio,
    },
    /// A chance of breaking the rule beyond what is permitted is taken for truth.
    RiskTaken {
        /// The setting.
        setting: String,
        /// The setting that keeps the rule.
        kept_by: String,
        /// By how much the RMS of the relative error would be greater with that.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        costs: Ratio,
    },
    /// What error comes with what risk of breaking the rule, for the best and its neighbours.
    RiskBesideError {
        /// Each setting.
        options: Vec<Risk>,
    },
    /// What can be set ends short of what is needed.
    RangeEndsShort {
        /// The setting that comes nearest.
        setting: String,
        /// Indicated over true that it leaves.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        leaves: Ratio,
        /// What would help.
        helps: Vec<Help>,
    },
    /// The truest value is not reached by the only button there is.
    NotReachable {
        /// The truest value.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        nearest: Setting,
        /// The button.
        #[serde(serialize_with = "shown")]
        #[schemars(with = "String")]
        button: Button,
        /// The setting taken instead.
        setting: String,
    },
    /// Without a write to spend, what still helps.
    StillHelps {
        /// What would help.
        helps: Vec<Help>,
    },
    /// The measurement needs a log of the vehicle's own speed, and whether there can be one is not said.
    MayHaveNoLog,
    /// Storing the setting would gain too little for a write.
    NotWorthAWrite {
        /// The setting.
        setting: String,
        /// By how much it would lower the RMS of the relative error.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        gain: Ratio,
        /// What a write must gain at least.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        least_gain: Ratio,
        /// The error now and with it.
        #[serde(flatten)]
        errors: Errors,
    },
    /// Measuring is worth more than deciding now.
    MeasureFirst {
        /// What to measure.
        measurement: MeasurementKind,
        /// Time it takes, in minutes.
        #[serde(rename = "minutes", serialize_with = "minutes")]
        #[schemars(with = "f64")]
        takes: Duration,
        /// Relative standard uncertainty that it leaves.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        leaves: Ratio,
        /// Probability that it changes whether to write.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        changes_decision: Ratio,
        /// What it is proposed for.
        brings: Brings,
    },
    /// Nothing can be decided before this is measured.
    MeasureToKnow {
        /// What to measure.
        measurement: MeasurementKind,
        /// Time it takes, in minutes.
        #[serde(rename = "minutes", serialize_with = "minutes")]
        #[schemars(with = "f64")]
        takes: Duration,
    },
    /// Measurements that wait until faults are repaired.
    HeldBack {
        /// What would be measured.
        measurements: Vec<MeasurementKind>,
        /// The open faults, each by what it touches.
        #[serde(serialize_with = "touched")]
        #[schemars(with = "Vec<String>")]
        faults: Vec<Fault>,
    },
    /// The setting keeps the rule.
    RuleKept {
        /// The rule, by the word it is asked for.
        rule: String,
        /// The rule in a few words.
        title: String,
        /// The setting.
        setting: String,
        /// Probability that it breaks the rule.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        chance_of_breaking: Ratio,
    },
    /// No setting in reach keeps the rule.
    RuleNotKept {
        /// The rule, by the word it is asked for.
        rule: String,
        /// The truest setting.
        setting: String,
        /// Up to this probability of breaking it a rule counts as kept.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        permitted_chance: Ratio,
    },
    /// For the rule the setting is not the truest.
    BiasedForRule {
        /// Indicated over true with it.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        expected_ratio: Ratio,
    },
    /// The setting declares another axle than the one fitted.
    AxleMisdeclared {
        /// The setting.
        setting: String,
        /// The declared axle over the one fitted.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        declared_over_fitted: Ratio,
    },
    /// Over the road planned, the write serves better later.
    WriteServesLater,
    /// Over the road planned, this setting serves best with the writes left.
    ServesRoadBest {
        /// The setting.
        setting: String,
    },
    /// Another reader of the signal that the setting leaves as it is.
    ReaderUnchanged {
        /// The reader.
        reader: String,
        /// The setting.
        setting: String,
        /// It holds if the reader reads that signal; null where that is known, or makes no difference.
        #[serde(serialize_with = "shown_or_none")]
        #[schemars(with = "Option<String>")]
        if_reads: Option<OthersRead>,
    },
    /// Another reader of the signal that the setting changes.
    ReaderChanges {
        /// The reader.
        reader: String,
        /// The setting.
        setting: String,
        /// What it reads then over what it reads now.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        times: Ratio,
        /// It decides when to shift.
        shifts: bool,
        /// It holds if the reader reads that signal, `sensor` or `module`; null where that is known, or makes no difference.
        #[serde(serialize_with = "shown_or_none")]
        #[schemars(with = "Option<String>")]
        if_reads: Option<OthersRead>,
    },
    /// What to hold over the road planned.
    RoadToCome {
        /// Each stretch with its setting.
        held: Vec<Held>,
        /// Changes of the setting.
        writes: usize,
        /// RMS of the mean relative error over all of it.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        rms: Ratio,
    },
    /// The one setting for all of the road planned.
    OneForAll {
        /// The setting.
        setting: String,
        /// RMS of the mean relative error over all of it.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        rms: Ratio,
    },
    /// What waiting for the next tires or axle would save and cost.
    Waiting {
        /// Writes saved.
        writes_saved: usize,
        /// RMS of the mean relative error over all of the road.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        rms: Ratio,
    },
}
