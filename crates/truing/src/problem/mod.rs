//! What is wrong with an input: place, what was expected, what was found, what to do. One type for every stage.
//!
//! Reading never fails outright: a reader returns what it understood and a list of these.

mod field;
mod list;
mod wording;

use serde::Serialize;

pub use field::{Field, Named};
pub use list::Problems;
pub use wording::Wording;

/// How much a problem matters.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; the answer stands.
    Note,
    /// Something was left out or assumed; the answer may suffer.
    Warning,
    /// The input cannot be used as it is.
    Error,
}

/// One thing wrong with an input, said so that the reader can correct it.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Problem {
    /// How much it matters.
    pub severity: Severity,
    /// The input it is in: a file name, or what the input is called.
    #[schemars(with = "String")]
    pub source: Wording,
    /// Line in the input, counted from 1, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Part of the input: a key, a column, an element.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub part: Option<Wording>,
    /// What would have been right.
    pub expected: String,
    /// What was there instead.
    pub found: String,
    /// What to do about it.
    #[schemars(with = "String")]
    pub hint: Wording,
    /// The key of the vehicle file it is about, for faces that ask for it in a field.
    #[serde(skip)]
    pub key: Option<KeyPlace>,
}

/// A key of the vehicle file, or a table of it as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyPlace {
    /// The section.
    pub section: &'static str,
    /// Which of several, from 0.
    pub index: usize,
    /// The key, with a point between it and one inside its table; empty for the table as a whole.
    pub key: String,
    /// Whether it is not there though it is needed.
    pub is_missing: bool,
    /// The keys of which one must stand, where none or several of them do.
    pub one_of: Vec<&'static str>,
}

impl KeyPlace {
    /// One of the tables of a section as a whole.
    pub fn new(section: &'static str, index: usize) -> Self {
        Self { section, index, key: String::new(), is_missing: false, one_of: Vec::new() }
    }
}

impl Problem {
    /// A problem of the given severity in `source`; place and hint are added by the other methods.
    pub fn new(
        severity: Severity,
        source: impl Into<Wording>,
        expected: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        Self {
            severity,
            source: source.into(),
            line: None,
            part: None,
            expected: expected.into(),
            found: found.into(),
            hint: Wording::default(),
            key: None,
        }
    }

    /// An input that cannot be used as it is.
    pub fn error(source: impl Into<Wording>, expected: impl Into<String>, found: impl Into<String>) -> Self {
        Self::new(Severity::Error, source, expected, found)
    }

    /// Something left out or assumed.
    pub fn warning(
        source: impl Into<Wording>,
        expected: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        Self::new(Severity::Warning, source, expected, found)
    }

    /// Something worth knowing.
    pub fn note(source: impl Into<Wording>, expected: impl Into<String>, found: impl Into<String>) -> Self {
        Self::new(Severity::Note, source, expected, found)
    }

    /// Adds the line, counted from 1.
    pub fn at_line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }

    /// Adds the key, column or element.
    pub fn in_part(mut self, part: impl Into<Wording>) -> Self {
        self.part = Some(part.into());
        self
    }

    /// Adds the key of the vehicle file that it is about.
    pub fn about_key(mut self, key: KeyPlace) -> Self {
        self.key = Some(key);
        self
    }

    /// Adds what to do.
    pub fn hint(mut self, hint: impl Into<Wording>) -> Self {
        self.hint = hint.into();
        self
    }

    /// The same where the fields that it names are keys of the vehicle file.
    pub fn by_keys(self) -> Self {
        let part = self.part.map(Wording::by_keys);
        Self { source: self.source.by_keys(), part, hint: self.hint.by_keys(), ..self }
    }

    /// The whole as one line, with fields called as `name` says.
    pub fn named_by(&self, name: impl Fn(&Named) -> String) -> String {
        let line = self.line.map(|line| format!(", line {line}")).unwrap_or_default();
        let part = self.part.as_ref().map(|part| format!(", {}", part.named_by(&name))).unwrap_or_default();
        let (source, hint) = (self.source.named_by(&name), self.hint.named_by(&name));
        let dot = if hint.is_empty() { "" } else { ". " };
        format!("{source}{line}{part}: expected {}; found {}{dot}{hint}", self.expected, self.found)
    }

    /// Whether the input cannot be used as it is.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

impl core::fmt::Display for Problem {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(&self.named_by(Named::as_words))
    }
}

impl core::error::Error for Problem {}

/// Whether any of the problems makes the input unusable.
pub fn any_error(problems: &[Problem]) -> bool {
    problems.iter().any(Problem::is_error)
}
