//! The keys of the vehicle file that a form asks for, and what the field of each looks like.

use super::units::{Unit, unit};
use serde_json::Value as Json;
use truing::describe::{AnyKey, SECTIONS, Section, Variant};
use truing::problem::Field;

/// The keys of one form.
pub type Keys = Vec<&'static dyn AnyKey>;

/// A section of the vehicle file by its name.
pub fn section(name: &str) -> Option<&'static Section> {
    SECTIONS.iter().copied().find(|section| section.name == name)
}

/// A kind of a section by its word.
pub fn variant(section: &'static Section, word: &str) -> Option<&'static Variant> {
    section.variants.iter().copied().find(|variant| variant.word == word)
}

/// The keys that may stand in a section of a kind; what only that kind has comes first.
pub fn keys(section: &'static Section, kind: Option<&'static Variant>) -> Keys {
    let own = kind.iter().flat_map(|kind| kind.keys);
    own.chain(section.keys).copied().collect()
}

/// What a key's value looks like in a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// One line of text.
    Text,
    /// One line with a whole number.
    Whole,
    /// One line with a number.
    Number,
    /// One line with a quantity that is typed with its unit.
    Quantity,
    /// One line with several values, comma between them; one value may stand alone where that says something else.
    List,
    /// A line for each try, of which only the first must be filled in.
    Tries,
    /// A word of these.
    Word(Vec<String>),
    /// Any of these words, each with its tick.
    Ticks(Vec<String>),
    /// Yes or no.
    Flag,
    /// A day.
    Day,
    /// A file among those kept.
    File,
    /// Lines of their own, by the names of the keys in it.
    Table(Vec<String>),
}

/// Whether values of a key stand in a list even where there is one.
pub fn is_always_list(key: &dyn AnyKey) -> bool {
    key.schema()["type"] == "array"
}

/// What the field of a key looks like.
pub fn shape(key: &dyn AnyKey) -> Shape {
    let schema = key.schema();
    let either = schema["anyOf"].as_array().map_or(&[][..], Vec::as_slice);
    let list = [&schema].into_iter().chain(either).find(|one| one["type"] == "array");
    match list {
        Some(_) if has_tries(key.name()) => return Shape::Tries,
        Some(list) => return words(&list["items"]).map_or(Shape::List, Shape::Ticks),
        None => {}
    }
    if let Some(words) = [&schema].into_iter().chain(either).find_map(words) {
        return Shape::Word(words);
    }
    match schema["type"].as_str() {
        Some("boolean") => Shape::Flag,
        Some("object") => Shape::Table(
            schema["properties"].as_object().into_iter().flat_map(|all| all.keys().cloned()).collect(),
        ),
        _ => line(key, &schema),
    }
}

fn line(key: &dyn AnyKey, schema: &Json) -> Shape {
    let takes = |kind: &str| {
        let kinds = schema["type"].as_array().or(schema["anyOf"][0]["type"].as_array());
        kinds.is_some_and(|kinds| kinds.iter().any(|one| one == kind))
    };
    match () {
        () if names_a_file(key.name()) => Shape::File,
        () if key.name() == "date" => Shape::Day,
        () if takes("integer") => Shape::Whole,
        () if takes("number") => Shape::Number,
        () if unit(key).is_some_and(Unit::is_typed) => Shape::Quantity,
        () => Shape::Text,
    }
}

fn words(schema: &Json) -> Option<Vec<String>> {
    let words = schema["enum"].as_array()?;
    Some(words.iter().filter_map(Json::as_str).map(str::to_string).collect())
}

/// What is measured several times over, one try after the other.
fn has_tries(key: &str) -> bool {
    matches!(key, "lengths" | "seconds")
}

fn names_a_file(key: &str) -> bool {
    matches!(key, "track" | "vehicle_log" | "dbc" | "file")
}

/// What stands over the fields that only logs of an unusual kind need.
pub const UNUSUAL: &str = "A CAN log or other columns? Say how the logs are read";

/// Keys that say how a log is read which no standard describes: few need them, and their names tell little.
pub const UNUSUAL_LOGS: [(Field, Option<&str>); 5] = [
    (Field::TrackColumns, Some("time=t s, speed=v m/s")),
    (Field::VehicleColumns, Some("time=clock s, speed=kph km/h")),
    (Field::CanSignal, Some("id=0x61D byte=4 length=14 order=little factor=0.025 unit=km/h")),
    (Field::Dbc, None),
    (Field::Signal, Some("MESSAGE.SIGNAL")),
];

/// Whether a key is one of those, and how it may be filled in.
pub fn unusual(key: &str) -> Option<Option<&'static str>> {
    UNUSUAL_LOGS.into_iter().find(|(field, _)| field.key() == key).map(|(_, example)| example)
}
