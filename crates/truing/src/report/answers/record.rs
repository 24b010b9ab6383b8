//! What stands in a record, for a person.

use crate::problem::{Problem, any_error};
use crate::record::{Chain, Difference, Entry, EventKind, Fields, Hash, day_of};
use crate::report::document::Document;
use crate::report::words::counted;
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
            let day = day_of(entry.event.time).to_string();
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
        document.sentence(format!(
            "{}; note this on paper: {}.",
            counted(self.entries as u64, "entry"),
            self.head
        ));
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
        if let Some(number) = self.corrects_nothing() {
            document.sentence(format!(
                "Entry {number} still counts as it stood: nothing says what is right in it. Add another correction that names a field of that \
                 entry, such as to or odometer, with the right value."
            ));
        }
        document
    }

    /// The number of the entry that a correction names without a field that would change it.
    fn corrects_nothing(&self) -> Option<&str> {
        let number = self.fields.get("corrects").filter(|_| self.kind == EventKind::Correction.word())?;
        let beside = ["corrects", "text", "by", "reason"];
        self.fields.keys().all(|name| beside.contains(&name.as_str())).then_some(number)
    }
}

/// How a check of the record ended.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RecordFinding {
    /// Every entry is as it was sealed.
    Whole,
    /// It was read, and something is wrong in it.
    NotInOrder,
    /// It could not be read, so that nothing is known of it.
    CannotBeRead,
}

/// What came of computing an entry again.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RecomputedFinding {
    /// It comes to the same.
    Same,
    /// It comes to something else.
    Another,
    /// What it rests on is not at hand, so that it could not be computed.
    NotAtHand,
}

/// An entry that the program computed, computed again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Recomputed {
    /// Its number.
    pub entry: u64,
    /// The word of its kind.
    pub kind: &'static str,
    /// The version that computed it.
    pub version: String,
    /// Whether that is the version that computed it again.
    pub is_same_version: bool,
    /// What came of it.
    pub finding: RecomputedFinding,
    /// The same in words.
    pub says: String,
}

impl Recomputed {
    /// What is wrong with it, where something is. Another version may come to something else, and both may be sound.
    pub fn problem(&self) -> Option<Problem> {
        let expected = format!("entry {}, {}, as it was computed by {}", self.entry, self.kind, self.version);
        let problem = match (self.finding, self.is_same_version) {
            (RecomputedFinding::Another, true) => Problem::error("record", expected, &self.says)
                .hint("The entry does not come of its inputs. Ask who added it."),
            (RecomputedFinding::Another, false) => Problem::warning("record", expected, &self.says)
                .hint("Another version computed it. Compute it with that one to know more."),
            (RecomputedFinding::NotAtHand, _) => Problem::note("record", expected, &self.says).hint(
                "Put the files that it rests on beside the vehicle file; their hashes stand in the record.",
            ),
            (RecomputedFinding::Same, _) => return None,
        };
        Some(problem)
    }
}

/// What a check of the record found.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CheckReport {
    /// Whether it is whole.
    pub ok: bool,
    /// How the check ended.
    pub finding: RecordFinding,
    /// How many entries.
    pub entries: u64,
    /// Hash of the last.
    pub head: String,
    /// What is wrong, or worth knowing.
    pub problems: Vec<Problem>,
    /// The computed entries, computed again, where that was asked for.
    pub recomputed: Option<Vec<Recomputed>>,
}

impl CheckReport {
    /// The same with the computed entries computed again.
    pub fn with_recomputed(mut self, recomputed: Vec<Recomputed>) -> Self {
        self.problems.extend(recomputed.iter().filter_map(Recomputed::problem));
        if self.ok && any_error(&self.problems) {
            (self.ok, self.finding) = (false, RecordFinding::NotInOrder);
        }
        self.recomputed = Some(recomputed);
        self
    }

    /// In a sentence what came of computing again.
    pub fn recomputed_says(&self) -> Option<String> {
        let all = self.recomputed.as_ref()?;
        let of = |finding| all.iter().filter(|one| one.finding == finding).count();
        Some(format!(
            "Computed by the program: {}. Computed again, {} came to the same, {} to something else, and {} could not be computed for want of their files.",
            counted(all.len() as u64, "entry"),
            of(RecomputedFinding::Same),
            of(RecomputedFinding::Another),
            of(RecomputedFinding::NotAtHand)
        ))
    }

    /// Of a record that was not begun yet.
    pub fn of_none() -> Self {
        let none = Problem::note("the record", "an entry", "none yet");
        let head = Hash::NONE.to_string();
        Self {
            ok: true,
            finding: RecordFinding::Whole,
            entries: 0,
            head,
            problems: vec![none],
            recomputed: None,
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Check of the record");
        document.sentence(match self.finding {
            RecordFinding::Whole => "The record is whole: every entry is as it was sealed, and every count only falls or rises as it must.",
            RecordFinding::NotInOrder => "The record is NOT in order; what is wrong is listed.",
            RecordFinding::CannotBeRead => "The record CANNOT BE READ, so nothing is known of whether it is in order.",
        });
        if self.finding == RecordFinding::CannotBeRead {
            return document;
        }
        document.sentence(format!("{}, the last with the hash", counted(self.entries, "entry")));
        document.sentence(self.head.clone());
        self.recomputed_says().into_iter().for_each(|says| {
            document.sentence(says);
        });
        if self.ok {
            document.sentence(
                "Write both on paper. A check against them shows also whether the last entries were cut off or all written again.",
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
            0 if self.in_file == 1 => "The one entry of the file is here already.".into(),
            0 => format!("All {} entries of the file are here already.", self.in_file),
            1 if self.in_file == 1 => "The one entry of the file was added.".into(),
            added if added == self.in_file => format!("All {added} entries of the file were added."),
            added => format!(
                "{added} of {} entries of the file were added; what was not is here already.",
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
        document.sentence(
            "Vehicle files, drives and the key of signed papers are not in it; keep a copy of these as well. To go back to the backup, put it \
             as record.sqlite into an empty folder and name that folder as the garage.",
        );
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
            1 => "1 entry was added.".to_string(),
            count => format!("{count} entries were added."),
        });
        let what = |added: &AddedReport| added.fields.get("what").cloned().unwrap_or_default();
        let row = |added: &AddedReport| vec![added.sequence.to_string(), added.kind.to_string(), what(added)];
        document.table("Entries", &["no.", "kind", "what"], self.added.iter().map(row).collect());
        document
    }
}

/// Differences between the record and a vehicle file that were repaired.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RepairedReport {
    /// What differed, in words.
    pub differed: Vec<String>,
    /// The entries added; none where the file followed the record.
    pub added: Vec<AddedReport>,
}

impl RepairedReport {
    /// Of what differed, and the entries that were added.
    pub fn new(found: &[Difference], added: &[Entry]) -> Self {
        let differed = found.iter().map(|difference| {
            let problem = difference.problem();
            format!("{}; the file said {}", problem.expected, problem.found)
        });
        Self { differed: differed.collect(), added: added.iter().map(AddedReport::new).collect() }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("Record and vehicle file");
        if self.differed.is_empty() {
            document.sentence("They agree; nothing was changed.");
            return document;
        }
        self.differed.iter().for_each(|differed| {
            document.sentence(format!("Differed: {differed}."));
        });
        document.sentence(match &self.added[..] {
            [] => "The vehicle file follows the record now.".to_string(),
            added => {
                let numbers: Vec<String> = added.iter().map(|entry| entry.sequence.to_string()).collect();
                format!("The record says now that the file is right: entry {}.", numbers.join(", "))
            }
        });
        document
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_correction_that_corrects_nothing_says_so() {
        let check = |kind: EventKind, named: &[&str], expected: Option<&str>| {
            let fields = named.iter().map(|name| (name.to_string(), "4".to_string())).collect();
            let report = AddedReport { sequence: 5, hash: String::new(), kind: kind.word(), fields };
            assert_eq!(report.corrects_nothing(), expected, "{named:?}");
        };
        check(EventKind::Correction, &["corrects", "text"], Some("4"));
        check(EventKind::Correction, &["corrects"], Some("4"));
        check(EventKind::Correction, &["corrects", "to"], None);
        check(EventKind::Note, &["corrects", "text"], None);
    }
}
