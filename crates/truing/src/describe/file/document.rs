//! A TOML text as places that know their line, so that every problem can say where it is.

use crate::describe::file::key::{AnyKey, Key, Kind, Need, Section, Variant};
use crate::describe::file::words::or_list;
use crate::nearest::hint_for;
use crate::problem::{KeyPlace, Problem, Wording};
use std::cell::RefCell;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The file being read: its name, where its lines begin, and the problems found so far.
pub struct Document {
    source: String,
    line_starts: Vec<usize>,
    problems: RefCell<Vec<Problem>>,
    /// The tables of the sections: section, which of several, line.
    tables: RefCell<Vec<(&'static str, usize, usize)>>,
}

impl Document {
    /// A document called `source` in its problems.
    pub fn new(source: &str, text: &str) -> Self {
        let starts = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Self {
            source: source.to_string(),
            line_starts: core::iter::once(0).chain(starts).collect(),
            problems: RefCell::default(),
            tables: RefCell::default(),
        }
    }

    /// Line of a byte, counted from 1.
    pub fn line(&self, offset: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= offset).max(1)
    }

    /// Adds a problem.
    pub fn push(&self, problem: Problem) {
        self.problems.borrow_mut().push(problem);
    }

    /// A problem in this document at a byte.
    pub fn error(&self, offset: usize, expected: impl Into<String>, found: impl Into<String>) -> Problem {
        Problem::error(self.source.clone(), expected, found).at_line(self.line(offset))
    }

    /// The name of the document.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// A key of the table of a section that begins in a line, for what is found once all is read.
    pub fn key_at(&self, section: &'static str, line: usize, key: &str) -> KeyPlace {
        let tables = self.tables.borrow();
        let index = tables.iter().find(|(name, _, at)| *name == section && *at == line);
        KeyPlace { key: key.to_string(), ..KeyPlace::new(section, index.map_or(0, |(_, index, _)| *index)) }
    }

    /// What was wrong, in the order of the lines.
    pub fn problems(&self) -> Vec<Problem> {
        let mut problems = self.problems.borrow().clone();
        problems.sort_by_key(|problem| problem.line);
        problems
    }
}

/// One value in the file with its place.
#[derive(Clone)]
pub struct Node<'d> {
    /// The document it stands in.
    pub document: &'d Document,
    /// What it is called: `[chain] ring_teeth`.
    pub part: String,
    /// The key that it is the value of, where its table is a section's.
    pub key: Option<KeyPlace>,
    /// Byte at which it begins.
    pub offset: usize,
    /// The value itself.
    pub value: &'d DeValue<'d>,
}

impl<'d> Node<'d> {
    /// A value of the same key: an element of its list, a key of its table.
    pub fn child(&self, value: &'d Spanned<DeValue<'d>>, suffix: &str) -> Node<'d> {
        Node {
            document: self.document,
            part: format!("{}{suffix}", self.part),
            key: self.key.clone(),
            offset: value.span().start,
            value: value.get_ref(),
        }
    }

    /// Says what is wrong with the value, and gives nothing.
    pub fn wrong<T>(
        &self,
        expected: impl Into<String>,
        found: impl Into<String>,
        hint: impl Into<Wording>,
    ) -> Option<T> {
        let problem = self.document.error(self.offset, expected, found);
        self.document
            .push(Problem { key: self.key.clone(), ..problem.in_part(self.part.clone()).hint(hint) });
        None
    }

    /// Says that the value is not of the kind `K`, and gives nothing.
    pub fn not_a<K: Kind, T>(&self, hint: &str) -> Option<T> {
        self.wrong(K::expected(), self.found(), hint)
    }

    /// The value in words.
    pub fn found(&self) -> String {
        match self.value {
            DeValue::String(text) => quoted(text),
            DeValue::Integer(number) => shortened(&number.to_string()),
            DeValue::Float(number) => shortened(&number.to_string()),
            DeValue::Boolean(flag) => flag.to_string(),
            DeValue::Datetime(date) => date.to_string(),
            DeValue::Array(list) => format!("a list of {}", list.len()),
            DeValue::Table(_) => "a table".to_string(),
        }
    }
}

/// Longest piece of the file that is repeated in a problem, in characters.
const LONGEST_QUOTED: usize = 60;

/// A piece of the file in quotes, cut where it is long.
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", shortened(text))
}

fn shortened(text: &str) -> String {
    match text.char_indices().nth(LONGEST_QUOTED) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_string(),
    }
}

/// One table of the file, read against the keys declared for it.
pub struct Entry<'d> {
    document: &'d Document,
    heading: String,
    joint: &'static str,
    place: Option<KeyPlace>,
    offset: usize,
    table: &'d DeTable<'d>,
    keys: Vec<&'static dyn AnyKey>,
}

impl<'d> Entry<'d> {
    /// A table with its heading (`[chain]`), without looking at its keys yet.
    pub fn new(document: &'d Document, heading: String, offset: usize, table: &'d DeTable<'d>) -> Self {
        Self { document, heading, joint: " ", place: None, offset, table, keys: Vec::new() }
    }

    /// The same as one of the tables of a section.
    pub fn placed(self, section: &'static str, index: usize) -> Self {
        self.document.tables.borrow_mut().push((section, index, self.line()));
        Self { place: Some(KeyPlace::new(section, index)), ..self }
    }

    /// The table that is the value of a key, read against `keys`.
    pub fn inside(node: &Node<'d>, table: &'d DeTable<'d>, keys: &[&'static dyn AnyKey]) -> Self {
        let mut entry = Self::new(node.document, node.part.clone(), node.offset, table);
        entry.joint = ".";
        entry.place = node.key.clone();
        entry.allow(keys);
        entry.refuse_unknown();
        entry
    }

    /// Adds keys that may stand here.
    pub fn allow(&mut self, keys: &[&'static dyn AnyKey]) {
        self.keys.extend_from_slice(keys);
    }

    /// Names every key that is not known here, with the nearest that is.
    pub fn refuse_unknown(&self) {
        for (name, value) in self.table {
            if self.keys.iter().all(|key| key.name() != name.get_ref()) {
                let known: Vec<&str> = self.keys.iter().map(|key| key.name()).collect();
                self.node(name.get_ref(), name.span().start, value.get_ref()).wrong::<()>(
                    "a known key",
                    format!("`{}`", shortened(name.get_ref())),
                    &hint_for(name.get_ref(), known),
                );
            }
        }
    }

    /// The variant that the `kind` key names; its keys become known, all others are refused.
    pub fn variant(&mut self, section: &Section) -> Option<&'static Variant> {
        self.allow(section.keys);
        let words: Vec<&str> = section.variants.iter().map(|variant| variant.word).collect();
        let Some(node) = self.find(crate::describe::file::keys::KIND) else {
            return self.missing(crate::describe::file::keys::KIND, &or_list(words.iter().copied()));
        };
        let found = section.variants.iter().find(|variant| Some(variant.word) == node.value.as_str());
        let Some(variant) = found else {
            let hint = hint_for(node.value.as_str().unwrap_or_default(), words.iter().copied());
            return node.wrong(format!("a kind of {}", section.name), node.found(), &hint);
        };
        self.keys.push(&crate::describe::file::keys::KIND_KEY);
        self.allow(variant.keys);
        self.refuse_unknown();
        Some(variant)
    }

    /// The value of a key; a required one that is not there, and any that is wrong, becomes a problem.
    pub fn get<K: Kind>(&self, key: &Key<K>) -> Option<K::Out> {
        match self.find(key.name) {
            Some(node) => K::read(&node),
            None if key.need == Need::Required => self.missing(key.name, &K::expected()),
            None => None,
        }
    }

    /// The value of one of two keys that say the same in two units; with both it is not known which is meant.
    pub fn either<A: Kind, B: Kind<Out = A::Out>>(&self, one: &Key<A>, other: &Key<B>) -> Option<A::Out> {
        if self.has(one) && self.has(other) {
            let expected = format!("{} or {}", one.name, other.name);
            return self.place(other).wrong(expected, "both", "Keep one of them");
        }
        self.get(one).or_else(|| self.get(other))
    }

    /// Says that a key is not there though something else makes it needed, and gives nothing.
    pub fn absent<K: Kind, T>(&self, key: &Key<K>) -> Option<T> {
        self.missing(key.name, &K::expected())
    }

    /// Says so when not exactly one of several keys stands.
    pub fn exactly_one(&self, keys: &[(&'static str, bool)]) -> Option<()> {
        let expected = format!("exactly one of {}", or_list(keys.iter().map(|(name, _)| *name)));
        let standing: Vec<&str> = keys.iter().filter(|(_, stands)| *stands).map(|(name, _)| *name).collect();
        let names: Vec<&'static str> = keys.iter().map(|(name, _)| *name).collect();
        match standing[..] {
            [_] => Some(()),
            [] => self.none_of(&names).wrong(
                expected,
                crate::describe::file::keys::NOTHING,
                format!("Add `{} = ...`", keys.first()?.0),
            ),
            _ => {
                let whole = self.none_of(&names);
                let key = whole.key.map(|key| KeyPlace { is_missing: false, ..key });
                Node { key, ..whole }.wrong(expected, standing.join(" and "), "Keep one of them")
            }
        }
    }

    /// A node for the table as a whole, of which none of these keys stands though one is needed.
    pub fn none_of(&self, keys: &[&'static str]) -> Node<'d> {
        let whole = self.itself();
        let key = whole.key.map(|key| KeyPlace { one_of: keys.to_vec(), is_missing: true, ..key });
        Node { key, ..whole }
    }

    /// Whether the key stands in the file, right or wrong.
    pub fn has<K>(&self, key: &Key<K>) -> bool {
        self.find(key.name).is_some()
    }

    /// The place of a key's value, or of the table when the key is not there.
    pub fn place<K>(&self, key: &Key<K>) -> Node<'d> {
        self.find(key.name).unwrap_or_else(|| self.node(key.name, self.offset, &DeValue::Boolean(false)))
    }

    /// A node for the table as a whole.
    pub fn itself(&self) -> Node<'d> {
        let whole = self.node("", self.offset, &DeValue::Boolean(false));
        Node { part: self.heading.clone(), key: self.place.clone(), ..whole }
    }

    /// The keys and values as they stand.
    pub fn pairs(&self) -> impl Iterator<Item = (&'d str, Node<'d>)> + '_ {
        self.table.iter().map(|(name, value)| {
            (&**name.get_ref(), self.node(name.get_ref(), value.span().start, value.get_ref()))
        })
    }

    /// Line of the table's heading, counted from 1.
    pub fn line(&self) -> usize {
        self.document.line(self.offset)
    }

    fn find(&self, name: &str) -> Option<Node<'d>> {
        let value = self.table.get(name)?;
        // A value that was lost to a syntax error has no extent: its key tells the place then.
        let key_start = self.table.get_key_value(name).map_or(0, |(key, _)| key.span().start);
        let span = value.span();
        let offset = if span.is_empty() { key_start } else { span.start };
        Some(self.node(name, offset, value.get_ref()))
    }

    fn node(&self, name: &str, offset: usize, value: &'d DeValue<'d>) -> Node<'d> {
        let part = format!("{}{}{}", self.heading, self.joint, shortened(name));
        let key = self.place.clone().map(|place| {
            let dot = if place.key.is_empty() { "" } else { "." };
            KeyPlace { key: format!("{}{dot}{name}", place.key), ..place }
        });
        Node { document: self.document, part: part.trim_start().to_string(), key, offset, value }
    }

    fn missing<T>(&self, name: &str, expected: &str) -> Option<T> {
        let node = self.node(name, self.offset, &DeValue::Boolean(false));
        let key = node.key.clone().map(|key| KeyPlace { is_missing: true, ..key });
        let node = Node { key, ..node };
        node.wrong(expected, crate::describe::file::keys::NOTHING, format!("Add `{name} = ...`"))
    }
}
