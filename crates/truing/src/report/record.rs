//! What stands in a record, for a person.

use super::document::Document;
use crate::problem::Problem;
use crate::record::{Chain, Entry, Fields, Hash};
use schemars::JsonSchema;
use serde::Serialize;

/// The entries of a chain in short.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
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

/// An entry that was added and is safe on disk.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AddedReport {
    /// Its number.
    pub sequence: u64,
    /// Its hash.
    pub hash: String,
    /// The word of its kind.
    pub kind: &'static str,
    /// What it says.
    pub fields: Fields,
}

impl AddedReport {
    /// Of a sealed entry.
    pub fn new(entry: &Entry) -> Self {
        let fields = entry.event.fields.clone();
        let (sequence, hash) = (entry.sequence, entry.hash.to_string());
        Self { sequence, hash, kind: entry.event.kind.word(), fields }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Added to the record");
        let rows = self.fields.iter().map(|(name, value)| vec![name.clone(), value.clone()]).collect();
        document.table(&format!("Entry {}, {}", self.sequence, self.kind), &["field", "value"], rows);
        document.sentence(format!("It is safe on disk. Its hash is {}.", self.hash));
        document
    }
}

/// What a check of the record found.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CheckReport {
    /// Whether it is whole.
    pub ok: bool,
    /// How many entries.
    pub entries: u64,
    /// Hash of the last.
    pub head: String,
    /// What is wrong, or worth knowing.
    pub problems: Vec<Problem>,
}

impl CheckReport {
    /// Of a record that could not be read at all.
    pub fn unreadable(problems: Vec<Problem>) -> Self {
        Self { ok: false, entries: 0, head: Hash::NONE.to_string(), problems }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Check of the record");
        document.sentence(match self.ok {
            true => "The record is whole: every entry is as it was sealed, and every count only falls or rises as it must.",
            false => "The record is NOT in order; what is wrong is listed.",
        });
        document.sentence(format!("{} entries, the last with the hash", self.entries));
        document.sentence(self.head.clone());
        if self.ok {
            document.sentence(
                "Write both on paper. A check against them shows also whether the last entries were cut off or all written anew.",
            );
        }
        document
    }
}

/// What was taken in from another record.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ImportReport {
    /// Entries added.
    pub added: usize,
    /// Entries in the file.
    pub in_file: usize,
}

impl ImportReport {
    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Taken into the record");
        document.sentence(self.says());
        document
    }

    /// The same in a sentence.
    pub fn says(&self) -> String {
        match self.added {
            0 => format!("All {} entries of the file are here already.", self.in_file),
            added if added == self.in_file => format!("All {added} entries of the file were added."),
            added => format!(
                "{added} of {} entries of the file were added; the others are here already.",
                self.in_file
            ),
        }
    }
}

/// A backup that was made.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BackupReport {
    /// Where it is.
    pub file: String,
}

impl BackupReport {
    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Backup of the record");
        document.sentence(format!("The whole record stands in {}. Keep it on another disk.", self.file));
        document
    }
}

/// A vehicle file that was taken into the record.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TakenReport {
    /// The entries added.
    pub added: Vec<AddedReport>,
}

impl TakenReport {
    /// Of the entries added.
    pub fn new(entries: &[Entry]) -> Self {
        Self { added: entries.iter().map(AddedReport::new).collect() }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Taken into the record");
        document.sentence(match self.added.len() {
            0 => "This very file was taken in before; nothing was added.".to_string(),
            count => format!("{count} entries were added."),
        });
        let what = |added: &AddedReport| added.fields.get("what").cloned().unwrap_or_default();
        let row = |added: &AddedReport| vec![added.sequence.to_string(), added.kind.to_string(), what(added)];
        document.table("Entries", &["no.", "kind", "what"], self.added.iter().map(row).collect());
        document
    }
}
