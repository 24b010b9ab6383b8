//! What is declared is what is read, what the schema says, and nothing that is fed in brings it down.

use super::{EXAMPLE, problems_of};
use crate::describe::file::key::{Need, Section, Variant};
use crate::describe::file::keys::{KIND, ROOT, SECTIONS};
use crate::describe::file::schema::vehicle_schema;
use crate::describe::vehicle::Vehicle;
use proptest::prelude::*;
use serde_json::Value as Json;

/// A value that is right for no key.
const NEVER_RIGHT: &str = "[[[true]]]";

fn heading(section: &Section) -> String {
    match section.repeat {
        crate::describe::file::key::Repeat::Several => format!("[[{}]]", section.name),
        _ => format!("[{}]", section.name),
    }
}

/// Every key with the text that stands before it.
fn every_key() -> Vec<(String, &'static str, String)> {
    let mut all: Vec<_> =
        ROOT.keys.iter().map(|key| (String::new(), key.name(), key.name().to_string())).collect();
    for section in SECTIONS {
        let head = heading(section);
        let mut add = |before: String, name: &'static str| all.push((before, name, format!("{head} {name}")));
        if section.variants.is_empty() {
            section.keys.iter().for_each(|key| add(head.clone(), key.name()));
        }
        for Variant { word, keys, .. } in section.variants {
            let before = format!("{head}\n{KIND} = \"{word}\"");
            section.keys.iter().chain(*keys).for_each(|key| add(before.clone(), key.name()));
        }
    }
    all
}

#[test]
fn every_declared_key_is_looked_at() {
    let keys = every_key();
    assert!(keys.len() > 150, "{}", keys.len());
    for (before, name, part) in keys {
        let text = format!("{before}\n{name} = {NEVER_RIGHT}");
        let expected = format!(", {part}: expected ");
        let problems = problems_of(&text);
        let named =
            problems.iter().any(|problem| problem.contains(&expected) && problem.contains("found a list"));
        assert!(named, "{text}\n{problems:#?}");
    }
}

#[test]
fn every_required_key_is_missed() {
    for section in SECTIONS {
        let tables: Vec<(String, Vec<_>)> = match section.variants {
            [] => vec![(String::new(), section.keys.to_vec())],
            variants => variants
                .iter()
                .map(|variant| {
                    let keys = section.keys.iter().chain(variant.keys).copied().collect();
                    (format!("{KIND} = \"{}\"", variant.word), keys)
                })
                .collect(),
        };
        for (lines, keys) in tables {
            let problems = problems_of(&format!("{}\n{lines}", heading(section)));
            for key in keys.iter().filter(|key| key.need() == Need::Required) {
                let expected = format!("{}: expected {}; found nothing", key.name(), key.expected());
                assert!(
                    problems.iter().any(|problem| problem.contains(&expected)),
                    "{expected}\n{problems:#?}"
                );
            }
        }
    }
}

#[test]
fn every_key_stands_in_the_schema() {
    let schema = vehicle_schema();
    for section in SECTIONS {
        let text = schema["properties"][section.name].to_string();
        let keys = section.keys.iter().chain(section.variants.iter().flat_map(|variant| variant.keys));
        for key in keys {
            assert!(text.contains(&format!("\"{}\":", key.name())), "{} {}", section.name, key.name());
            assert!(
                text.contains(&serde_json::json!(key.about()).to_string()),
                "{} {}",
                section.name,
                key.name()
            );
        }
    }
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

/// Whether a value fits a schema, for the few words of JSON Schema that ours uses.
fn fits(schema: &Json, value: &Json) -> bool {
    let any = |word: &str, count: fn(usize) -> bool| match schema[word].as_array() {
        Some(list) => count(list.iter().filter(|one| fits(one, value)).count()),
        None => true,
    };
    let kind = match value {
        Json::String(_) => vec!["string"],
        Json::Bool(_) => vec!["boolean"],
        Json::Number(number) if number.is_f64() => vec!["number"],
        Json::Number(_) => vec!["number", "integer"],
        Json::Array(_) => vec!["array"],
        _ => vec!["object"],
    };
    let named = |wanted: &Json| kind.iter().any(|kind| wanted == kind);
    let kind_fits = match &schema["type"] {
        Json::Null => true,
        Json::Array(list) => list.iter().any(named),
        one => named(one),
    };
    let words_fit = schema["enum"].as_array().is_none_or(|words| words.contains(value))
        && schema.get("const").is_none_or(|word| word == value);
    let items_fit = value
        .as_array()
        .is_none_or(|list| schema.get("items").is_none_or(|items| list.iter().all(|item| fits(items, item))));
    let object_fits = schema["properties"].as_object().zip(value.as_object()).is_none_or(|(known, table)| {
        table.iter().all(|(name, value)| known.get(name).is_some_and(|schema| fits(schema, value)))
            && schema["required"]
                .as_array()
                .is_none_or(|all| all.iter().all(|name| table.contains_key(name.as_str().unwrap())))
    });
    kind_fits && words_fit && items_fit && object_fits && any("anyOf", |n| n > 0) && any("oneOf", |n| n == 1)
}

#[test]
fn the_example_fits_the_schema_and_spoiled_ones_do_not() {
    let schema = vehicle_schema();
    let json = |text: &str| {
        let value: toml::Value = text.parse::<toml::Table>().unwrap().into();
        as_json(&value)
    };
    assert!(fits(&schema, &json(EXAMPLE)));
    for (from, to) in [
        ("ring_teeth = 60", "ring_teth = 60"),
        ("sensor_at = \"axle-ring\"", ""),
        ("kind = \"rollout\"", "kind = \"rolout\""),
        ("turns = 5", "turns = [5]"),
        ("buttons = [\"up\"]", "buttons = [\"left\"]"),
    ] {
        assert!(EXAMPLE.contains(from), "{from}");
        assert!(!fits(&schema, &json(&EXAMPLE.replace(from, to))), "{to}");
    }
}

/// TOML as JSON, dates as text.
fn as_json(value: &toml::Value) -> Json {
    match value {
        toml::Value::String(text) => Json::String(text.clone()),
        toml::Value::Integer(number) => (*number).into(),
        toml::Value::Float(number) => (*number).into(),
        toml::Value::Boolean(flag) => (*flag).into(),
        toml::Value::Datetime(date) => Json::String(date.to_string()),
        toml::Value::Array(list) => list.iter().map(as_json).collect(),
        toml::Value::Table(table) => {
            table.iter().map(|(name, value)| (name.clone(), as_json(value))).collect()
        }
    }
}

/// A line of a file: right, nearly right or not at all.
fn line() -> impl Strategy<Value = String> {
    let name = prop::sample::select(every_key()).prop_map(|(before, name, _)| (before, name));
    let value = prop::sample::select(vec![
        "1",
        "-1",
        "0",
        "8.20",
        "1e400",
        "nan",
        "\"41/11\"",
        "\"8,20\"",
        "\"up\"",
        "[]",
        "[1, \"2\"]",
        "{}",
        "{ min = 1 }",
        "true",
        "2026-05-02",
        "2026-02-30",
        "\"700 x 3.55\"",
        "\"40 ft\"",
        "\"ä\\u0000\"",
        "99999999999999999999999",
        "0xffffffffffffffff",
        "\"",
        "[[[true]]]",
        "\"79228162514264337593543950335\"",
        "\"0.000000001\"",
        "1000000000000",
    ]);
    (name, value, 0..4).prop_map(|((before, name), value, shape)| match shape {
        0 => format!("{before}\n{name} = {value}"),
        1 => format!("{before}\n"),
        _ => format!("{name} = {value}"),
    })
}

proptest! {
    #[test]
    fn no_text_brings_it_down(text in any::<String>()) {
        Vehicle::read("truck.toml", &text);
    }

    #[test]
    fn no_mixture_of_lines_brings_it_down(lines in prop::collection::vec(line(), 0..40)) {
        let text = lines.join("\n");
        let (vehicle, problems) = Vehicle::read("truck.toml", &text);
        prop_assert!(vehicle.is_some() || !problems.is_empty());
        for problem in &problems {
            prop_assert!(problem.line.unwrap_or(1) <= text.lines().count().max(1));
        }
        if let Some(vehicle) = vehicle {
            prop_assert!(!vehicle.chain.hypotheses().is_empty());
            prop_assert!(crate::describe::chain::links(&vehicle).len() >= 2);
        }
    }

    /// The example with a few bytes changed, cut or doubled.
    #[test]
    fn no_damage_to_the_example_brings_it_down(at in 0..EXAMPLE.len(), to in any::<char>(), cut in 0_usize..9) {
        let (before, after) = (EXAMPLE.get(..at).unwrap_or(""), EXAMPLE.get(at + cut..).unwrap_or(""));
        Vehicle::read("truck.toml", &format!("{before}{to}{after}"));
    }
}
