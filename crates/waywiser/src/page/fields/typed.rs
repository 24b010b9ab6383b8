//! What was typed into a form, forgivingly, to values of the vehicle file.

use super::super::form::Posted;
use super::filled::{Wrong, needed, not_so};
use super::keys::{Keys, Shape, is_always_list, shape};
use super::units::{Unit, unit};
use super::values::{plain, replace, text_of};
use metrology::text::{Comma, TextError, print, stopwatch, without_commas};
use toml_edit::{Array, InlineTable, Item, TableLike, Value};
use truing::describe::{AnyKey, Need};
use truing::units::Units;

/// What becomes of a key.
#[derive(Debug)]
pub enum Change {
    /// It stays as it was written.
    Stay,
    /// It goes.
    Go,
    /// It is this now.
    Be(Value),
}

/// What becomes of each key that a form asked for, or what is wrong with what was typed; `needs` names keys that the form
/// needs where the file does not.
pub fn typed(
    keys: &Keys,
    needs: &[&str],
    now: Option<&dyn TableLike>,
    posted: &Posted,
    units: Units,
) -> Result<Vec<(&'static str, Change)>, Vec<Wrong>> {
    let (mut changes, mut wrong) = (Vec::new(), Vec::new());
    for key in keys {
        match change(*key, now.and_then(|now| now.get(key.name())), posted, units) {
            Ok(Change::Go) if needs.contains(&key.name()) => {
                wrong.push(Wrong { key: key.name().to_string(), says: needed(&key.expected()) });
            }
            Ok(change) => changes.push((key.name(), change)),
            Err(one) => wrong.push(one),
        }
    }
    if wrong.is_empty() { Ok(changes) } else { Err(wrong) }
}

/// Makes the changes in a table of the file. What was not touched stays as it was written.
pub fn set(table: &mut dyn TableLike, changes: Vec<(&'static str, Change)>) {
    for (name, change) in changes {
        match change {
            Change::Stay => {}
            Change::Go => drop(table.remove(name)),
            Change::Be(value) => replace(table, name, value),
        }
    }
}

fn change(
    key: &'static dyn AnyKey,
    now: Option<&Item>,
    posted: &Posted,
    units: Units,
) -> Result<Change, Wrong> {
    let name = key.name();
    let shape = shape(key);
    let texts: Vec<&str> = posted.all(name).filter(|text| !text.is_empty()).collect();
    let is_table = now.is_some_and(|now| now.as_value().is_none());
    if (is_table && !matches!(shape, Shape::Table(_)))
        || now.is_some_and(|now| !texts.is_empty() && text_of(now) == texts.join(", "))
    {
        return Ok(Change::Stay);
    }
    let wrong = |part: &str, says: String| Wrong { key: format!("{name}{part}"), says };
    let value = match shape {
        Shape::Table(parts) => table(name, &parts, posted, units)?,
        Shape::Flag => texts.contains(&"true").then(|| Value::from(true)),
        Shape::Ticks(_) => (!texts.is_empty()).then(|| Value::Array(texts.iter().copied().collect())),
        shape => value(key, &shape, &texts, units).map_err(|says| wrong("", says))?,
    };
    match value {
        None if key.need() == Need::Required => Err(wrong("", needed(&key.expected()))),
        None => Ok(Change::Go),
        Some(value) if now.map(text_of).as_deref() == Some(text_of(&Item::Value(value.clone())).as_str()) => {
            Ok(Change::Stay)
        }
        Some(value) => Ok(Change::Be(value)),
    }
}

fn table(name: &str, parts: &[String], posted: &Posted, units: Units) -> Result<Option<Value>, Wrong> {
    let mut filled = InlineTable::new();
    for part in parts {
        let key = format!("{name}.{part}");
        let typed = posted.text(&key);
        if !typed.is_empty() {
            let plainly = number(typed, units.comma()).map_err(|says| Wrong { key, says })?;
            filled.insert(part, plain(&plainly));
        }
    }
    Ok((!filled.is_empty()).then_some(Value::InlineTable(filled)))
}

/// The value of a key from its texts; what is wrong with them otherwise.
fn value(
    key: &'static dyn AnyKey,
    shape: &Shape,
    texts: &[&str],
    units: Units,
) -> Result<Option<Value>, String> {
    let Some(first) = texts.first() else { return Ok(None) };
    let one = |text: &str| item(key, text, units);
    let value = match shape {
        Shape::List | Shape::Tries => {
            let mut parts = Vec::new();
            for text in texts {
                parts.extend(separated(key, text, *shape == Shape::List)?);
            }
            let parts = sharing_the_unit(key, parts);
            match &parts[..] {
                [] => return Ok(None),
                [only] if !is_always_list(key) => one(only)?,
                _ => Value::Array(parts.iter().map(|part| one(part)).collect::<Result<Array, _>>()?),
            }
        }
        Shape::Whole => plain(&number(first, Comma::Thousands)?),
        Shape::Number => plain(&number(first, units.comma())?),
        Shape::Quantity => one(first)?,
        Shape::Day => plain(first),
        _ => Value::from(*first),
    };
    Ok(Some(value))
}

/// One value of a list, or one quantity.
fn item(key: &dyn AnyKey, text: &str, units: Units) -> Result<Value, String> {
    let items = Items::of(key);
    match unit(key) {
        Some(Unit::Stopwatch) => {
            let time = stopwatch(&number(text, units.comma())?).map_err(|error| said(&error))?;
            let seconds = print(&time, "s").unwrap_or_default();
            Ok(plain(seconds.trim_end_matches(" s")))
        }
        Some(unit) if unit.is_typed() => Ok(Value::from(unit.behind(&number(text, units.comma())?, units))),
        _ if items == Items::Texts => Ok(Value::from(text)),
        _ if items == Items::Whole => Ok(plain(&number(text, Comma::Thousands)?)),
        _ => Ok(plain(&number(text, units.comma())?)),
    }
}

fn number(text: &str, comma: Comma) -> Result<String, String> {
    without_commas(text, comma).map_err(|error| said(&error))
}

fn said(error: &TextError) -> String {
    not_so(&error.expected, &error.found, &error.hint)
}

/// What the values of a list are.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Items {
    Texts,
    Whole,
    Numbers,
}

impl Items {
    fn of(key: &dyn AnyKey) -> Self {
        let schema = key.schema();
        let either = schema["anyOf"][0].clone();
        let one = [&schema["items"], &either, &schema]
            .into_iter()
            .find(|one| !one["type"].is_null() && one["type"] != "array");
        let kinds = one.map(|one| one["type"].clone()).unwrap_or_default();
        let takes = |kind: &str| kinds.as_array().is_some_and(|all| all.iter().any(|one| one == kind));
        match () {
            () if takes("integer") => Self::Whole,
            () if takes("number") || unit(key).is_some() => Self::Numbers,
            () => Self::Texts,
        }
    }
}

/// The values of a list as they were typed. Where commas alone stand between digits, they stand between values, unless
/// there is one that can be a decimal comma; where each value has a field of its own it is one.
fn separated(key: &dyn AnyKey, text: &str, many: bool) -> Result<Vec<String>, String> {
    let items = Items::of(key);
    let signs: Vec<char> = text.chars().collect();
    let is_digit = |at: Option<usize>| at.and_then(|at| signs.get(at)).is_some_and(char::is_ascii_digit);
    let is_glued = |at: usize| signs[at] == ',' && is_digit(at.checked_sub(1)) && is_digit(Some(at + 1));
    let glued = (0..signs.len()).filter(|at| is_glued(*at)).count();
    let is_apart = |at: usize| [';', '\n'].contains(&signs[at]) || (signs[at] == ',' && !is_glued(at));
    let others = (0..signs.len()).any(is_apart);
    let splits = match (items, glued) {
        (Items::Texts | Items::Whole, _) | (_, 0) => true,
        (Items::Numbers, _) if others || !many => false,
        (Items::Numbers, 1) => {
            let at = (0..signs.len()).find(|at| is_glued(*at)).unwrap_or_default();
            let run = |step: fn(usize, usize) -> Option<usize>| {
                (1..).take_while(|k| is_digit(step(at, *k))).count()
            };
            let (before, after) = (run(usize::checked_sub), run(usize::checked_add));
            match (before, after) {
                (1, _) => false,
                (_, 1) => return Err(one_or_two(text)),
                _ if signs[at + 1] == '0' => return Err(one_or_two(text)),
                _ => true,
            }
        }
        (Items::Numbers, _) => true,
    };
    let mut parts = vec![String::new()];
    for (at, sign) in signs.iter().enumerate() {
        if is_apart(at) || (splits && *sign == ',') {
            parts.push(String::new());
        } else if let Some(last) = parts.last_mut() {
            last.push(*sign);
        }
    }
    Ok(parts.iter().map(|part| part.trim().to_string()).filter(|part| !part.is_empty()).collect())
}

/// Several values of which only the last has its unit share it.
fn sharing_the_unit(key: &dyn AnyKey, parts: Vec<String>) -> Vec<String> {
    let is_number = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let shared = parts.last().map(|last| last.trim_start_matches(is_number).trim().to_string());
    match shared.filter(|unit| unit.starts_with(char::is_alphabetic) && Items::of(key) != Items::Texts) {
        Some(unit) => {
            let bare = |part: &String| part.chars().all(is_number);
            parts
                .iter()
                .map(|part| if bare(part) { format!("{part} {unit}") } else { part.clone() })
                .collect()
        }
        None => parts,
    }
}

fn one_or_two(text: &str) -> String {
    let (one, two) = (text.replacen(',', ".", 1), text.replacen(',', ", ", 1));
    not_so("one number or several", &format!("\"{text}\""), &format!("type {one} for one, {two} for two"))
}

#[cfg(test)]
mod tests {
    use super::super::keys::{keys, section, variant};
    use super::*;

    /// What a key becomes from what is typed, in miles and in kilometres; an error begins with "wrong".
    fn check(of: &str, kind: &str, key: &str, typed: &str, us: &str, metric: &str) {
        let section = section(of).unwrap();
        let all = keys(section, variant(section, kind));
        let key = *all.iter().find(|one| one.name() == key).unwrap();
        let sent: Vec<(String, String)> =
            typed.split('|').map(|text| (key.name().to_string(), text.to_string())).collect();
        for (units, expected) in [(Units::Us, us), (Units::Metric, metric)] {
            let found = match change(key, None, &Posted::new(sent.clone()), units) {
                Ok(Change::Be(value)) => value.to_string().trim().to_string(),
                Ok(other) => format!("{other:?}"),
                Err(wrong) => format!("wrong {}", wrong.says),
            };
            assert!(
                found == expected || (expected == "wrong" && found.starts_with("wrong ")),
                "{typed}: {found}, not {expected}"
            );
        }
    }

    #[rustfmt::skip]
    const CASES: [(&str, &str, &str, &str, &str, &str); 20] = [
        ("adjuster", "free-constant", "present", "8,000", "8000", "8000"),
        ("adjuster", "stepped-constant", "min", "8,000", "8000", "wrong"),
        ("adjuster", "stepped-constant", "present", "8,20", "\"8.20\"", "\"8.20\""),
        ("adjuster", "stepped-constant", "buttons", "up|down", "[\"up\", \"down\"]", "[\"up\", \"down\"]"),
        ("evidence", "timed-mile", "seconds", "1:02.4", "\"62.4\"", "\"62.4\""),
        ("evidence", "timed-mile", "seconds", "1:02,4|61.9", "[\"62.4\", \"61.9\"]", "[\"62.4\", \"61.9\"]"),
        ("evidence", "timed-mile", "seconds", "1:75", "wrong", "wrong"),
        ("evidence", "rollout", "lengths", "495|41'2.5\"", "[\"495 in\", \"41 ft 2.5 in\"]", "[\"495 m\", \"41 ft 2.5 in\"]"),
        ("evidence", "rollout", "lengths", "12,55 m", "[\"12.55 m\"]", "[\"12.55 m\"]"),
        ("evidence", "odometer-distance", "true", "128411", "\"128411 mi\"", "\"128411 km\""),
        ("evidence", "odometer-distance", "true", "128,411", "\"128411 mi\"", "wrong"),
        ("evidence", "drive", "holds", "30, 45", "[\"30 mph\", \"45 mph\"]", "[\"30 km/h\", \"45 km/h\"]"),
        ("evidence", "drive", "holds", "30,45 mph", "[\"30 mph\", \"45 mph\"]", "[\"30 mph\", \"45 mph\"]"),
        ("evidence", "drive", "holds", "47,5 mph", "wrong", "wrong"),
        ("chain", "", "ring_teeth", "92,96,104", "[92, 96, 104]", "[92, 96, 104]"),
        ("chain", "", "axle_ratio", "3,73", "\"3.73\"", "\"3.73\""),
        ("chain", "", "axle_ratio", "46/11", "\"46/11\"", "\"46/11\""),
        ("tire", "", "name", "2019", "\"2019\"", "\"2019\""),
        ("evidence", "rollout", "turns", "", "wrong", "wrong"),
        ("evidence", "rollout", "date", "2026-05-02", "2026-05-02", "2026-05-02"),
    ];

    #[test]
    fn numbers_are_read_as_people_type_them() {
        for (of, kind, key, typed, us, metric) in CASES {
            check(of, kind, key, typed, us, metric);
        }
        check("tire", "", "size", "", "Go", "Go");
    }
}
