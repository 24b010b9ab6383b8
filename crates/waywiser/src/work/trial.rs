//! A drive whose files lie beside a vehicle file, and the rule to judge it by.

use super::drive::{DriveInputs, LogInputs};
use super::entry::source::hash_of_file;
use super::typed::given;
use schemars::JsonSchema;
use serde::Deserialize;
use std::path::PathBuf;
use truing::problem::Problem;

/// What a box of a form says when it is ticked.
pub const YES: &str = "yes";

/// A drive whose files lie beside the vehicle file, and the rule to judge it by.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Trial {
    /// The name of the track's file.
    pub track: String,
    /// The name of the vehicle's own log.
    pub vehicle_log: Option<String>,
    /// Steady speeds called out, in order: `30, 45, 60 mph`.
    pub holds: Option<String>,
    /// Odometer at the start of the track, with its unit.
    pub odometer_start: Option<String>,
    /// Odometer at its end.
    pub odometer_end: Option<String>,
    /// How both were read: `digits` unless said, `between-digits` or `as-it-turned`.
    pub odometer_read: Option<String>,
    /// `yes` where the road went through hills.
    pub hilly: Option<String>,
    /// Which columns of a CSV track to take, with units: `time=t s, speed=v m/s`.
    pub track_columns: Option<String>,
    /// Which columns of a CSV vehicle log to take, with units.
    pub vehicle_columns: Option<String>,
    /// Where the speed stands in a CAN log, if no standard says it.
    pub can_signal: Option<String>,
    /// The name of a DBC file that says it.
    pub dbc: Option<String>,
    /// The name of the signal in the DBC file; its only speed when left out.
    pub signal: Option<String>,
    /// The rule; the truck's own when left out.
    pub rule: Option<String>,
}

impl Trial {
    /// From the fields of a form or an address, by their names.
    pub fn of<'f>(field: impl Fn(&str) -> Option<&'f str>) -> Self {
        let text = |name: &str| field(name).map(str::to_string);
        Self {
            track: text("track").unwrap_or_default(),
            vehicle_log: text("vehicle_log"),
            holds: text("holds"),
            odometer_start: text("odometer_start"),
            odometer_end: text("odometer_end"),
            odometer_read: text("odometer_read"),
            hilly: text("hilly"),
            track_columns: text("track_columns"),
            vehicle_columns: text("vehicle_columns"),
            can_signal: text("can_signal"),
            dbc: text("dbc"),
            signal: text("signal"),
            rule: text("rule"),
        }
    }

    /// The same without what was left blank; a trial needs a track.
    pub fn told(self) -> Result<Self, Vec<Problem>> {
        let said = |text: Option<String>| text.as_deref().and_then(given).map(str::to_string);
        let Some(track) = said(Some(self.track)) else {
            let problem = Problem::error("track", "a track of the drive", "none");
            let hint =
                "Choose the file with the track that was recorded on the drive: GPX, NMEA, CSV or the like.";
            return Err(vec![problem.hint(hint)]);
        };
        Ok(Self {
            track,
            vehicle_log: said(self.vehicle_log),
            holds: said(self.holds),
            odometer_start: said(self.odometer_start),
            odometer_end: said(self.odometer_end),
            odometer_read: said(self.odometer_read),
            hilly: said(self.hilly),
            track_columns: said(self.track_columns),
            vehicle_columns: said(self.vehicle_columns),
            can_signal: said(self.can_signal),
            dbc: said(self.dbc),
            signal: said(self.signal),
            rule: said(self.rule),
        })
    }

    /// The drive that is meant, with its files where `file` says they lie.
    pub fn drive(&self, file: impl Fn(&str) -> PathBuf) -> DriveInputs {
        DriveInputs {
            track: file(&self.track),
            vehicle_log: self.vehicle_log.as_deref().map(&file),
            holds: self.holds.clone(),
            odometer_start: self.odometer_start.clone(),
            odometer_end: self.odometer_end.clone(),
            odometer_read: self.odometer_read.clone(),
            hilly: self.hilly.as_deref() == Some(YES),
            logs: LogInputs {
                track_columns: self.track_columns.clone(),
                vehicle_columns: self.vehicle_columns.clone(),
                can_signal: self.can_signal.clone(),
                dbc: self.dbc.as_deref().map(&file),
                signal: self.signal.clone(),
            },
        }
    }

    /// As fields of a form or an address.
    pub fn fields(&self) -> Vec<(&'static str, String)> {
        let all = [
            ("track", Some(self.track.clone())),
            ("vehicle_log", self.vehicle_log.clone()),
            ("holds", self.holds.clone()),
            ("odometer_start", self.odometer_start.clone()),
            ("odometer_end", self.odometer_end.clone()),
            ("odometer_read", self.odometer_read.clone().filter(|_| self.odometer_end.is_some())),
            ("hilly", self.hilly.clone()),
            ("track_columns", self.track_columns.clone()),
            ("vehicle_columns", self.vehicle_columns.clone()),
            ("can_signal", self.can_signal.clone()),
            ("dbc", self.dbc.clone()),
            ("signal", self.signal.clone()),
        ];
        all.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
    }
}

/// Names and hashes of the files that a trial rests on, which lie where `file` says.
pub fn rests_on(trial: &Trial, file: impl Fn(&str) -> PathBuf) -> Vec<(&'static str, String)> {
    let hash = |name: &str| hash_of_file(&file(name)).map(|hash| hash.to_string());
    let mut fields = trial.fields();
    fields.extend(hash(&trial.track).map(|hash| ("track_sha256", hash)));
    let log = trial.vehicle_log.as_deref().and_then(hash);
    fields.extend(log.map(|hash| ("vehicle_log_sha256", hash)));
    fields.extend(trial.dbc.as_deref().and_then(hash).map(|hash| ("dbc_sha256", hash)));
    fields
}
