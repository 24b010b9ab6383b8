//! Why a choice is what it is, as facts with their numbers. The sentences stand in `report::words::reasons`.

pub(super) mod json;
pub(super) mod of_case;

use super::{ExactlyTrue, Held, MeasurementKind};
use crate::describe::fault::Fault;
use crate::describe::usage::MakeTrue;
use crate::measure::drive::DiagnosisKind;
use crate::measure::fusion::{Alarm, Conflict, Unknowable};
use json::{minutes, plain, plain_or_none, shown, touched};
use metrology::quantity::{Duration, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// One reason of a choice. As JSON its `kind` says which; shares and probabilities are plain numbers up to one.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Reason {
    /// A drive shows an error that no setting puts right.
    NotBySetting {
        /// The drive, as it is called.
        drive: String,
        /// The kind of error.
        #[schemars(with = "String")]
        error: DiagnosisKind,
    },
    /// A quantity cannot be known from what is given; the text says what would tell.
    Unknowable {
        /// What is missing.
        #[serde(skip)]
        finding: Unknowable,
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
        exactly_true: ExactlyTrue,
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
        /// RMS of the relative error now; none where what is stored is not known.
        #[serde(serialize_with = "plain_or_none")]
        #[schemars(with = "Option<f64>")]
        error_now: Option<Ratio>,
        /// RMS of the relative error with it.
        #[serde(serialize_with = "plain")]
        #[schemars(with = "f64")]
        error_then: Ratio,
        /// Writes left after it, where they are counted.
        writes_left_after: Option<u32>,
    },
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
    /// A measurement that waits until faults are repaired.
    HeldBack {
        /// What would be measured.
        measurement: MeasurementKind,
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

/// How it reads with what is stored: indicated over true.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReadsNow {
    /// Best value.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub ratio: Ratio,
    /// Lower end of the 95 % interval.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub low_95: Ratio,
    /// Upper end of the 95 % interval.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub high_95: Ratio,
}
