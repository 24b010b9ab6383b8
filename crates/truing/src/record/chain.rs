//! Entries in a chain, and what a check of it finds.

use super::canonical::{Hash, hash_of};
use super::counter;
use super::event::{Draft, EventKind};
use crate::problem::{Problem, any_error};
use std::collections::BTreeMap;

/// One sealed entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number, counted from 1.
    pub sequence: u64,
    /// What is recorded.
    pub event: Draft,
    /// The hash of the entry before; [`Hash::NONE`] for the first.
    pub previous: Hash,
    /// The hash of this one.
    pub hash: Hash,
}

/// Seals an event behind the entry with the hash `previous`. For stores that do not hold a whole chain in
/// memory; nothing but the draft itself is looked at.
pub fn seal(sequence: u64, previous: Hash, event: Draft) -> Entry {
    let hash = hash_of(sequence, &previous, &event);
    Entry { sequence, event, previous, hash }
}

/// What was kept elsewhere about the chain, on paper for instance.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub struct Expected {
    /// The hash of the last entry at that time.
    pub head: Option<Hash>,
    /// How many entries there were at that time.
    pub entries: Option<u64>,
}

/// A chain of entries.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chain {
    entries: Vec<Entry>,
}

impl Chain {
    /// A chain of entries as they were found; nothing is checked yet.
    pub fn of(entries: Vec<Entry>) -> Self {
        Self { entries }
    }

    /// The entries in order.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The hash of the last entry.
    pub fn head(&self) -> Hash {
        self.entries.last().map_or(Hash::NONE, |entry| entry.hash)
    }

    /// Adds an event. Refused, and nothing added, where a field is missing, where it names an entry that is
    /// not there, or where the writes left would not fall.
    pub fn append(&mut self, event: Draft) -> Result<&Entry, Vec<Problem>> {
        let sequence = self.entries.len() as u64 + 1;
        let mut problems = event.problems();
        problems.extend(self.unknown_reference(sequence, &event));
        let entry = seal(sequence, self.head(), event);
        if entry.event.kind == EventKind::Write {
            let earlier = self.entries.iter().chain([&entry]);
            problems
                .extend(counter::problems(earlier).into_iter().filter(|problem| is_about(problem, sequence)));
        }
        if any_error(&problems) {
            return Err(problems);
        }
        self.entries.push(entry);
        Ok(&self.entries[self.entries.len() - 1])
    }

    /// Everything wrong with the chain, in order of the entries. An entry that is well by itself is not
    /// blamed for its neighbour. A chain that has grown since what is expected was written down is not wrong:
    /// a note says so.
    pub fn check(&self, expected: &Expected) -> Vec<Problem> {
        let mut problems = Vec::new();
        let (mut previous, mut sequence) = (Hash::NONE, 0);
        for entry in &self.entries {
            problems.extend(link_problem(entry, sequence, previous));
            problems.extend(entry.event.problems().into_iter().map(|problem| at(entry.sequence, problem)));
            problems.extend(self.unknown_reference(entry.sequence, &entry.event));
            (previous, sequence) = (entry.hash, entry.sequence);
        }
        problems.extend(counter::problems(self.entries.iter()));
        problems.extend(self.unexpected(expected));
        problems
    }

    /// The fields of an entry with every later correction laid over them, in order.
    pub fn corrected_fields(&self, sequence: u64) -> Option<BTreeMap<String, String>> {
        let entry = self.entries.iter().find(|entry| entry.sequence == sequence)?;
        Some(counter::corrected(entry, &counter::corrections(self.entries.iter())))
    }

    /// An entry that names another must name an earlier one of the same vehicle.
    fn unknown_reference(&self, sequence: u64, event: &Draft) -> Option<Problem> {
        let name = event.kind.naming_field()?;
        let value = event.fields.get(name)?;
        let named = value.parse::<u64>().ok();
        let found = named.and_then(|number| {
            self.entries.iter().take_while(|e| e.sequence < sequence).nth(to_index(number)?)
        });
        if found.is_some_and(|entry| entry.event.vehicle == event.vehicle) {
            return None;
        }
        let expected = "the number of an earlier entry of the same vehicle";
        let problem = Problem::error("record", expected, format!("`{value}`")).in_part(name);
        Some(at(sequence, problem.hint("Look the number up in the record and give it again.")))
    }

    fn unexpected(&self, expected: &Expected) -> Option<Problem> {
        let count = self.entries.len() as u64;
        if let Some(entries) = expected.entries.filter(|entries| *entries > count) {
            return Some(
                Problem::error("record", format!("{entries} entries or more"), format!("{count}"))
                    .hint("The last entries were cut off. Look for an older copy of the record."),
            );
        }
        let kept_at = match (expected.head, expected.entries) {
            (None, entries) => entries?,
            (Some(head), Some(entries)) if self.head_at(entries) == Some(head) => entries,
            (Some(head), None) if self.position_of(head).is_some() => self.position_of(head)?,
            (Some(head), _) => return Some(self.other_head(head, expected.entries)),
        };
        let grown = count - kept_at;
        (grown > 0).then(|| {
            let found = format!("{grown} more since then");
            Problem::note("record", format!("{kept_at} entries, as written down"), found)
                .hint("Write down the new head and count.")
        })
    }

    fn other_head(&self, head: Hash, entries: Option<u64>) -> Problem {
        let place = entries.map_or("among the entries".to_string(), |entries| format!("at entry {entries}"));
        let at_place = entries.and_then(|entries| self.head_at(entries)).unwrap_or_else(|| self.head());
        Problem::error("record", format!("the hash {head} {place}"), format!("{at_place}")).hint(
            "Entries were cut off or written anew since the hash was written down. Look for an older copy.",
        )
    }

    /// The head when there were so many entries.
    fn head_at(&self, entries: u64) -> Option<Hash> {
        if entries == 0 {
            return Some(Hash::NONE);
        }
        self.entries.get(to_index(entries)?).map(|entry| entry.hash)
    }

    /// How many entries there were when this was the head.
    fn position_of(&self, head: Hash) -> Option<u64> {
        if head == Hash::NONE {
            return Some(0);
        }
        self.entries.iter().position(|entry| entry.hash == head).map(|index| index as u64 + 1)
    }
}

/// Index of an entry counted from 1.
fn to_index(sequence: u64) -> Option<usize> {
    usize::try_from(sequence.checked_sub(1)?).ok()
}

/// Names the entry a problem is about.
pub(super) fn at(sequence: u64, problem: Problem) -> Problem {
    let part = problem.part.map_or(String::new(), |part| format!(", {part}"));
    Problem { part: Some(format!("entry {sequence}{part}")), ..problem }
}

fn is_about(problem: &Problem, sequence: u64) -> bool {
    let entry = format!("entry {sequence}");
    problem.part.as_deref().is_some_and(|part| part.split(',').next() == Some(entry.as_str()))
}

fn link_problem(entry: &Entry, sequence_before: u64, hash_before: Hash) -> Option<Problem> {
    let number = entry.sequence;
    if sequence_before.checked_add(1) != Some(number) {
        let found = format!("entry {number} after entry {sequence_before}");
        let problem = Problem::error("record", "entries numbered without a gap, from 1", found);
        return Some(at(
            number,
            problem.hint("An entry was removed, doubled or moved. Look for an older copy."),
        ));
    }
    if hash_of(number, &entry.previous, &entry.event) != entry.hash {
        let problem =
            Problem::error("record", "the hash that belongs to the entry", format!("{}", entry.hash));
        return Some(at(
            number,
            problem.hint("The entry was changed after it was sealed. Look for an older copy."),
        ));
    }
    if entry.previous != hash_before {
        let expected = format!("the hash of the entry before, {hash_before}");
        let problem = Problem::error("record", expected, format!("{}", entry.previous));
        return Some(at(number, problem.hint("The entry before was replaced. Look for an older copy.")));
    }
    None
}
