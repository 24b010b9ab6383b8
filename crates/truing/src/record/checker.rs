//! The check of a chain, fed entry by entry, so that a store need not hold them all.
//!
//! What grows with the chain is one number of four bytes an entry: the vehicle it is about.

use super::canonical::{Hash, hash_of};
use super::chain::{Entry, Expected, at};
use super::correction::Corrections;
use super::counter::Counter;
use super::event::Draft;
use super::odometer::{Odometer, may_matter};
use super::times::time_warning;
use crate::problem::Problem;
use jiff::Timestamp;
use std::collections::BTreeMap;

/// A check under way.
pub struct Checker {
    expected: Expected,
    corrections: Corrections,
    sequence: u64,
    head: Hash,
    time: Option<Timestamp>,
    /// How many entries there were when the expected head was the head.
    expected_head_at: Option<u64>,
    /// The head when there were as many entries as expected.
    head_at_expected: Option<Hash>,
    count: u64,
    names: BTreeMap<String, u32>,
    vehicles: Vec<u32>,
    counter: Counter,
    odometers: BTreeMap<String, Odometer>,
    links: Vec<Problem>,
    rest: Vec<Problem>,
}

impl Checker {
    /// A check of a chain whose corrections are these, which stand later than what they correct.
    pub fn new(expected: Expected, corrections: Corrections) -> Self {
        let at_start = |is_so: bool| is_so.then_some(0);
        Self {
            expected,
            corrections,
            sequence: 0,
            head: Hash::NONE,
            time: None,
            expected_head_at: at_start(expected.head == Some(Hash::NONE)),
            head_at_expected: at_start(expected.entries == Some(0)).map(|_| Hash::NONE),
            count: 0,
            names: BTreeMap::new(),
            vehicles: Vec::new(),
            counter: Counter::default(),
            odometers: BTreeMap::new(),
            links: Vec::new(),
            rest: Vec::new(),
        }
    }

    /// Takes the next entry.
    pub fn feed(&mut self, entry: &Entry) {
        self.links.extend(link_problem(entry, self.sequence, self.head));
        self.links.extend(entry.event.problems().into_iter().map(|problem| at(entry.sequence, problem)));
        self.links.extend(self.unknown_reference(entry.sequence, &entry.event));
        self.remember(entry);
        self.rest.extend(self.counter.feed(entry, &self.corrections));
        if may_matter(entry) || self.corrections.touch(entry.sequence) {
            let fields = self.corrections.over(entry);
            let odometer = match self.odometers.get_mut(&entry.event.vehicle) {
                Some(odometer) => odometer,
                None => self.odometers.entry(entry.event.vehicle.clone()).or_default(),
            };
            let (_, problems) = odometer.feed(entry, &fields);
            self.rest.extend(problems.into_iter().map(|problem| at(entry.sequence, problem)));
        }
        self.rest.extend(time_warning(entry, self.time, self.expected.now));
        self.time = Some(entry.event.time);
        (self.head, self.sequence) = (entry.hash, entry.sequence);
        self.count += 1;
        if self.expected.head == Some(entry.hash) && self.expected_head_at.is_none() {
            self.expected_head_at = Some(self.count);
        }
        if self.expected.entries == Some(self.count) {
            self.head_at_expected = Some(entry.hash);
        }
    }

    /// Everything wrong, in order of the entries; then what does not fit what was kept elsewhere. A chain that has
    /// grown since that was written down is not wrong: a note says so.
    pub fn finish(self) -> Vec<Problem> {
        let unexpected = self.unexpected();
        let mut problems = self.links;
        problems.extend(self.rest);
        problems.extend(unexpected);
        problems
    }

    /// How many entries were fed, and the hash of the last.
    pub fn so_far(&self) -> (u64, Hash) {
        (self.count, self.head)
    }

    fn remember(&mut self, entry: &Entry) {
        let next = u32::try_from(self.names.len()).unwrap_or(u32::MAX);
        let number = match self.names.get(&entry.event.vehicle) {
            Some(number) => *number,
            None => *self.names.entry(entry.event.vehicle.clone()).or_insert(next),
        };
        self.vehicles.push(number);
    }

    /// An entry that names another must name an earlier one of the same vehicle.
    fn unknown_reference(&self, sequence: u64, event: &Draft) -> Option<Problem> {
        let named = event.named()?;
        let is_known = named.is_some_and(|number| {
            let place = number.checked_sub(1).and_then(|place| usize::try_from(place).ok());
            let vehicle = place.and_then(|place| self.vehicles.get(place));
            number < sequence && vehicle.is_some() && vehicle == self.names.get(&event.vehicle)
        });
        (!is_known).then(|| at(sequence, unknown_reference(event)))
    }

    fn unexpected(&self) -> Option<Problem> {
        let count = self.count;
        if let Some(entries) = self.expected.entries.filter(|entries| *entries > count) {
            return Some(
                Problem::error("record", format!("{entries} entries or more"), format!("{count}"))
                    .hint("The last entries were cut off. Look for an older copy of the record."),
            );
        }
        let kept_at = match (self.expected.head, self.expected.entries) {
            (None, entries) => entries?,
            (Some(head), Some(entries)) if self.head_at_expected == Some(head) => entries,
            (Some(_), None) if self.expected_head_at.is_some() => self.expected_head_at?,
            (Some(head), _) => return Some(self.other_head(head)),
        };
        let grown = count - kept_at;
        (grown > 0).then(|| {
            let found = format!("{grown} more since then");
            Problem::note("record", format!("{kept_at} entries, as written down"), found)
                .hint("Write down the new head and count.")
        })
    }

    fn other_head(&self, head: Hash) -> Problem {
        let entries = self.expected.entries;
        let place = entries.map_or("among the entries".to_string(), |entries| format!("at entry {entries}"));
        let found = self.head_at_expected.unwrap_or(self.head);
        Problem::error("record", format!("the hash {head} {place}"), format!("{found}")).hint(
            "Entries were cut off or written again since the hash was written down. Look for an older copy.",
        )
    }
}

/// What is said of an entry that names no earlier one of its vehicle.
pub(super) fn unknown_reference(event: &Draft) -> Problem {
    let name = event.kind.naming_field().unwrap_or_default();
    let value = event.fields.get(name).map_or("", String::as_str);
    let expected = "the number of an earlier entry of the same vehicle";
    Problem::error("record", expected, format!("`{value}`"))
        .in_part(name)
        .hint("Look the number up in the record and give it again.")
}

/// What is wrong with an entry in itself and behind the one with this number and hash (0 and [`Hash::NONE`] before the
/// first). Alone it is no check: counts and what entries name are for the [`Checker`].
pub fn link_problem(entry: &Entry, sequence_before: u64, hash_before: Hash) -> Option<Problem> {
    let number = entry.sequence;
    let error = |expected: String, found: String, hint: &str| {
        Some(at(number, Problem::error("record", expected, found).hint(hint)))
    };
    if sequence_before.checked_add(1) != Some(number) {
        let found = format!("entry {number} after entry {sequence_before}");
        let hint = "An entry was removed, doubled or moved. Look for an older copy.";
        return error("entries numbered without a gap, from 1".to_string(), found, hint);
    }
    if hash_of(number, &entry.previous, &entry.event) != entry.hash {
        let hint = "The entry was changed after it was sealed. Look for an older copy.";
        return error("the hash that belongs to the entry".to_string(), entry.hash.to_string(), hint);
    }
    if entry.previous != hash_before {
        let expected = format!("the hash of the entry before, {hash_before}");
        return error(
            expected,
            entry.previous.to_string(),
            "The entry before was replaced. Look for an older copy.",
        );
    }
    None
}
