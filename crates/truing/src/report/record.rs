//! What stands in a record, for a person.

use super::document::Document;
use crate::record::Chain;
use serde::Serialize;

/// The entries of a chain in short.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecordReport {
    /// How many entries.
    pub entries: usize,
    /// Hash of the last.
    pub head: String,
    /// Each entry: number, day, kind, what it says.
    pub lines: Vec<[String; 4]>,
}

impl RecordReport {
    /// The report of a chain.
    pub fn new(chain: &Chain) -> RecordReport {
        let lines = chain.entries().iter().map(|entry| {
            let says: Vec<String> =
                entry.event.fields.iter().map(|(key, value)| format!("{key} {value}")).collect();
            let day: String = entry.event.time.to_string().chars().take(10).collect();
            [entry.sequence.to_string(), day, entry.event.kind.word().to_string(), says.join(", ")]
        });
        RecordReport {
            entries: chain.entries().len(),
            head: chain.head().to_string(),
            lines: lines.collect(),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("The record");
        document.table(
            "Entries",
            &["no.", "day", "what", "says"],
            self.lines.iter().map(|l| l.to_vec()).collect(),
        );
        document.sentence(format!("{} entries; note this on paper: {}.", self.entries, self.head));
        document
    }
}
