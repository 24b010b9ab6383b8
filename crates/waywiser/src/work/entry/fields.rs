//! From what was typed to the fields of an entry.

use std::collections::BTreeMap;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Field, Named, Problem, Problems, Wording};
use truing::record::{Draft, Entry, EventKind, VehicleState, day_problem, doubts, stored, typed_by_hand};

/// What was typed.
pub struct Given<'a> {
    /// `--odometer`
    pub odometer: Option<&'a str>,
    /// `--text`
    pub text: Option<&'a str>,
    /// `--value`
    pub value: Option<&'a str>,
    /// `--field`
    pub more: Vec<(&'a str, &'a str)>,
}

/// In which fields `--text` and `--value` are kept.
fn names(kind: EventKind) -> (&'static str, &'static str) {
    match kind {
        EventKind::Vehicle => ("text", "present"),
        EventKind::Equipment => ("part", "to"),
        EventKind::Odometer => ("text", "odometer"),
        EventKind::Evidence => ("what", "value"),
        EventKind::Estimate => ("what", "reading_ratio"),
        EventKind::Choice => ("advice", "value"),
        EventKind::Write => ("text", "to"),
        EventKind::Proof => ("rule", "verdict"),
        EventKind::FaultOpened => ("note", "touches"),
        EventKind::FaultMended => ("note", "opened"),
        EventKind::RollOver => ("text", "limit"),
        EventKind::Service => ("what", "every"),
        EventKind::Fuel => ("text", "volume"),
        EventKind::Note => ("text", "value"),
        EventKind::Correction => ("text", "corrects"),
    }
}

/// The fields of an entry. What the record itself knows is filled in: what was stored before a write and how many
/// writes were left.
pub fn fields(
    kind: EventKind,
    given: &Given,
    earlier: &[Entry],
) -> Result<BTreeMap<String, String>, Problems> {
    let mut fields = BTreeMap::new();
    let mut put = |name: &str, value: &str| fields.insert(name.to_string(), value.trim().to_string());
    let (text, value) = names(kind);
    if let Some(given) = given.text {
        put(text, given);
    }
    if let Some(given) = given.value {
        put(value, given);
    }
    if let Some(given) = given.odometer {
        put("odometer", given);
    }
    for (name, value) in &given.more {
        typed_by_hand(name)?;
        put(name, value);
    }
    fill_in(kind, &mut fields, earlier);
    let unclear = give_units(&mut fields, earlier).err().unwrap_or_default();
    let problems: Problems = needs(kind, &fields).into_iter().chain(unclear).collect();
    if problems.is_empty() { Ok(fields) } else { Err(problems) }
}

/// Everything that an entry of this kind lacks, at once, with the fields to say it in.
fn needs(kind: EventKind, fields: &BTreeMap<String, String>) -> Option<Problem> {
    let is_missing = |name: &&&str| fields.get(**name).is_none_or(|value| value.is_empty());
    let missing: Vec<&str> = kind.required_fields().iter().filter(is_missing).copied().collect();
    if missing.is_empty() {
        return None;
    }
    let (text, value) = names(kind);
    let field = |name: &str| match name {
        "odometer" => Named::from(Field::Odometer),
        name if name == text => Field::EntryText.into(),
        name if name == value => Field::EntryValue.into(),
        name => Field::EntryField.such_as(format!("{name}=...")),
    };
    let say = |hint: Wording, (index, name): (usize, &&str)| {
        hint.text(if index == 0 { "Say it in " } else { " and in " }).field(field(name))
    };
    let hint = missing.iter().enumerate().fold(Wording::default(), say).text(".");
    let expected = format!("{} in an entry of kind `{}`", missing.join(" and "), kind.word());
    Some(Problem::error("record", expected.replace('_', " "), "none").hint(hint))
}

/// What is wrong or odd with an entry behind all earlier ones of its vehicle, all at once.
pub fn held_against(earlier: &[Entry], draft: Draft, vehicle: Option<&Vehicle>) -> Result<Draft, Problems> {
    let sequence = earlier.last().map_or(1, |entry| entry.sequence + 1);
    let wrong = day_problem(earlier, sequence, &draft);
    let problems: Problems = wrong.into_iter().chain(doubts(earlier, &draft, vehicle)).collect();
    if problems.is_empty() { Ok(draft) } else { Err(problems) }
}

/// The vehicle as the file says that was taken into the record last.
pub fn recorded_vehicle(earlier: &[Entry]) -> Option<Vehicle> {
    let text = earlier.iter().rev().find_map(|entry| entry.event.fields.get("file"))?;
    Vehicle::read("the vehicle file in the record", text).0
}

fn fill_in(kind: EventKind, fields: &mut BTreeMap<String, String>, earlier: &[Entry]) {
    let mut default = |name: &str, value: &str| {
        fields.entry(name.to_string()).or_insert_with(|| value.to_string());
    };
    match kind {
        EventKind::Estimate => default("what", "reading ratio"),
        EventKind::FaultOpened => default("touches", "other"),
        EventKind::Evidence => {
            if let Some(value) = fields.get("value").cloned() {
                fields.entry("what".to_string()).or_insert(value);
            }
        }
        EventKind::Write => {
            let state = VehicleState::from_entries(earlier);
            let adjuster = fields.get("adjuster").map(String::as_str);
            let before =
                stored(earlier, adjuster, false).map_or("not known".to_string(), |stored| stored.setting);
            let mut default = |name: &str, value: &str| {
                fields.entry(name.to_string()).or_insert_with(|| value.to_string());
            };
            default("from", &before);
            if let Some(left) = state.writes_left {
                default("writes_left_before", &left.to_string());
                default("writes_left_after", &left.saturating_sub(1).to_string());
            }
        }
        _ => {}
    }
}

/// A bare number is in the unit of the vehicle's last reading; where there is none, the unit would be a guess.
fn give_units(fields: &mut BTreeMap<String, String>, earlier: &[Entry]) -> Result<(), Problems> {
    let unit = earlier.iter().rev().find_map(|entry| unit_of(entry.event.fields.get("odometer")?));
    for name in ["odometer", "odometer_before"] {
        let Some(text) = fields.get_mut(name).filter(|text| text.parse::<f64>().is_ok()) else { continue };
        let Some(unit) = unit else {
            let problem = Problem::error(name, "a reading with its unit", format!("`{text}`"));
            return Err(problem.hint(format!("Write \"{text} mi\" or \"{text} km\".")).into());
        };
        *text = format!("{text} {unit}");
    }
    Ok(())
}

fn unit_of(text: &str) -> Option<&str> {
    let start = text.find(|c: char| c.is_ascii_alphabetic())?;
    Some(text[start..].trim())
}

/// A field as it is typed, name=value.
pub fn split(pair: &str) -> Result<(&str, &str), Problems> {
    pair.split_once('=').map(|(name, value)| (name.trim(), value.trim())).ok_or_else(|| {
        let problem =
            Problem::error("a further field", "a name and a value, name=value", format!("`{pair}`"));
        Problems::from(problem.hint("Write for instance by=\"second look\"."))
    })
}
