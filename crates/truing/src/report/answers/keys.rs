//! The answer of `describe keys`: every section and key of the vehicle file, from the table that its reader goes by.

use crate::describe::file::examples::example;
use crate::describe::file::keys::{band, grid};
use crate::describe::{AnyKey, Need, ROOT, Repeat, SECTIONS, Section, Variant};
use crate::nearest::hint_for;
use crate::problem::Problem;
use crate::report::document::Document;
use crate::units::Units;
use schemars::JsonSchema;
use serde::Serialize;

/// Sections of the vehicle file.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct KeysReport {
    /// Each section.
    pub sections: Vec<SectionOfFile>,
}

/// A section.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SectionOfFile {
    /// Its name; empty for what stands before the first section.
    pub name: String,
    /// How it is written: `[name]`, `[[name]]` or either.
    pub written: String,
    /// What it says.
    pub about: String,
    /// Keys that may always stand in it.
    pub keys: Vec<KeyInFile>,
    /// Where the key `kind` decides which other keys may stand: the kinds.
    pub kinds: Vec<KindOfSection>,
}

/// A kind of a section.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct KindOfSection {
    /// What the key `kind` says.
    pub kind: String,
    /// What it is.
    pub about: String,
    /// Its own keys.
    pub keys: Vec<KeyInFile>,
}

/// A key.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct KeyInFile {
    /// Its name.
    pub name: String,
    /// Whether its section cannot be understood without it.
    pub needed: bool,
    /// What it says.
    pub about: String,
    /// What its value must be.
    pub takes: String,
    /// How it is written, by way of example.
    pub example: String,
}

/// What is written as a table inside one line, under the name of its key.
fn tables_in_a_line() -> [(&'static str, &'static str, &'static [&'static dyn AnyKey]); 2] {
    [
        ("rule", "A rule of your own, as a table in [use]", band::KEYS),
        ("revs_per_mile", "A range, as a table in [adjuster]", grid::KEYS),
    ]
}

impl KeysReport {
    /// All sections, or one of them by its name.
    pub fn new(only: Option<&str>, units: Units) -> Result<Self, Problem> {
        let mut sections = vec![section(&ROOT, units)];
        sections.extend(SECTIONS.iter().map(|one| section(one, units)));
        sections.extend(tables_in_a_line().map(|(name, about, all)| SectionOfFile {
            name: name.into(),
            written: format!("{name} = {{ ... }}"),
            about: about.into(),
            keys: keys(name, "", all, units),
            kinds: Vec::new(),
        }));
        let Some(name) = only else { return Ok(Self { sections }) };
        let bare = name.trim_matches(['[', ']', ' ']).to_string();
        if let Some(one) = sections.iter().find(|section| !bare.is_empty() && section.name == bare) {
            return Ok(Self { sections: vec![one.clone()] });
        }
        let known = SECTIONS.iter().map(|section| section.name).collect::<Vec<_>>();
        let problem = Problem::error("the section", "a section of the vehicle file", format!("\"{bare}\""));
        Err(problem.hint(hint_for(&bare, known)))
    }

    /// The answer in words.
    pub fn document(&self) -> Document {
        let mut document = Document::new("The vehicle file");
        for section in &self.sections {
            document.heading(section.written.clone());
            document.sentence(format!("{}.", capitalised(&section.about)));
            if !section.keys.is_empty() {
                let caption = if section.kinds.is_empty() { "Keys" } else { "Keys that any kind may have" };
                document.table(caption, &HEAD, rows(&section.keys));
            }
            for kind in &section.kinds {
                let caption = format!("kind = \"{}\": {}", kind.kind, kind.about);
                document.table(&caption, &HEAD, rows(&kind.keys));
            }
        }
        document
    }
}

/// Heads of the columns.
const HEAD: [&str; 4] = ["key", "what it says", "takes", "example"];

fn rows(keys: &[KeyInFile]) -> Vec<Vec<String>> {
    let row = |key: &KeyInFile| {
        let about = if key.needed { format!("{} (needed)", key.about) } else { key.about.clone() };
        vec![key.name.clone(), about, key.takes.clone(), key.example.clone()]
    };
    keys.iter().map(row).collect()
}

fn section(section: &Section, units: Units) -> SectionOfFile {
    let name = section.name;
    let kind = |variant: &&Variant| KindOfSection {
        kind: variant.word.into(),
        about: variant.about.into(),
        keys: keys(name, variant.word, variant.keys, units),
    };
    SectionOfFile {
        name: name.into(),
        written: match section.repeat {
            _ if name.is_empty() => "Before the first section".into(),
            Repeat::Once => format!("[{name}]"),
            Repeat::OnceOrSeveral => format!("[{name}], or [[{name}]] for several"),
            Repeat::Several => format!("[[{name}]]"),
        },
        about: section.about.into(),
        keys: keys(name, "", section.keys, units),
        kinds: section.variants.iter().map(kind).collect(),
    }
}

fn keys(section: &str, kind: &str, all: &[&'static dyn AnyKey], units: Units) -> Vec<KeyInFile> {
    let key = |key: &&'static dyn AnyKey| KeyInFile {
        name: key.name().into(),
        needed: key.need() == Need::Required,
        about: key.about().into(),
        takes: key.expected(),
        example: example(section, kind, key.name(), units).unwrap_or_default().into(),
    };
    all.iter().map(key).collect()
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::vehicle::Vehicle;

    /// Every key with the text that stands before it.
    fn every(units: Units) -> Vec<(String, KeyInFile)> {
        let mut all = Vec::new();
        for section in KeysReport::new(None, units).unwrap().sections {
            let head = match section.written.as_str() {
                _ if section.name.is_empty() => String::new(),
                written if written.starts_with('[') => written.split(',').next().unwrap().to_string(),
                // Tables in a line are read with their key.
                _ => continue,
            };
            let of_kind = section.kinds.iter().flat_map(|kind| {
                let before = format!("{head}\nkind = \"{}\"", kind.kind);
                kind.keys.iter().chain(&section.keys).map(move |key| (before.clone(), key.clone()))
            });
            all.extend(of_kind);
            if section.kinds.is_empty() {
                all.extend(section.keys.iter().map(|key| (head.clone(), key.clone())));
            }
        }
        all
    }

    #[test]
    fn every_key_has_an_example_that_is_read() {
        for units in [Units::Us, Units::Metric] {
            let all = every(units);
            assert!(all.len() > 150, "{}", all.len());
            for (before, key) in all {
                assert!(!key.example.is_empty(), "no example: {before} {}", key.name);
                let text = format!("{before}\n{} = {}", key.name, key.example);
                let (_, problems) = Vehicle::read("truck.toml", &text);
                let wrong = format!("{}: expected {}", key.name, key.takes);
                let told = problems.iter().map(ToString::to_string).find(|told| told.contains(&wrong));
                assert_eq!(told, None, "{text}");
            }
        }
    }

    #[test]
    fn one_section_is_told_alone_and_a_slip_has_a_hint() {
        let only = |name| KeysReport::new(Some(name), Units::Us).map(|report| report.sections.len());
        assert_eq!([only("tire").unwrap(), only("[[evidence]]").unwrap(), only("rule").unwrap()], [1, 1, 1]);
        assert!(only("evidense").unwrap_err().to_string().contains("evidence"));
        assert!(only("").is_err());
    }
}
