//! What is asked for, as one type for the flags of a command, the fields of a form, JSON and the description of the
//! interface. Its flags are the one list of its fields: names, order and which are files stand nowhere else.

use super::typed::with_value;
use clap::{Arg, ArgAction, Args, Command};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use std::any::TypeId;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::mem::take;
use std::path::{Path, PathBuf};
use truing::problem::{Problem, Problems};

/// A request whose fields are texts, boxes to tick and files.
pub trait Inputs: Args + Clone + Serialize + DeserializeOwned {
    /// Its flags.
    fn flags() -> &'static Command;

    /// The files that it names, each with its field.
    fn files_mut(&mut self) -> Vec<(&'static str, &mut PathBuf)>;

    /// The names of its fields, in the order of its flags.
    fn names() -> impl Iterator<Item = &'static str> {
        Self::flags().get_arguments().map(name_of)
    }

    /// The fields that are files.
    fn file_names() -> impl Iterator<Item = &'static str> {
        Self::flags().get_arguments().filter(|flag| is_file(flag)).map(name_of)
    }

    /// From the fields of a form, an address or an entry, by their names; a field left blank is left out.
    fn from_fields<'f>(field: impl Fn(&str) -> Option<&'f str>) -> Result<Self, Problems> {
        let said = |name| field(name).map(str::trim).filter(|text| !text.is_empty());
        let said = Self::names().filter_map(|name| Some((name.to_string(), said(name)?.into())));
        let said: Map<String, Value> = said.collect();
        serde_json::from_value(Value::Object(said)).map_err(|error| {
            Problems::from(Problem::error("what was asked", "fields of a text each", error.to_string()))
        })
    }

    /// As fields of a form, an address or an entry: those that are said.
    fn fields(&self) -> Vec<(&'static str, String)> {
        let text = |value: OsString| value.to_string_lossy().into_owned();
        values(self).into_iter().map(|(flag, value)| (name_of(flag), text(value))).collect()
    }

    /// The same, its files where `file` says that they lie.
    #[must_use]
    fn lying(mut self, file: impl Fn(&str) -> PathBuf) -> Self {
        for (_, path) in self.files_mut() {
            // A file that is left out lies nowhere.
            if path.as_path() != Path::new("") {
                *path = file(&path.to_string_lossy());
            }
        }
        self
    }

    /// The files that it names.
    fn files(&self) -> Vec<PathBuf> {
        self.clone().files_mut().into_iter().map(|(_, path)| path.clone()).collect()
    }

    /// The words of a command that asks for it.
    fn words(&self, command: &[&str]) -> Vec<OsString> {
        let mut words: Vec<OsString> = command.iter().map(OsString::from).collect();
        for (flag, value) in values(self) {
            let name = format!("--{}", flag.get_long().unwrap_or_default());
            words.push(if is_box(flag) { name.into() } else { with_value(&name, value) });
        }
        words
    }
}

fn name_of(flag: &'static Arg) -> &'static str {
    flag.get_id().as_str()
}

fn is_file(flag: &Arg) -> bool {
    flag.get_value_parser().type_id() == TypeId::of::<PathBuf>()
}

fn is_box(flag: &Arg) -> bool {
    matches!(flag.get_action(), ArgAction::SetTrue)
}

/// What is said, by its flags. A file keeps its path, which need not be text.
fn values<T: Inputs>(asked: &T) -> Vec<(&'static Arg, OsString)> {
    let mut rest = asked.clone();
    let files = rest.files_mut().into_iter().map(|(name, path)| (name, take(path)));
    let mut files: BTreeMap<&str, PathBuf> =
        files.filter(|(_, path)| path.as_path() != Path::new("")).collect();
    let texts = serde_json::to_value(&rest).unwrap_or_default();
    let value = |flag: &'static Arg| {
        let name = name_of(flag);
        let value = match files.remove(name) {
            Some(path) => path.into_os_string(),
            None => texts[name].as_str().filter(|text| !text.is_empty())?.into(),
        };
        Some((flag, value))
    };
    T::flags().get_arguments().filter_map(value).collect()
}

/// What a box of a form says when it is ticked.
pub const YES: &str = "yes";

/// A box to tick, as text: any other word than [`YES`] leaves it as it is.
pub mod ticked {
    use super::YES;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    /// Writes it.
    pub fn serialize<S: Serializer>(is_ticked: &bool, serializer: S) -> Result<S::Ok, S::Error> {
        is_ticked.then_some(YES).serialize(serializer)
    }

    /// Reads it.
    pub fn deserialize<'d, D: Deserializer<'d>>(deserializer: D) -> Result<bool, D::Error> {
        Option::<String>::deserialize(deserializer).map(|word| word.as_deref() == Some(YES))
    }
}
