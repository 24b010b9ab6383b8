//! What stands in the fields of a form: what the file says, or what was typed and sent back with what is wrong about it.

use super::super::form::Posted;
use super::super::named::by_label;
use super::keys::Keys;
use super::values::texts_of;
use super::words::{capitalised, label};
use toml_edit::{Item, Table, TableLike};
use truing::describe::{Section, Variant};
use truing::problem::{KeyPlace, Problem};
use truing::units::Units;

/// What is wrong with what was typed into a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// The key, with a point before a line of its own; empty for the form as a whole.
    pub key: String,
    /// The message, in the field's words.
    pub says: String,
}

impl Wrong {
    /// What a problem of the file says of a part of it, for the form that asked for that part.
    pub fn from_problem(problem: &Problem, section: &Section, kind: Option<&Variant>, index: usize) -> Self {
        let is_here = |place: &&KeyPlace| place.section == section.name && place.index == index;
        let says = not_so(&problem.expected, &problem.found, &problem.hint.named_by(by_label));
        let Some(place) = problem.key.as_ref().filter(is_here) else {
            let part = problem.part.as_ref().map(|part| format!("{part}: ")).unwrap_or_default();
            return Self { key: String::new(), says: format!("{part}{says}") };
        };
        let labels: Vec<String> = place.one_of.iter().map(|key| label(section, kind, key)).collect();
        let says = match (place.is_missing, labels.is_empty()) {
            (true, true) => needed(&problem.expected),
            (true, false) => format!("Fill in one of these: {}.", labels.join("; ")),
            (false, false) => format!("Only one of these can stand: {}.", labels.join("; ")),
            (false, true) => says,
        };
        Self { key: place.one_of.first().map_or(place.key.clone(), |key| key.to_string()), says }
    }
}

/// Nothing was typed where something is needed.
pub fn needed(expected: &str) -> String {
    format!("This is needed: {expected}.")
}

/// Something was typed that cannot be.
pub fn not_so(expected: &str, found: &str, hint: &str) -> String {
    let hint = capitalised(hint.trim_end_matches('.'));
    let hint = if hint.is_empty() { hint } else { format!(" {hint}.") };
    format!("Expected {expected}; found {found}.{hint}")
}

/// The fields of a form.
pub struct Filled<'a> {
    /// Begins the id of every field, so that two forms can stand on one page.
    pub prefix: &'a str,
    /// The section it asks about.
    pub section: &'static Section,
    /// Its kind.
    pub kind: Option<&'static Variant>,
    /// The part as it stands in the file, or as it is filled in beforehand.
    pub now: Option<&'a dyn TableLike>,
    /// What was typed, where the form comes back.
    pub typed: Option<&'a Posted>,
    /// What is wrong with that.
    pub wrong: &'a [Wrong],
    /// The owner's units.
    pub units: Units,
    /// The files kept for this truck.
    pub files: &'a [String],
    /// The sets of tires it has.
    pub tires: &'a [String],
}

impl<'a> Filled<'a> {
    /// What is filled in beforehand, for a drawing.
    pub fn bare(section: &'static Section, kind: Option<&'static Variant>, now: Option<&'a Table>) -> Self {
        let now = now.map(|now| now as &dyn TableLike);
        Self {
            prefix: "",
            section,
            kind,
            now,
            typed: None,
            wrong: &[],
            units: Units::Us,
            files: &[],
            tires: &[],
        }
    }
    /// What stands in the field of a key, each value by itself.
    pub fn texts(&self, key: &str) -> Vec<String> {
        match self.typed {
            Some(posted) => posted.all(key).map(str::to_string).filter(|text| !text.is_empty()).collect(),
            None => self.of_file(key),
        }
    }

    /// The same in one line.
    pub fn text(&self, key: &str) -> String {
        self.texts(key).join(", ")
    }

    fn of_file(&self, key: &str) -> Vec<String> {
        let Some(now) = self.now else { return Vec::new() };
        if let Some((table, part)) = key.split_once('.') {
            let inside = now.get(table).and_then(Item::as_table_like).and_then(|table| table.get(part));
            return inside.map(texts_of).unwrap_or_default();
        }
        // One try may stand by itself.
        let item = now.get(key).or_else(|| now.get("length").filter(|_| key == "lengths"));
        item.map(texts_of).unwrap_or_default()
    }

    /// Whether anything stands in the field of a key, or something is wrong with it.
    pub fn is_said(&self, key: &str) -> bool {
        let is_it =
            |name: &str| name == key || name.strip_prefix(key).is_some_and(|rest| rest.starts_with('.'));
        !self.texts(key).is_empty()
            || self.now.is_some_and(|now| now.get(key).is_some())
            || self.wrong.iter().any(|wrong| is_it(&wrong.key))
    }

    /// What is wrong with the field of a key.
    pub fn wrong_with(&self, key: &str) -> Option<&str> {
        self.wrong.iter().find(|wrong| wrong.key == key).map(|wrong| wrong.says.as_str())
    }

    /// Whether a field is the first, in their order, that something is wrong with.
    pub fn is_first_wrong(&self, key: &str) -> bool {
        self.wrong.iter().find(|wrong| !wrong.key.is_empty()).is_some_and(|wrong| wrong.key == key)
    }

    /// The id of the field of a key.
    pub fn id(&self, key: &str) -> String {
        format!("{}-{}", self.prefix, key.replace('.', "-"))
    }
}

/// What is wrong, field by field in the order of a form.
pub fn in_order(mut wrong: Vec<Wrong>, keys: &Keys) -> Vec<Wrong> {
    let place = |wrong: &Wrong| {
        let name = wrong.key.split('.').next().unwrap_or_default();
        keys.iter().position(|key| key.name() == name).unwrap_or(keys.len())
    };
    wrong.sort_by_key(place);
    wrong.dedup_by(|a, b| a.key == b.key && !a.key.is_empty());
    wrong
}
