//! What may be asked and sent, field by field.

use crate::page::PageError;
use crate::page::answers::{self, Wish};
use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use truing::problem::Problem;

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

/// Which steps are asked for.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct StepsAsked {
    /// The value to store instead of the advised one.
    pub to: Option<String>,
    /// Which adjuster it is for, where there are several.
    pub adjuster: Option<String>,
    /// What the display shows by now.
    pub shows: Option<String>,
    /// Steps a second that a held button makes by itself.
    pub repeat: Option<f64>,
    /// Seconds until a held button goes on by itself; one when left out.
    pub repeat_after: Option<f64>,
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
}

/// Which tire.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct TireAsked {
    /// The size as it stands on the sidewall.
    pub size: String,
}

/// Which vehicle of the record.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct VehicleNamed {
    /// The name under which the record keeps it.
    pub vehicle: String,
}

/// Drives that are sent as a form with files: only for the description.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "its fields are read part by part; the type describes them")]
pub struct DrivesSent {
    /// Tracks and logs, or archives of them; the two of a drive are told by their names.
    #[schemars(extend("items" = { "type": "string", "contentMediaType": "application/octet-stream" }))]
    files: Vec<String>,
    /// A DBC file that says where the speed stands in CAN logs.
    #[schemars(extend("contentMediaType" = "application/octet-stream"))]
    dbc: Option<String>,
    /// The name of the signal in it.
    signal: Option<String>,
    /// Where the speed stands in CAN logs, instead of a DBC file.
    can_signal: Option<String>,
    /// Which columns of CSV tracks to take, with units.
    track_columns: Option<String>,
    /// Which columns of CSV vehicle logs to take, with units.
    vehicle_columns: Option<String>,
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
    /// What is stored now.
    pub to: String,
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
    /// Any other fields.
    pub fields: BTreeMap<String, String>,
}

/// Reads a JSON object that was sent; nothing at all is an empty one.
pub fn sent<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, PageError> {
    let bytes = if bytes.is_empty() { b"{}" } else { bytes };
    serde_json::from_slice(bytes).map_err(|error| {
        PageError::unusable(vec![Problem::error(
            "the body",
            "a JSON object of known fields",
            error.to_string(),
        )])
    })
}

/// A field that is not blank.
pub fn said(text: &Option<String>) -> Option<&str> {
    text.as_deref().and_then(answers::given)
}
