//! The kinds of value that a key of the vehicle file can have.

mod logs;
mod numbers;
mod pairs;
mod typed;

pub use logs::{CanSignalText, Columns};
pub use numbers::{
    AnyDecimal, Count, KilometresPerHour, MilesPerHour, PerKilometre, PerMile, Percent, PositiveDecimal,
    RevsPerMinute, Seconds, TireLoad, TirePressure, TirePressureKpa,
};
pub use pairs::{Axle, Declared, GridTable, OneSetting, Pair, SettingOf, declared, read_grid};
pub use typed::{Day, TypedLength, TypedReading, TypedSpeed};

use crate::describe::file::candidates::Candidates;
use crate::describe::file::document::Node;
use crate::describe::file::key::{Kind, Measure};
use crate::describe::file::words::{Words, or_list};
use crate::nearest::nearest;
use core::marker::PhantomData;
use serde_json::{Value as Json, json};
use toml::de::DeValue;

/// Any text that is not empty.
pub struct Text;

impl Kind for Text {
    type Out = String;
    fn read(node: &Node<'_>) -> Option<String> {
        match node.value {
            DeValue::String(text) if !text.trim().is_empty() => Some(text.trim().to_string()),
            DeValue::String(_) => node.not_a::<Self, _>("Leave the key out where there is nothing to say"),
            _ => node.not_a::<Self, _>("Put the text in quotes"),
        }
    }
    fn expected() -> String {
        "a text in quotes".into()
    }
    fn schema() -> Json {
        json!({"type": "string", "minLength": 1})
    }
}

/// `true` or `false`.
pub struct Flag;

impl Kind for Flag {
    type Out = bool;
    fn read(node: &Node<'_>) -> Option<bool> {
        match node.value {
            DeValue::Boolean(flag) => Some(*flag),
            _ => node.not_a::<Self, _>("Write true or false, without quotes"),
        }
    }
    fn expected() -> String {
        "true or false".into()
    }
    fn schema() -> Json {
        json!({"type": "boolean"})
    }
}

/// One word out of the list of `W`.
pub struct OneOf<W>(PhantomData<W>);

impl<W: Words> Kind for OneOf<W> {
    type Out = W;
    fn read(node: &Node<'_>) -> Option<W> {
        let Some(text) = node.value.as_str() else {
            return node.not_a::<Self, _>("Put the word in quotes");
        };
        let found = W::WORDS.iter().find(|(word, _)| *word == text.trim());
        match (found, nearest(text.trim(), W::WORDS.iter().map(|(word, _)| *word))) {
            (Some((_, value)), _) => Some(*value),
            (None, Some(near)) => node.not_a::<Self, _>(&format!("Did you mean \"{near}\"?")),
            (None, None) => node.not_a::<Self, _>("Take one of these words"),
        }
    }
    fn expected() -> String {
        or_list(W::WORDS.iter().map(|(word, _)| *word))
    }
    fn schema() -> Json {
        json!({"enum": W::WORDS.iter().map(|(word, _)| *word).collect::<Vec<_>>()})
    }
}

/// A list of `K`, not empty.
pub struct List<K>(PhantomData<K>);

impl<K: Kind> Kind for List<K> {
    type Out = Vec<K::Out>;
    fn read(node: &Node<'_>) -> Option<Vec<K::Out>> {
        let DeValue::Array(list) = node.value else {
            return node.not_a::<Self, _>("Put the values in square brackets");
        };
        if list.is_empty() {
            return node.wrong(
                Self::expected(),
                "an empty list",
                "Leave the key out where there is nothing to say",
            );
        }
        let read: Vec<Option<K::Out>> = list.iter().map(|value| K::read(&node.child(value, ""))).collect();
        read.into_iter().collect()
    }
    fn expected() -> String {
        format!("a list, each {}", K::expected())
    }
    fn schema() -> Json {
        json!({"type": "array", "minItems": 1, "items": K::schema()})
    }
    fn measure() -> Option<Measure> {
        K::measure()
    }
}

/// One `K`, or a list of candidates for it.
pub struct Several<K>(PhantomData<K>);

impl<K: Kind> Kind for Several<K> {
    type Out = Candidates<K::Out>;
    fn read(node: &Node<'_>) -> Option<Candidates<K::Out>> {
        match node.value {
            DeValue::Array(_) => List::<K>::read(node).map(Candidates::from_values),
            _ => K::read(node).map(Candidates::known),
        }
    }
    fn expected() -> String {
        format!("{}, or a list of candidates", K::expected())
    }
    fn schema() -> Json {
        json!({"anyOf": [K::schema(), List::<K>::schema()]})
    }
    fn measure() -> Option<Measure> {
        K::measure()
    }
}
