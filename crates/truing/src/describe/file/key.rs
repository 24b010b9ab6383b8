//! What a key of the vehicle file is: its name, the kind of its value, whether it must stand, one line about it.
//!
//! The keys themselves are declared once, in [`crate::describe::file::keys`].

use crate::describe::file::document::Node;
use crate::problem::Field;
use core::marker::PhantomData;
use serde_json::Value as Json;

/// What a value may be: how it is read, how it is said to a person, how it is said in a JSON Schema.
pub trait Kind: 'static {
    /// What reading gives.
    type Out;
    /// Reads the value; what is wrong becomes a problem of the document.
    fn read(node: &Node<'_>) -> Option<Self::Out>;
    /// What would have been right.
    fn expected() -> String;
    /// The same in JSON Schema, draft 2020-12.
    fn schema() -> Json;
    /// What is typed with its unit, of each value where there are several.
    fn measure() -> Option<Measure> {
        None
    }
}

/// What is typed with its unit.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Measure {
    /// A length of any size.
    Length,
    /// What an odometer shows.
    Reading,
    /// A speed.
    Speed,
}

/// Whether a key must stand.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Need {
    /// Its table cannot be understood without it.
    Required,
    /// It may be left out.
    Optional,
}

/// A key with the kind of its value.
pub struct Key<K> {
    /// As it stands in the file.
    pub name: &'static str,
    /// Whether it must stand.
    pub need: Need,
    /// One line for a person.
    pub about: &'static str,
    kind: PhantomData<fn() -> K>,
}

impl<K> Key<K> {
    /// Declares a key.
    pub const fn new(name: &'static str, need: Need, about: &'static str) -> Self {
        Self { name, need, about, kind: PhantomData }
    }
}

/// A key of any kind, for what concerns all keys: hints, schema, help.
pub trait AnyKey: Sync {
    /// As it stands in the file.
    fn name(&self) -> &'static str;
    /// Whether it must stand.
    fn need(&self) -> Need;
    /// One line for a person.
    fn about(&self) -> &'static str;
    /// What its value must be, in words.
    fn expected(&self) -> String;
    /// What its value must be, in JSON Schema.
    fn schema(&self) -> Json;
    /// What is typed there with its unit.
    fn measure(&self) -> Option<Measure>;
}

impl<K: Kind> AnyKey for Key<K> {
    fn name(&self) -> &'static str {
        self.name
    }
    fn need(&self) -> Need {
        self.need
    }
    fn about(&self) -> &'static str {
        self.about
    }
    fn expected(&self) -> String {
        K::expected()
    }
    fn schema(&self) -> Json {
        K::schema()
    }
    fn measure(&self) -> Option<Measure> {
        K::measure()
    }
}

/// How often a section may stand.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Repeat {
    /// `[name]`, once.
    Once,
    /// `[name]` once or `[[name]]` several times.
    OnceOrSeveral,
    /// `[[name]]`, any number of times.
    Several,
}

/// A section of the file.
pub struct Section {
    /// As it stands between the brackets.
    pub name: &'static str,
    /// How often it may stand.
    pub repeat: Repeat,
    /// One line for a person.
    pub about: &'static str,
    /// Keys that may always stand in it.
    pub keys: &'static [&'static dyn AnyKey],
    /// Where the key `kind` decides: what it may be.
    pub variants: &'static [&'static Variant],
}

impl Section {
    /// As it stands over its tables.
    pub fn heading(&self) -> String {
        match self.repeat {
            Repeat::Several => format!("[[{}]]", self.name),
            _ => format!("[{}]", self.name),
        }
    }

    /// A key of it, as problems name it.
    pub fn key(&self, key: &'static str) -> Field {
        Field::Key(self.name, key)
    }
}

/// One kind of a section whose `kind` key decides which other keys may stand.
pub struct Variant {
    /// Value of `kind`.
    pub word: &'static str,
    /// One line for a person.
    pub about: &'static str,
    /// Its own keys.
    pub keys: &'static [&'static dyn AnyKey],
}
