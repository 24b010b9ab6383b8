//! The state of a vehicle, always derived from its entries and never kept.

use super::chain::Entry;
use super::computed::is_owners_word;
use super::correction::{Corrections, Fields};
use super::counter::Counter;
use super::event::EventKind;
use super::mileage::{KnownRatio, Mileage, TrueDistance};
use super::odometer::{self, Reading};
use super::stored::is_unmade;
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};
use std::collections::BTreeMap;

/// Whether the present setting was proved on the road.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Proved {
    /// Nothing was proved since the last change.
    No,
    /// The last proof since the last change.
    Yes {
        /// Its entry.
        entry: u64,
        /// Against which rule.
        rule: String,
        /// With which verdict.
        verdict: String,
        /// Whether the owner typed it, and the program computed nothing.
        owners_word: bool,
    },
}

/// Something that is due again after a true distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// What.
    pub what: String,
    /// The entry in which it was done last.
    pub entry: u64,
    /// After how far it is due again, where that was said.
    pub every: Option<Length>,
    /// How far the vehicle went since; `None` where there is no reading to tell from.
    pub since: Option<TrueDistance>,
}

impl Due {
    /// True distance left until it is due, negative when it is past; `None` where it cannot be known.
    pub fn left(&self) -> Option<Measured<Length>> {
        let gone = self.since.as_ref()?.distance?;
        Some(Measured::symmetric(self.every? - gone.value, gone.standard_uncertainty, gone.dof))
    }
}

/// What the entries of a vehicle come to.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleState {
    /// The last entry that counts here.
    pub last_entry: u64,
    /// What is stored now, and the entry that says so.
    pub setting: Option<(String, u64)>,
    /// Writes left, where they are known.
    pub writes_left: Option<u64>,
    /// Writes made.
    pub writes_made: usize,
    /// Whether the present setting was proved.
    pub proved: Proved,
    /// The reading ratio now, where it is known.
    pub ratio: Option<Measured<Ratio>>,
    /// Whether the estimate it rests on is the owner's word.
    pub ratio_is_owners_word: bool,
    /// Last reading of the odometer.
    pub odometer: Option<Reading>,
    /// Faults not repaired: entry, what they touch, what they are.
    pub open_faults: Vec<(u64, String, String)>,
    /// What is fitted, by part.
    pub fitted: BTreeMap<String, String>,
    /// What is due again, by what it is.
    pub due: Vec<Due>,
}

impl VehicleState {
    /// From the entries of one vehicle in order: all of them, or those that matter (as for
    /// [`super::objections`], with the readings around each).
    pub fn from_entries(entries: &[Entry]) -> Self {
        let corrections = Corrections::among(entries.iter());
        let mileage = Mileage::from_entries(entries);
        let mut counter = Counter::default();
        let mut state = Self::empty(entries, &mileage);
        let mut services: BTreeMap<String, (u64, Fields)> = BTreeMap::new();
        for entry in entries {
            counter.feed(entry, &corrections);
            let fields = corrections.over(entry);
            if entry.event.kind == EventKind::Service {
                services.insert(text(&fields, "what"), (entry.sequence, fields));
            } else {
                state.take(entry, &fields);
            }
        }
        state.last_entry = entries.last().map_or(0, |entry| entry.sequence);
        state.writes_left = entries.first().and_then(|entry| counter.left(&entry.event.vehicle));
        state.due =
            services.into_iter().map(|(what, (entry, fields))| due(what, entry, &fields, &mileage)).collect();
        state
    }

    fn empty(entries: &[Entry], mileage: &Mileage) -> Self {
        let ratio = mileage.stretches.last().and_then(|stretch| stretch.ratio);
        let is_word = |known: KnownRatio| {
            let made = entries.iter().find(|entry| entry.sequence == known.estimate);
            made.is_some_and(|entry| is_owners_word(entry.event.kind, &entry.event.fields))
        };
        Self {
            last_entry: 0,
            setting: None,
            writes_left: None,
            writes_made: 0,
            proved: Proved::No,
            ratio: ratio.map(|known: KnownRatio| known.ratio),
            ratio_is_owners_word: ratio.is_some_and(is_word),
            odometer: mileage.readings.last().copied(),
            open_faults: Vec::new(),
            fitted: BTreeMap::new(),
            due: Vec::new(),
        }
    }

    fn take(&mut self, entry: &Entry, fields: &Fields) {
        let sequence = entry.sequence;
        match entry.event.kind {
            EventKind::Vehicle => {
                if let Some(present) = fields.get("present") {
                    self.setting = Some((present.clone(), sequence));
                }
            }
            EventKind::Write if is_unmade(fields) => {}
            EventKind::Write => {
                self.writes_made += 1;
                self.setting = Some((text(fields, "to"), sequence));
                self.proved = Proved::No;
            }
            EventKind::Equipment => self.fit(sequence, fields),
            EventKind::Proof => {
                let (rule, verdict) = (text(fields, "rule"), text(fields, "verdict"));
                let owners_word = is_owners_word(EventKind::Proof, fields);
                self.proved = Proved::Yes { entry: sequence, rule, verdict, owners_word };
            }
            EventKind::FaultOpened => {
                self.open_faults.push((sequence, text(fields, "touches"), text(fields, "note")));
            }
            EventKind::FaultMended => {
                let opened: Option<u64> = text(fields, "opened").parse().ok();
                self.open_faults.retain(|(number, ..)| Some(*number) != opened);
            }
            _ => {}
        }
    }

    fn fit(&mut self, sequence: u64, fields: &Fields) {
        let part = text(fields, "part");
        self.proved = Proved::No;
        if part == "module" {
            self.setting = fields.get("present").map(|present| (present.clone(), sequence));
        }
        self.fitted.insert(part, text(fields, "to"));
    }
}

fn due(what: String, entry: u64, fields: &Fields, mileage: &Mileage) -> Due {
    let every = odometer::read(fields, "every").ok().flatten().map(|typed| typed.value);
    let ends = mileage.place_of_entry(entry).zip(mileage.ends());
    let since = ends.and_then(|(done, (_, now))| mileage.distance(done, now).ok());
    Due { what, entry, every, since }
}

fn text(fields: &Fields, name: &str) -> String {
    fields.get(name).cloned().unwrap_or_default()
}
