//! The answer of `describe rules`: every rule with its band, source, edition and how it is known.

use crate::report::document::Document;
use crate::rules::{Rule, all};
use schemars::JsonSchema;
use serde::Serialize;

/// All rules.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RulesReport {
    /// Each rule.
    pub rules: Vec<RuleReport>,
}

/// A rule.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RuleReport {
    /// The word by which it is asked for.
    pub id: String,
    /// In a few words.
    pub title: String,
    /// What it permits.
    pub band: String,
    /// Where it stands.
    pub source: String,
    /// Which edition.
    pub edition: String,
    /// How it is known.
    pub how_known: String,
    /// What else to know.
    pub note: String,
}

impl RuleReport {
    fn new(rule: &Rule) -> RuleReport {
        RuleReport {
            id: rule.id.to_string(),
            title: rule.title.to_string(),
            band: rule.band.to_string(),
            source: rule.source.to_string(),
            edition: rule.edition.to_string(),
            how_known: rule.how_known.words().to_string(),
            note: rule.note.to_string(),
        }
    }
}

impl RuleReport {
    /// Where it stands, in which edition, and how that is known; what is not said or said already is left out.
    fn stands_in(&self) -> String {
        let edition = match self.edition.as_str() {
            "" => String::new(),
            "not known" => " (edition not known)".into(),
            edition => format!(" ({edition})"),
        };
        let known =
            if self.how_known == self.source { String::new() } else { format!("; {}", self.how_known) };
        format!("Source: {}{edition}{known}.", self.source)
    }
}

impl RulesReport {
    /// The report of all rules.
    pub fn new() -> RulesReport {
        RulesReport { rules: all().iter().map(RuleReport::new).collect() }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Rules");
        document.sentence("Local law decides; these are for orientation.");
        for rule in &self.rules {
            document.heading(format!("{}: {}", rule.id, rule.title));
            document.sentence(format!("Permits: {}.", rule.band));
            document.sentence(rule.stands_in());
            if !rule.note.is_empty() {
                document.sentence(rule.note.clone());
            }
        }
        document
    }
}

impl Default for RulesReport {
    fn default() -> Self {
        Self::new()
    }
}
