//! Values of the vehicle file, and the texts that stand for them in a field.

use toml_edit::{Item, TableLike, Value};

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
