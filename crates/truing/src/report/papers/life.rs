//! The history of a truck as a paper: what was done when, how far it truly went, and the hash that holds it.

use crate::record::{Corrections, Entry, EventKind, Mileage, day_of, is_owners_word};
use crate::report::answers::mileage::DistanceReport;
use crate::report::answers::record_head::in_groups;
use crate::report::charts::timeline::{Event, timeline};
use crate::report::document::{Block, Document, Moment};
use crate::report::papers::history::HistoryReport;
use crate::report::words::{capital, owners_word_mark};
use crate::units::Units;
use serde::Serialize;

/// A history on paper.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LifeReport {
    /// State, entries and fuel.
    pub history: HistoryReport,
    /// The entries, each in a line.
    pub timeline: Vec<Event>,
    /// True distance between the first and the last reading.
    pub distance: DistanceReport,
    /// Every write: entry, day, from, to, odometer, writes left.
    pub writes: Vec<[String; 6]>,
    /// Every proof: entry, day, rule, verdict.
    pub proofs: Vec<[String; 4]>,
    /// Entries in the whole record, of which this truck's are a part.
    pub record_entries: u64,
    /// Hash of the last entry of the whole record.
    pub head: String,
    /// Whether a check found the whole record in order.
    pub in_order: bool,
    /// The day of this truck's last entry.
    pub last_day: Option<String>,
}

impl LifeReport {
    /// Of the entries of one vehicle, and of what a check found of the whole record: its length, its head, and whether it
    /// is in order.
    pub fn new(
        vehicle: &str,
        entries: &[Entry],
        (record_entries, head, in_order): (u64, &str, bool),
        units: Units,
    ) -> Self {
        let mileage = Mileage::from_entries(entries);
        let found = mileage.ends().and_then(|(from, to)| mileage.distance(from, to).ok());
        let corrections = Corrections::among(entries.iter());
        let of = |kind: EventKind| entries.iter().filter(move |entry| entry.event.kind == kind);
        let field = |entry: &Entry, name: &str| {
            corrections.over(entry).get(name).cloned().unwrap_or_else(|| "not noted".into())
        };
        let begin = |entry: &Entry| [entry.sequence.to_string(), day(entry)];
        Self {
            history: HistoryReport::new(vehicle, entries, units),
            timeline: timeline(entries),
            distance: DistanceReport::new(vehicle, found.as_ref(), &mileage, units),
            writes: of(EventKind::Write)
                .map(|entry| {
                    let [number, day] = begin(entry);
                    let [from, to, odometer, left] =
                        ["from", "to", "odometer", "writes_left_after"].map(|name| field(entry, name));
                    [number, day, from, to, odometer, left]
                })
                .collect(),
            proofs: of(EventKind::Proof)
                .map(|entry| {
                    let [number, day] = begin(entry);
                    let mark = owners_word_mark(is_owners_word(entry.event.kind, &entry.event.fields));
                    [number, day, field(entry, "rule"), field(entry, "verdict") + mark]
                })
                .collect(),
            record_entries,
            head: head.into(),
            in_order,
            last_day: entries.last().map(day),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let state = &self.history.state;
        let mut document = Document::new(state.vehicle.clone());
        if !self.in_order {
            document.caution("The record is NOT in order: a check found entries changed, missing or damaged. What this paper says may not be what happened.");
        }
        if !self.timeline.is_empty() {
            document.sentence(state.line.clone());
        }
        for (entry, touches, note) in &state.open_faults {
            document.caution(format!("Open fault, entry {entry}: {touches}. {note}"));
        }
        if self.timeline.is_empty() {
            document.sentence("The record holds no entry of this truck yet: no reading of the odometer, no write, no proof.");
            document.push(Block::Lines(FIRST.map(String::from).to_vec()));
            document.heading(HOW_TO_CHECK);
            return self.how_to_check(document);
        }
        document.heading("True distance");
        self.distance.document().blocks.into_iter().for_each(|block| {
            document.push(block);
        });
        state.due.iter().for_each(|due| {
            document.sentence(due.says.clone());
        });
        document.heading("Writes and proofs");
        if self.writes.is_empty() && self.proofs.is_empty() {
            document.sentence("No write and no proof is recorded.");
        }
        let writes = self.writes.iter().map(|row| row.to_vec()).collect();
        push(&mut document, "Writes", &["no.", "day", "from", "to", "odometer", "writes left"], writes);
        let proofs = self.proofs.iter().map(|row| row.to_vec()).collect();
        push(&mut document, "Proofs", &["no.", "day", "rule", "verdict"], proofs);
        document.heading("What happened when");
        document.push(Block::Timeline(self.timeline.iter().map(moment).collect()));
        self.history.push_fuel(&mut document);
        document.heading(HOW_TO_CHECK);
        self.how_to_check(document)
    }

    fn how_to_check(&self, mut document: Document) -> Document {
        if self.record_entries == 0 {
            document.sentence(
                "There is no record yet, so nothing holds this paper. It begins with the first entry.",
            );
            return document;
        }
        document.sentence(format!(
            "The whole record held {} entries when this was printed; the last has the hash {}.",
            self.record_entries,
            in_groups(&self.head)
        ));
        document.sentence("Ask the record, with these two: on the page Record under \"Check against what stands on paper\". It tells whether an entry was changed, cut off or written again.");
        document
    }
}

/// How it is checked, on either paper.
const HOW_TO_CHECK: &str = "How to check this paper";
/// What a record begins with, to be written by hand until there is one.
const FIRST: [&str; 6] = ["Date", "Odometer", "What is set", "Writes left", "Tires", "Who"];

/// A table where it has a row: one without says nothing.
fn push(document: &mut Document, caption: &str, head: &[&str], rows: Vec<Vec<String>>) {
    if !rows.is_empty() {
        document.table(caption, head, rows);
    }
}

/// An entry along the line of time.
fn moment(event: &Event) -> Moment {
    let stands_out = [EventKind::Write, EventKind::Proof].iter().any(|kind| kind.word() == event.kind);
    let kind = capital(&event.kind.replace('-', " "));
    let more = [
        event.odometer.as_ref().map(|reading| format!("odometer {reading}")),
        event.who.as_ref().map(|who| format!("by {who}")),
        event.corrected_by.map(|number| format!("corrected by no. {number}")),
    ];
    let says: Vec<String> = [Some(event.says.clone())].into_iter().chain(more).flatten().collect();
    Moment {
        day: event.day.clone(),
        what: format!("{kind} (no. {})", event.number),
        says: says.join("; "),
        stands_out,
    }
}

fn day(entry: &Entry) -> String {
    day_of(entry.event.time).to_string()
}
