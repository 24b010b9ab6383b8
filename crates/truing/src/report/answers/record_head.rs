//! How far a record went when a paper was made, and what came of holding a paper against an export of it.

use crate::problem::{Problem, Problems, any_error};
use crate::record::{Chain, Entry, Expected, Hash, OwnerKey, SheetCode};
use crate::report::document::Document;
use schemars::JsonSchema;
use serde::Serialize;

/// Digits of a hash or a key that a foot holds. 64 bits: nobody makes another record whose head begins so by trying.
const FOOT_DIGITS: usize = 16;

/// How far a record went when a paper was made, so that the paper can be held against it later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RecordHead {
    /// How many entries it held.
    pub entries: u64,
    /// The hash of the last.
    pub head: String,
    /// The owner's signature under both; null where the owner made no key.
    pub signed: Option<Signed>,
}

/// A signature of the owner's.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Signed {
    /// The public part of the key (Ed25519), 64 hexadecimal digits.
    pub key: String,
    /// What `record verify` takes: rows of six groups of four, as they are printed.
    pub sheet_code: Vec<String>,
}

impl RecordHead {
    /// Of the last entry of a record, signed where there is a key.
    pub fn new(entries: u64, head: &Hash, key: Option<&OwnerKey>) -> Self {
        let signed = key.and_then(|key| {
            let code = key.sign(entries, head)?;
            Some(Signed { key: key.public(), sheet_code: code.rows() })
        });
        Self { entries, head: head.to_string(), signed }
    }

    /// In a line for a foot, with the beginning of the hash; there is no room for more.
    pub fn short(&self) -> String {
        format!("record of {}, head {}", entries(self.entries), in_groups(&begins(&self.head)))
    }

    /// With the whole hash, and the beginning of the key.
    pub fn whole(&self) -> String {
        let key = self.signed.as_ref().map(|signed| format!(", key {}", in_groups(&begins(&signed.key))));
        let key = key.unwrap_or_default();
        format!("record of {}, head {}{key}", entries(self.entries), in_groups(&self.head))
    }

    /// Puts it at the end of a paper for a buyer.
    pub fn put_on(&self, document: &mut Document) {
        document.heading("How far the record went");
        let (count, head) = (entries(self.entries), in_groups(&self.head));
        document.sentence(format!("{count}, the last with the hash {head}."));
        let Some(signed) = &self.signed else {
            document.sentence("Not signed: the owner of this record made no key. Whoever writes a whole record again can print a sheet that fits it.");
            return;
        };
        document.sentence(format!("Signed with the key {}.", in_groups(&signed.key)));
        document.sentence(PROMISE);
        let rows = signed.sheet_code.iter().enumerate();
        let rows = rows.map(|(row, code)| vec![(row + 1).to_string(), code.clone()]).collect();
        document.table("Sheet code, the whole of it in this order", &["row", "letters and digits"], rows);
        document.sentence("To check: ask for the export of the record, and give it with the code to the page of the whole record.");
    }
}

/// What a signed sheet and its export show together, and what not.
const PROMISE: &str = "Held against an export of the record, the sheet code shows that nothing up to this entry was changed after \
    this sheet was printed by the holder of this key. It does not show that the entries are true, nor who holds the key.";

fn entries(count: u64) -> String {
    if count == 1 { "1 entry".into() } else { format!("{count} entries") }
}

fn begins(digits: &str) -> String {
    digits.chars().take(FOOT_DIGITS).collect()
}

/// Digits in groups of four, as they are copied by hand.
pub(crate) fn in_groups(digits: &str) -> String {
    let digits: Vec<char> = digits.chars().collect();
    let groups: Vec<String> = digits.chunks(4).map(|group| group.iter().collect()).collect();
    groups.join(" ")
}

/// The owner's key: its public part, where one was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KeyReport {
    /// The public part (Ed25519), 64 hexadecimal digits; null where the owner made none.
    pub key: Option<String>,
}

impl KeyReport {
    /// Of a key, where there is one.
    pub fn new(key: Option<&OwnerKey>) -> Self {
        Self { key: key.map(OwnerKey::public) }
    }

    /// The same in sentences.
    pub fn says(&self) -> Vec<String> {
        let Some(key) = &self.key else {
            return vec![
                "There is no key, so papers are not signed. A key is made when you ask for it.".into(),
            ];
        };
        vec![
            format!("The public part of the key: {}", in_groups(key)),
            "Papers carry it, and the history carries a sheet code signed with it. Tell it to a buyer by another way too, \
             for instance by telephone: then nobody can put another key in its place."
                .into(),
            "The key itself is a file beside the record. Keep a copy of it where only you reach it: who has it can sign in \
             your place, and without it no sheet of this key can be made again."
                .into(),
        ]
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("The key of the record");
        self.says().into_iter().for_each(|says| {
            document.sentence(says);
        });
        document
    }
}

/// What came of holding an export against a sheet.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct VerifyReport {
    /// Whether the export is in order and holds what the sheet says.
    pub ok: bool,
    /// How many entries the record had when the sheet was printed.
    pub entries_on_sheet: u64,
    /// How many the export has.
    pub entries_in_file: u64,
    /// The public part of the key on the sheet.
    pub key: String,
    /// What is wrong, or worth knowing.
    pub problems: Vec<Problem>,
}

/// Holds an export against a sheet.
pub struct Verifier {
    code: SheetCode,
    entries: Vec<Entry>,
}

impl Verifier {
    /// For what was typed from the sheet.
    pub fn new(sheet_code: &str) -> Result<Self, Problems> {
        Ok(Self { code: SheetCode::read(sheet_code)?, entries: Vec::new() })
    }

    /// Takes the next entry.
    pub fn feed(&mut self, entry: Entry) {
        self.entries.push(entry);
    }

    /// What came of it; `problems` are those of reading the file.
    pub fn finish(self, mut problems: Vec<Problem>) -> VerifyReport {
        let entries_on_sheet = u64::from(self.code.entries);
        let place = usize::try_from(entries_on_sheet).ok().and_then(|count| count.checked_sub(1));
        let head = place.and_then(|place| self.entries.get(place)).map(|entry| entry.hash);
        let chain = Chain::from_entries(self.entries);
        let entries_in_file = chain.entries().len() as u64;
        problems.extend(chain.check(&Expected { entries: Some(entries_on_sheet), ..Expected::default() }));
        problems.extend(head.and_then(|head| self.code.objection(&head)));
        VerifyReport {
            // A file too short to reach the entry has its error from the check.
            ok: head.is_some() && !any_error(&problems),
            entries_on_sheet,
            entries_in_file,
            key: self.code.key(),
            problems,
        }
    }
}

impl VerifyReport {
    /// The same in sentences.
    pub fn says(&self) -> Vec<String> {
        let key = in_groups(&self.key);
        if !self.ok {
            return vec![
                "The export does NOT hold what the sheet says; what is wrong is listed.".into(),
                format!("The sheet speaks of {} and the key {key}.", entries(self.entries_on_sheet)),
            ];
        }
        vec![
            format!(
                "The export is in order, and nothing in its first {} was changed after the sheet was printed by the \
                 holder of the key {key}.",
                entries(self.entries_on_sheet)
            ),
            "This does not show that the entries are true, nor who holds the key. Compare the key with the one that the \
             owner told you."
                .into(),
        ]
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("An export held against a sheet");
        self.says().into_iter().for_each(|says| {
            document.sentence(says);
        });
        document
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Draft, EventKind, seal};
    use std::collections::BTreeMap;

    fn chained(count: u64, word: &str) -> Vec<Entry> {
        let mut all: Vec<Entry> = Vec::new();
        for number in 1..=count {
            let fields = BTreeMap::from([("text".to_string(), format!("{word} {number}"))]);
            let time = "2026-05-02T10:00:00Z".parse().unwrap();
            let event = Draft { time, vehicle: "One".into(), kind: EventKind::Note, fields };
            all.push(seal(number, all.last().map_or(Hash::NONE, |last| last.hash), event));
        }
        all
    }

    fn sheet(entries: &[Entry], seed: u8) -> String {
        let key = OwnerKey::of_seed(&[seed; 32]);
        let head = RecordHead::new(entries.len() as u64, &entries.last().unwrap().hash, Some(&key));
        head.signed.unwrap().sheet_code.join("\n")
    }

    fn verified(sheet: &str, entries: &[Entry]) -> VerifyReport {
        let mut verifier = Verifier::new(sheet).unwrap();
        entries.iter().for_each(|entry| verifier.feed(entry.clone()));
        verifier.finish(Vec::new())
    }

    #[test]
    fn a_signature_is_the_one_of_the_standard() {
        // RFC 8032, 7.1, test 1: the public key of this seed, and its signature of no bytes.
        let seed = Hash::read("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60").unwrap();
        let public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
        assert_eq!(OwnerKey::of_seed(seed.bytes()).public(), public);
    }

    #[test]
    fn a_sheet_holds_for_its_record_and_for_what_was_added_later() {
        let all = chained(5, "quiet road");
        let report = verified(&sheet(&all[..3], 7), &all[..3]);
        assert!(report.ok && report.problems.is_empty(), "{report:?}");
        assert_eq!(report.key, OwnerKey::of_seed(&[7; 32]).public());
        let grown = verified(&sheet(&all[..3], 7), &all);
        assert!(grown.ok, "{grown:?}");
        assert_eq!((grown.entries_on_sheet, grown.entries_in_file), (3, 5));
    }

    #[test]
    fn whatever_was_changed_shows() {
        let (all, other) = (chained(5, "quiet road"), chained(5, "loud road"));
        let sheet = sheet(&all, 7);
        let refused = |entries: &[Entry], piece: &str| {
            let report = verified(&sheet, entries);
            let said = report.problems.iter().any(|problem| problem.to_string().contains(piece));
            assert!(!report.ok && said, "{piece}: {report:?}");
        };
        refused(&other, "begin with");
        refused(&all[..4], "5 entries or more");
        refused(&[], "5 entries or more");
        let mut changed = all.clone();
        changed[1].event.fields.insert("text".into(), "another road".into());
        refused(&changed, "the hash that belongs to the entry");
    }

    #[test]
    fn another_key_or_count_under_the_same_head_is_no_signature() {
        let all = chained(3, "quiet road");
        let head = all[2].hash;
        let code = OwnerKey::of_seed(&[7; 32]).sign(3, &head).unwrap();
        assert_eq!(code.objection(&head), None);
        let other = OwnerKey::of_seed(&[8; 32]).sign(3, &head).unwrap();
        let changed = [
            SheetCode { key: other.key, ..code.clone() },
            SheetCode { signature: other.signature, ..code.clone() },
            SheetCode { entries: 2, ..code.clone() },
            SheetCode { key: [0; 32], signature: [0; 64], ..code.clone() },
        ];
        for changed in changed {
            let problem = changed.objection(&head).unwrap();
            assert!(problem.found.contains("another signature"), "{problem}");
        }
    }

    #[test]
    fn a_foot_is_as_short_with_a_key_as_without() {
        let head = chained(2, "quiet road")[1].hash;
        let of = |key: Option<&OwnerKey>| RecordHead::new(2, &head, key);
        let key = OwnerKey::of_seed(&[7; 32]);
        assert_eq!(of(Some(&key)).short(), of(None).short());
        let whole = of(Some(&key)).whole();
        assert!(
            whole.starts_with(&of(None).whole()) && whole.contains(&in_groups(&begins(&key.public()))),
            "{whole}"
        );
        assert!(RecordHead::new(1, &head, None).short().starts_with("record of 1 entry,"));
    }

    #[test]
    fn a_paper_says_no_more_than_the_code_shows() {
        let all = chained(2, "quiet road");
        let key = OwnerKey::of_seed(&[7; 32]);
        for (key, piece) in [(Some(&key), "does not show that the entries are true"), (None, "Not signed")] {
            let mut document = Document::new("History");
            RecordHead::new(2, &all[1].hash, key).put_on(&mut document);
            let text = serde_json::to_string(&document).unwrap();
            assert!(text.contains(piece), "{text}");
            assert_eq!(text.contains("Sheet code"), key.is_some());
        }
    }
}
