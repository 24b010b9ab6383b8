//! Entries in a chain, and what a check of it finds.

use super::canonical::{Hash, hash_of};
use super::checker::{Checker, unknown_reference};
use super::correction::Corrections;
use super::counter::Counter;
use super::event::Draft;
use super::odometer::Odometer;
use super::stored::from_problem;
use super::times::time_problem;
use crate::problem::{Problem, Problems, any_error};
use jiff::Timestamp;

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
    /// What the clock shows now, where entries dated later are to be told.
    pub now: Option<Timestamp>,
}

/// A chain of entries.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chain {
    entries: Vec<Entry>,
}

impl Chain {
    /// A chain of entries as they were found; nothing is checked yet.
    pub fn from_entries(entries: Vec<Entry>) -> Self {
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

    /// Adds an event. Refused, and nothing added, where [`objections`] has any.
    pub fn append(&mut self, event: Draft) -> Result<&Entry, Problems> {
        let sequence = self.entries.len() as u64 + 1;
        let before = self.entries.last().map(|entry| entry.event.time);
        let mut problems = objections(&self.entries, sequence, &event);
        problems.extend(time_problem(sequence, &event, before, None));
        if any_error(&problems) {
            return Err(problems.into());
        }
        self.entries.push(seal(sequence, self.head(), event));
        Ok(&self.entries[self.entries.len() - 1])
    }

    /// Everything wrong with the chain, in order of the entries. An entry that is well by itself is not
    /// blamed for its neighbour. A chain that has grown since what is expected was written down is not wrong:
    /// a note says so.
    pub fn check(&self, expected: &Expected) -> Vec<Problem> {
        let mut checker = Checker::new(*expected, Corrections::among(self.entries.iter()));
        self.entries.iter().for_each(|entry| checker.feed(entry));
        checker.finish()
    }
}

/// What is said where two records went different ways from an entry on.
pub fn parted(sequence: u64) -> Problem {
    let found = format!("two records that part at entry {sequence}");
    let problem = Problem::error("record", "a record that goes on from the other", found);
    at(sequence, problem).hint(
        "Both were added to on their own, so neither is the continuation of the other. Keep one, and add what only \
         the other holds by hand.",
    )
}

/// What speaks against an event behind some entries: what it lacks, and what would be wrong with it that is not wrong
/// without it. The entries may be all, or those of the event's vehicle that matter: every one but plain readings,
/// evidence, notes and fuel; the one the event names; and the readings next to each of these, the last of all among them. None are looked at
/// where the event [stands alone](Draft::stands_alone).
pub fn objections(earlier: &[Entry], sequence: u64, event: &Draft) -> Vec<Problem> {
    let mut problems = event.problems();
    if event.stands_alone() {
        return problems;
    }
    if let Some(named) = event.named() {
        let is_named = |entry: &&Entry| Some(entry.sequence) == named && entry.sequence < sequence;
        let found = earlier.iter().find(is_named);
        if found.is_none_or(|entry| entry.event.vehicle != event.vehicle) {
            problems.push(at(sequence, unknown_reference(event)));
        }
    }
    let own_entries = || earlier.iter().filter(|entry| entry.event.vehicle == event.vehicle).cloned();
    if event.kind == super::EventKind::Write {
        problems.extend(from_problem(&own_entries().collect::<Vec<_>>(), sequence, event));
    }
    let entry = seal(sequence, Hash::NONE, event.clone());
    let own = |entry: &&Entry| entry.event.vehicle == event.vehicle;
    let before = run(earlier.iter().filter(own));
    let after = run(earlier.iter().filter(own).chain([&entry]));
    problems.extend(after.into_iter().filter(|problem| !before.contains(problem)));
    problems
}

/// What is wrong with the counts of one vehicle: writes left and odometer.
fn run<'a>(entries: impl Iterator<Item = &'a Entry> + Clone) -> Vec<Problem> {
    let corrections = Corrections::among(entries.clone());
    let (mut counter, mut odometer) = (Counter::default(), Odometer::default());
    let mut problems = Vec::new();
    for entry in entries {
        problems.extend(counter.feed(entry, &corrections));
        let (_, more) = odometer.feed(entry, &corrections.over(entry));
        problems.extend(more.into_iter().map(|problem| at(entry.sequence, problem)));
    }
    problems
}

/// Names the entry a problem is about.
pub(super) fn at(sequence: u64, problem: Problem) -> Problem {
    let part = problem.part.map_or(String::new(), |part| format!(", {part}"));
    Problem { part: Some(format!("entry {sequence}{part}").into()), ..problem }
}
