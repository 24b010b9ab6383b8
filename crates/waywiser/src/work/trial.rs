//! A drive judged by a rule.

use super::asked::Inputs;
use super::drive::DriveInputs;
use super::entry::source::hash_of_file;
use super::typed::given;
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use truing::problem::{Problem, Problems};

/// A drive whose files lie beside the vehicle file, and the rule to judge it by.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(default)]
#[schemars(deny_unknown_fields)]
pub struct Trial {
    /// The drive, its files by their names.
    #[serde(flatten)]
    pub drive: DriveInputs,
    /// The rule; the truck's own when left out.
    pub rule: Option<String>,
}

impl Trial {
    /// From the fields of a form or an address, by their names.
    pub fn from_fields<'f>(field: impl Fn(&str) -> Option<&'f str>) -> Result<Self, Problems> {
        let rule = field("rule").and_then(given).map(str::to_string);
        Ok(Self { drive: DriveInputs::from_fields(field)?, rule })
    }

    /// The same without what was left blank; a trial needs a track.
    pub fn told(self) -> Result<Self, Problems> {
        let fields = self.drive.fields();
        let field =
            |name: &str| fields.iter().find(|(known, _)| *known == name).map(|(_, text)| text.as_str());
        let mut drive = DriveInputs::from_fields(field)?;
        if drive.track.as_path() == Path::new("") {
            let problem = Problem::error("track", "a track of the drive", "none");
            let hint =
                "Choose the file with the track that was recorded on the drive: GPX, NMEA, CSV or the like.";
            return Err(problem.hint(hint).into());
        }
        // A form always says how an odometer was read, a command line only where one was.
        drive.read_from = drive.read_from.filter(|_| drive.holds.is_some());
        drive.odometer_read = drive.odometer_read.filter(|_| drive.odometer_end.is_some());
        let rule = self.rule.as_deref().and_then(given).map(str::to_string);
        Ok(Self { drive, rule })
    }
}

/// The name of each file's hash, by the name of its field.
static HASHES: LazyLock<BTreeMap<&str, String>> =
    LazyLock::new(|| DriveInputs::file_names().map(|name| (name, format!("{name}_sha256"))).collect());

/// What a trial was asked and, by their hashes, the files that it rests on, which lie where `file` says.
pub fn rests_on(trial: &Trial, file: impl Fn(&str) -> PathBuf) -> Vec<(&'static str, String)> {
    let mut drive = trial.drive.clone();
    let hashes = drive.files_mut().into_iter().filter_map(|(name, path)| {
        let hash = hash_of_file(&file(&path.to_string_lossy()))?;
        Some((HASHES.get(name)?.as_str(), hash.to_string()))
    });
    trial.drive.fields().into_iter().chain(hashes).collect()
}
