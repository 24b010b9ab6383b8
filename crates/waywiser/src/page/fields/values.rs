//! Values of the vehicle file, and the texts that stand for them in a field.

use toml_edit::{Array, Item, Table, TableLike, Value, value};

/// Whole numbers and days bare, everything else in quotes, as the owner would write it.
pub fn plain(text: &str) -> Value {
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
pub fn replace(table: &mut dyn TableLike, name: &str, mut new: Value) {
    match table.get_mut(name).and_then(Item::as_value_mut) {
        Some(old) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        None => drop(table.insert(name, Item::Value(new))),
    }
}

/// A value as it is typed into a form.
pub fn text_of(item: &Item) -> String {
    texts_of(item).join(", ")
}

/// The same, each value of a list by itself.
pub fn texts_of(item: &Item) -> Vec<String> {
    match item {
        Item::Value(Value::Array(list)) => {
            list.iter().map(|value| text_of(&Item::Value(value.clone()))).collect()
        }
        Item::Value(Value::String(text)) => vec![text.value().clone()],
        Item::Value(value) => {
            let mut bare = value.clone();
            bare.decor_mut().clear();
            vec![bare.to_string()]
        }
        _ => Vec::new(),
    }
}

/// What an address fills in; what it says several times over is a list.
pub fn beforehand(given: Vec<(String, String)>) -> Table {
    let mut filled = Table::new();
    for (name, text) in given {
        match filled.get_mut(&name) {
            None => drop(filled.insert(&name, value(text))),
            Some(Item::Value(Value::Array(list))) => list.push(text),
            Some(one) => *one = value(Array::from_iter([text_of(one), text])),
        }
    }
    filled
}
