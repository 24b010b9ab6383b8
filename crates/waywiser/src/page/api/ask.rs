//! What may be asked and sent, field by field.

use crate::page::answers::Wish;
use crate::work::asked::Inputs;
use crate::work::drive::{DriveInputs, LogInputs};
use crate::work::typed::given;
use schemars::{JsonSchema, Schema};
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;
use truing::record::{DONE_ON, ENTERED_LATE, FROM_REASON, SURE};

/// By which rule and reserve to choose.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Wished {
    /// A rule to keep instead of the truck's own.
    pub rule: Option<String>,
    /// Writes to keep in reserve.
    pub reserve: Option<u32>,
}

impl Wished {
    /// As the engine takes it.
    pub fn wish(&self) -> Wish {
        Wish { rule: self.rule.clone(), reserve: self.reserve }
    }
}

/// Which section of the vehicle file.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct SectionAsked {
    /// The section; all of them when left out.
    pub section: Option<String>,
}

/// Which vehicle file to start from.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct StartAsked {
    /// What can be set: a kind of adjuster; the file lists the kinds when left out.
    pub kind: Option<String>,
}

/// Which steps are asked for.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct StepsAsked {
    /// The value to store instead of the advised one.
    pub to: Option<String>,
    /// Which adjuster it is for, where there are several.
    pub adjuster: Option<String>,
    /// Give the steps even where the truck would read worse with that value than now.
    pub even_if_worse: bool,
    /// What the display shows by now.
    pub shows: Option<String>,
    /// Steps a second that a held button makes by itself.
    pub repeat: Option<f64>,
    /// Seconds until a held button goes on by itself; one when left out.
    pub repeat_after: Option<f64>,
    /// Why it is to be stored although the advice is to check first; it belongs into the record.
    pub despite: Option<String>,
    /// The rule to keep; the truck's own when left out.
    pub rule: Option<String>,
    /// Writes to keep; as the truck's file says when left out.
    pub reserve: Option<u32>,
}

/// A routine of the owner's own module.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct RoutineSent {
    /// One step a line; empty to go back to the steps that ship.
    pub text: String,
    /// The version that it was made from.
    pub version: String,
}

/// From where to where.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct WayAsked {
    /// A day, a time or a reading; the first reading when left out.
    pub from: Option<String>,
    /// The same for the end; the last reading when left out.
    pub to: Option<String>,
}

/// What stands on paper.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct CheckAsked {
    /// How many entries there were.
    pub entries: Option<u64>,
    /// The hash of the last of them.
    pub head: Option<String>,
    /// Compute again what the program computed, where its files are at hand.
    pub recompute: bool,
}

/// Which tire.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct TireAsked {
    /// The size as it stands on the sidewall.
    pub size: String,
}

/// Drives that are sent as a form with files: only for the description.
#[derive(JsonSchema)]
#[schemars(transform = files_are_sent)]
#[allow(dead_code, reason = "its fields are read part by part; the type describes them")]
pub struct DrivesSent {
    /// Tracks and logs, or archives of them; the two of a drive are told by their names.
    #[schemars(extend("items" = { "type": "string", "contentMediaType": "application/octet-stream" }))]
    files: Vec<String>,
    #[schemars(flatten)]
    logs: LogInputs,
}

/// One drive that is sent as a form with files: only for the description.
#[derive(JsonSchema)]
#[schemars(transform = files_are_sent, extend("required" = ["track"]))]
#[allow(dead_code, reason = "its fields are read part by part; the type describes them")]
pub struct DriveSent {
    #[schemars(flatten)]
    drive: DriveInputs,
}

const FILE: &str = "application/octet-stream";

/// Says of the files of a drive that they are sent and not named.
fn files_are_sent(schema: &mut Schema) {
    let Some(Value::Object(fields)) = schema.get_mut("properties") else { return };
    for name in DriveInputs::file_names() {
        if let Some(Value::Object(field)) = fields.get_mut(name) {
            field.insert("contentMediaType".into(), FILE.into());
        }
    }
}

/// One recording that is sent as a form with files: only for the description.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "its fields are read part by part; the type describes them")]
pub struct RecordingSent {
    /// The recording.
    #[schemars(extend("contentMediaType" = "application/octet-stream"))]
    file: String,
    /// Turns made meanwhile.
    turns: Option<f64>,
    /// Distance travelled meanwhile, with its unit.
    distance: Option<String>,
    /// To the nearest what that distance was measured, with its unit; to the last digit when left out.
    measured_to_nearest: Option<String>,
    /// A track of the drive that was recorded.
    #[schemars(extend("contentMediaType" = "application/octet-stream"))]
    track: Option<String>,
    /// Which channel, by name, or by number from 1.
    channel: Option<String>,
}

/// The owner's units.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct UnitsChosen {
    /// `us`, `metric` or `mixed`.
    pub units: String,
}

/// What a file is called.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct FileNamed {
    /// Its name; it is kept under one that is safe and free, which the answer tells.
    pub name: String,
}

/// A write that was made.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct WriteMade {
    /// What was stored before.
    pub from: String,
    /// Why that is not what was held to be stored, where it is not.
    pub from_reason: Option<String>,
    /// What is stored now, as the module shows it afterwards.
    pub to: String,
    /// Writes left afterwards, where the module says so; else one fewer than before.
    pub writes_left: Option<u32>,
    /// The adjuster, where there are several.
    pub adjuster: Option<String>,
    /// What the odometer shows, with its unit.
    pub odometer: Option<String>,
    /// A remark.
    pub text: Option<String>,
}

/// An entry of the record.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct EntryMade {
    /// Its kind, as for `record add`.
    pub kind: String,
    /// What the odometer shows, with its unit.
    pub odometer: Option<String>,
    /// What it is about.
    pub text: Option<String>,
    /// The value stored, fitted, estimated or found.
    pub value: Option<String>,
    /// A file that it rests on, by its name beside the vehicle file: its name and its hash are kept.
    pub source: Option<String>,
    /// Why a write begins from another value than the stored one.
    pub from_reason: Option<String>,
    /// Why its time is before that of the entry before.
    pub entered_late: Option<String>,
    /// The day on which it was done, where that was earlier.
    pub done_on: Option<String>,
    /// Why it is right though it looks odd.
    pub sure: Option<String>,
    /// What the odometer showed last that was replaced, with its unit.
    pub odometer_before: Option<String>,
    /// Any other fields.
    pub fields: BTreeMap<String, String>,
}

impl EntryMade {
    /// The fields beside those that every entry may have.
    pub fn more(&self) -> Vec<(&str, &str)> {
        let own = [
            (FROM_REASON, &self.from_reason),
            (ENTERED_LATE, &self.entered_late),
            (DONE_ON, &self.done_on),
            (SURE, &self.sure),
            ("odometer_before", &self.odometer_before),
        ];
        let own = own.into_iter().filter_map(|(name, value)| Some((name, said(value)?)));
        own.chain(self.fields.iter().map(|(name, value)| (name.as_str(), value.as_str()))).collect()
    }
}

/// How an exported record is taken in.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ImportAsked {
    /// Take entries too that are dated before the entry before them, or in the future.
    pub any_times: bool,
}

/// What is typed from a signed paper.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct SheetHeld {
    /// The sheet code, all eight rows; blanks, dashes and line ends do not matter.
    pub sheet_code: String,
}

/// How a difference is repaired.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct RepairAsked {
    /// `record`, and the vehicle file follows it, or `file`, and an entry says that it is right.
    pub right: String,
}

/// A field that is not blank.
pub fn said(text: &Option<String>) -> Option<&str> {
    text.as_deref().and_then(given)
}
