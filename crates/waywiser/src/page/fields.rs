//! Forms for sections of the vehicle file, made from the same table of keys as its reader and its schema.

use super::form::Posted;
use super::named;
use crate::garage::Units;
use maud::{Markup, html};
use serde_json::Value as Json;
use toml_edit::{Array, InlineTable, Item, TableLike, Value};
use truing::describe::{AnyKey, Measure, Need, SECTIONS, Section, Variant};
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
enum Shape {
    /// One line.
    Line,
    /// One line with several values, comma between them; one value may stand alone where that says something else.
    List,
    /// A word of these.
    Word(Vec<String>),
    /// Yes or no.
    Flag,
    /// Lines of their own, by the names of the keys in it.
    Table(Vec<String>),
}

fn shape(key: &dyn AnyKey) -> Shape {
    let schema = key.schema();
    let either = schema["anyOf"].as_array().map_or(&[][..], Vec::as_slice);
    let words = schema["enum"].as_array().or_else(|| either.iter().find_map(|one| one["enum"].as_array()));
    if schema["type"] == "array" || either.iter().any(|one| one["type"] == "array") {
        return Shape::List;
    }
    if let Some(words) = words {
        return Shape::Word(words.iter().filter_map(Json::as_str).map(str::to_string).collect());
    }
    match schema["type"].as_str() {
        Some("boolean") => Shape::Flag,
        Some("object") => Shape::Table(
            schema["properties"].as_object().into_iter().flat_map(|all| all.keys().cloned()).collect(),
        ),
        _ => Shape::Line,
    }
}

/// One input for each key: what must be said, what is said and what the kind is about first, the rest behind one summary.
pub fn inputs(
    prefix: &str,
    keys: &Keys,
    kind: Option<&'static Variant>,
    now: Option<&dyn TableLike>,
    units: Units,
) -> Markup {
    let own = |name: &str| kind.is_some_and(|kind| kind.keys.iter().any(|key| key.name() == name));
    let is_said = |key: &&'static dyn AnyKey| now.is_some_and(|now| now.get(key.name()).is_some());
    let is_unusual = |key: &&'static dyn AnyKey| reads_unusual_logs(key.name()) && !is_said(key);
    let (unusual, usual): (Keys, Keys) = keys.iter().copied().partition(is_unusual);
    let keys = &usual;
    let is_open =
        |key: &&&'static dyn AnyKey| key.need() == Need::Required || is_said(key) || own(key.name());
    let (open, closed): (Vec<_>, Vec<_>) = keys.iter().partition(is_open);
    let (open, closed) = if open.is_empty() { (closed, Vec::new()) } else { (open, closed) };
    let one = |key: &&'static dyn AnyKey| input(prefix, *key, now.and_then(|now| now.get(key.name())), units);
    html! {
        @for key in &open { (one(key)) }
        @if !closed.is_empty() {
            details class="more" {
                summary { "More that can be said (" (closed.len()) ")" }
                @for key in &closed { (one(key)) }
            }
        }
        @if !unusual.is_empty() {
            details class="more" {
                summary { (UNUSUAL) }
                @for key in &unusual { (one(key)) }
            }
        }
    }
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

fn unusual(key: &str) -> Option<(Field, Option<&'static str>)> {
    UNUSUAL_LOGS.into_iter().find(|(field, _)| field.key() == key)
}

fn reads_unusual_logs(key: &str) -> bool {
    unusual(key).is_some()
}

fn input(prefix: &str, key: &dyn AnyKey, now: Option<&Item>, units: Units) -> Markup {
    let id = format!("{prefix}-{}", key.name());
    let hint_id = format!("{id}-hint");
    let must = key.need() == Need::Required;
    let text = now.map(text_of).unwrap_or_default();
    let name = key.name();
    html! {
        div class="field" {
            @match shape(key) {
                Shape::Flag => {
                    label class="pick" for=(id) {
                        input type="checkbox" id=(id) name=(name) value="true" checked[text == "true"] aria-describedby=(hint_id);
                        (label(name))
                    }
                }
                Shape::Word(all) => {
                    label for=(id) { (label(name)) @if must { (must_mark()) } }
                    select id=(id) name=(name) aria-describedby=(hint_id) required[must] {
                        @if !must || text.is_empty() { option value="" { @if must { "Choose one" } @else { "not said" } } }
                        @for word in &all { option value=(word) selected[*word == text] { (words(word)) } }
                        @if !text.is_empty() && !all.contains(&text) { option value=(text) selected { (text) } }
                    }
                }
                Shape::Table(parts) => {
                    fieldset {
                        legend { (label(name)) @if must { (must_mark()) } }
                        @for part in &parts {
                            @let value = now.and_then(Item::as_table_like).and_then(|table| table.get(part)).map(text_of);
                            label for={ (id) "-" (part) } { (words(part)) }
                            input type="text" id={ (id) "-" (part) } name={ (name) "." (part) } value=[value];
                        }
                    }
                }
                Shape::Line | Shape::List => {
                    label for=(id) { (label(name)) @if must { (must_mark()) } }
                    input type="text" id=(id) name=(name) value=(text) aria-describedby=(hint_id) required[must]
                        placeholder=[example(key, units)] list=[names_a_file(name).then(|| format!("{prefix}-files"))] autocomplete="off" autocapitalize="off" spellcheck="false";
                }
            }
            p class="hint" id=(hint_id) {
                (capitalised(key.about())) "."
                @if matches!(shape(key), Shape::List) { " Several: a comma between them." }
                @if names_a_file(name) { " Its name, once it was sent on Measure." }
            }
        }
    }
}

fn names_a_file(key: &str) -> bool {
    matches!(key, "track" | "vehicle_log" | "dbc" | "file")
}

fn must_mark() -> Markup {
    html! { span class="must" { " (needed)" } }
}

/// Something typed as it could be, in the owner's units.
fn example(key: &dyn AnyKey, units: Units) -> Option<&'static str> {
    let (miles, feet) = (units.in_miles(), units.in_feet());
    let plain = match (key.name(), unit_of(key)) {
        ("length" | "lengths", _) if feet => "42 ft 10 3/4 in",
        ("length" | "lengths", _) => "13.07 m",
        ("radius", _) if feet => "15 3/8 in",
        ("radius", _) => "390 mm",
        ("diameter", _) if feet => "31.6 in",
        ("diameter", _) => "803 mm",
        ("tread_depth" | "tread_depth_new", _) if feet => "10/32 in",
        ("tread_depth" | "tread_depth_new", _) => "8 mm",
        ("holds", _) if miles => "30 mph, 45 mph, 60 mph",
        ("holds", _) => "50 km/h, 70 km/h, 90 km/h",
        (_, Some(Unit::Speed)) if miles => "60 mph",
        (_, Some(Unit::Speed)) => "90 km/h",
        (_, Some(Unit::Road)) if miles => "9.70 mi +/- 0.02",
        (_, Some(Unit::Road)) => "15.61 km +/- 0.03",
        ("odometer_end", _) if miles => "128417.0 mi",
        ("odometer_end", _) => "206667.4 km",
        (_, Some(Unit::Reading)) if miles => "128406.3 mi",
        (_, Some(Unit::Reading)) => "206650.2 km",
        ("date", _) => "2026-05-02",
        ("axle_ratio", _) => "46/11",
        ("size", _) => "LT275/75R17",
        (name, _) => return unusual(name).and_then(|(_, example)| example),
    };
    Some(plain)
}

/// What a bare number in a field can only mean.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Unit {
    Speed,
    Road,
    Reading,
}

fn unit_of(key: &dyn AnyKey) -> Option<Unit> {
    match key.measure()? {
        Measure::Speed => Some(Unit::Speed),
        Measure::Reading => Some(Unit::Reading),
        // A tire is measured in other units than a road.
        Measure::Length if matches!(key.name(), "distance" | "true" | "indicated" | "resolution") => {
            Some(Unit::Road)
        }
        Measure::Length => None,
    }
}

/// What was typed, with the owner's unit behind a bare number where it can only be that one.
fn with_unit(typed: &str, key: &dyn AnyKey, units: Units) -> String {
    let bare = !typed.is_empty() && typed.chars().all(|c| c.is_ascii_digit() || c == '.');
    let unit = match (unit_of(key).filter(|_| bare), units.in_miles()) {
        (None, _) => return typed.to_string(),
        (Some(Unit::Speed), true) => "mph",
        (Some(Unit::Speed), false) => "km/h",
        (Some(_), true) => "mi",
        (Some(_), false) => "km",
    };
    format!("{typed} {unit}")
}

/// Puts what was typed into a table of the file. What was not touched stays as it was written; an emptied field goes.
pub fn put(table: &mut dyn TableLike, keys: &Keys, posted: &Posted, units: Units) {
    for key in keys {
        let name = key.name();
        let now = table.get(name).map(text_of);
        let value = match shape(*key) {
            Shape::Table(parts) => {
                let typed = parts.iter().map(|part| (part, posted.text(&format!("{name}.{part}"))));
                let filled: InlineTable = typed
                    .filter(|(_, text)| !text.is_empty())
                    .map(|(part, text)| (part, plain(text)))
                    .collect();
                (!filled.is_empty()).then_some(Value::InlineTable(filled))
            }
            Shape::Flag => (posted.text(name) == "true").then(|| Value::from(true)),
            Shape::List => list(posted.text(name), *key, units),
            Shape::Word(_) | Shape::Line => {
                let typed = with_unit(posted.text(name), *key, units);
                (!typed.is_empty()).then(|| plain(&typed))
            }
        };
        match value {
            None => drop(table.remove(name)),
            Some(value) if now.as_deref() == Some(text_of(&Item::Value(value.clone())).as_str()) => {}
            Some(value) => replace(table, name, value),
        }
    }
}

fn list(typed: &str, key: &dyn AnyKey, units: Units) -> Option<Value> {
    let parts: Vec<&str> =
        typed.split([',', ';', '\n']).map(str::trim).filter(|part| !part.is_empty()).collect();
    let is_always_list = key.schema()["type"] == "array";
    match parts[..] {
        [] => None,
        [only] if !is_always_list => Some(plain(&with_unit(only, key, units))),
        _ => Some(Value::Array(
            parts.iter().map(|part| plain(&with_unit(part, key, units))).collect::<Array>(),
        )),
    }
}

/// Whole numbers and days bare, everything else in quotes, as the owner would write it.
fn plain(text: &str) -> Value {
    let digits = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    let whole = text.parse::<i64>().ok().filter(|_| digits && (text == "0" || !text.starts_with('0')));
    let day = text.parse::<toml_edit::Datetime>().ok().filter(|day| day.date.is_some() && day.time.is_none());
    match (whole, day) {
        (Some(whole), _) => Value::from(whole),
        (None, Some(day)) => Value::from(day),
        (None, None) => Value::from(text),
    }
}

/// Sets a value, with the comment that stood behind the old one.
pub fn replace(table: &mut dyn TableLike, name: &str, mut value: Value) {
    match table.get_mut(name).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => drop(table.insert(name, Item::Value(value))),
    }
}

/// A value as it is typed into a form.
pub fn text_of(item: &Item) -> String {
    match item {
        Item::Value(Value::Array(list)) => {
            let parts: Vec<String> = list.iter().map(|value| text_of(&Item::Value(value.clone()))).collect();
            parts.join(", ")
        }
        Item::Value(Value::String(text)) => text.value().clone(),
        Item::Value(value) => {
            let mut bare = value.clone();
            bare.decor_mut().clear();
            bare.to_string()
        }
        _ => String::new(),
    }
}

/// What stands over the field of a key.
pub fn label(key: &str) -> String {
    unusual(key).map_or_else(|| words(key), |(field, _)| named::label(field).to_string())
}

/// A key or word as a person reads it.
pub fn words(name: &str) -> String {
    let plain = name.replace(['_', '-'], " ");
    let plain = plain.replace("mph", "(mph)").replace("((mph))", "(mph)");
    capitalised(&plain)
}

/// The same with a capital at its start.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
