//! Where the record's last write and a vehicle file differ: found when a truck is opened, and repaired either way.
//!
//! A write is added to the record first, and then the file follows. A program that ends between the two leaves a
//! difference, and so does an entry from the command line or an edit by hand.

use super::edit::Refused;
use super::folder::Garage;
use super::known::Truck;
use super::written::{Written, followed};
use crate::ledger::Look;
use crate::world;
use jiff::tz::Offset;
use std::collections::BTreeMap;
use truing::describe::adjuster::Adjuster;
use truing::describe::adjuster::written::Write;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, Problems};
use truing::record::{Corrections, Difference, Draft, Entry, EventKind, NOT_MADE, differences, same_setting};

/// Which side of a difference is right.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Side {
    /// The file follows the record.
    Record,
    /// An entry in the record says that the file is right.
    File,
}

impl Side {
    /// From the word for it.
    pub fn read(word: &str) -> Result<Self, Problem> {
        match word.trim() {
            "record" => Ok(Self::Record),
            "file" => Ok(Self::File),
            other => Err(Problem::error("right", "record or file", format!("`{other}`"))
                .hint("Look at what the module shows, and say which of the two agrees with it.")),
        }
    }
}

impl Garage {
    /// Where the record's last write and the vehicle file of a truck do not say the same.
    pub fn differences(&self, truck: &Truck) -> Result<Vec<Difference>, Problems> {
        let entries = self.entries_that_matter(truck)?;
        Ok(truck.vehicle.as_ref().map_or_else(Vec::new, |vehicle| differences(vehicle, &entries)))
    }

    /// Repairs every difference of a truck. What was added to the record comes back: nothing where the file was changed.
    pub fn repair(&self, truck: &Truck, right: Side) -> Result<Vec<Entry>, Refused> {
        match right {
            Side::Record => self.file_follows(truck).map(|()| Vec::new()),
            Side::File => Ok(self.record_follows(truck)?),
        }
    }

    /// Brings a vehicle file up to the record's last writes; one that agrees already stays as it is.
    pub fn file_follows(&self, truck: &Truck) -> Result<(), Refused> {
        let entries = self.entries_that_matter(truck)?;
        let Some(vehicle) = &truck.vehicle else { return Ok(()) };
        let mut writes: Vec<(u64, Written)> = Vec::new();
        for difference in differences(vehicle, &entries) {
            writes.extend(not_followed(&difference, &entries));
        }
        if writes.is_empty() {
            return Ok(());
        }
        writes.sort_by_key(|(sequence, _)| *sequence);
        let writes: Vec<Written> = writes.into_iter().map(|(_, written)| written).collect();
        self.rewrite(&truck.slug, truck.hash, |text| followed(text, &writes))
    }

    /// Says in the record that the file is right.
    fn record_follows(&self, truck: &Truck) -> Result<Vec<Entry>, Problems> {
        let Some(vehicle) = &truck.vehicle else { return Ok(Vec::new()) };
        let (mut ledger, name) = self.ledger_for(truck)?;
        let made = |look: &Look| {
            let earlier = look.of_vehicle(&name)?;
            let mut drafts = Vec::new();
            for difference in differences(vehicle, &earlier) {
                drafts.extend(said_by_file(vehicle, truck, &name, &difference, &earlier));
            }
            Ok(drafts)
        };
        ledger.append_all(None, made).map_err(|problems| self.shown(problems))
    }
}

/// The writes of the record that a file has not followed: back from the last to the one that begins where the file stands,
/// or the last alone where none does.
fn not_followed(difference: &Difference, entries: &[Entry]) -> Vec<(u64, Written)> {
    let corrections = Corrections::among(entries.iter());
    let is_it = |entry: &&Entry, fields: &BTreeMap<String, String>| {
        let named = fields.get("adjuster");
        entry.event.kind == EventKind::Write
            && !fields.contains_key(NOT_MADE)
            && named.is_none_or(|name| *name == difference.adjuster)
    };
    let mut back = Vec::new();
    for entry in entries.iter().rev().filter(|entry| entry.sequence <= difference.recorded.entry) {
        let fields = corrections.over(entry);
        if !is_it(&entry, &fields) {
            continue;
        }
        let text = |name: &str| fields.get(name).cloned().unwrap_or_default();
        let written = Written {
            adjuster: difference.adjuster.clone(),
            from: text("from"),
            to: text("to"),
            date: Offset::UTC.to_datetime(entry.event.time).date(),
            odometer: fields.get("odometer").cloned(),
            writes_left: fields.get("writes_left_after").and_then(|left| left.trim().parse().ok()),
        };
        let begins_in_file =
            difference.in_file.as_ref().is_some_and(|value| same_setting(value, &written.from));
        back.push((entry.sequence, written));
        if begins_in_file {
            back.reverse();
            return back;
        }
    }
    back.truncate(1);
    back
}

/// What the record lacks where the file is right: the writes that only the file has, or a correction of the last one.
fn said_by_file(
    vehicle: &Vehicle,
    truck: &Truck,
    name: &str,
    difference: &Difference,
    earlier: &[Entry],
) -> Vec<Draft> {
    let Some(present) = &difference.in_file else { return Vec::new() };
    let adjuster = vehicle.adjusters.iter().find(|adjuster| adjuster.called() == difference.adjuster);
    let later = adjuster.and_then(|adjuster| written_since(vehicle, adjuster, difference, present));
    let says = format!("The vehicle file is right: {present} is stored.");
    let draft = |kind, mut fields: BTreeMap<String, String>| {
        fields.insert("source_sha256".into(), truck.hash.to_string());
        fields.insert("text".into(), says.clone());
        Draft { time: world::now(), vehicle: name.to_string(), kind, fields }
    };
    if let Some(later) = later {
        return later.into_iter().map(|write| draft(EventKind::Write, write_fields(write))).collect();
    }
    let corrected = earlier.iter().find(|entry| entry.sequence == difference.recorded.entry);
    let from =
        corrected.and_then(|entry| Corrections::among(earlier.iter()).over(entry).get("from").cloned());
    let right = match from.filter(|from| same_setting(from, present)) {
        Some(_) => (NOT_MADE.to_string(), format!("{present} is still stored")),
        None => ("to".to_string(), present.clone()),
    };
    let corrects = ("corrects".to_string(), difference.recorded.entry.to_string());
    vec![draft(EventKind::Correction, BTreeMap::from([corrects, right]))]
}

/// The writes of a file that lead from what the record holds to be stored to what is, where they do.
fn written_since<'v>(
    vehicle: &'v Vehicle,
    adjuster: &Adjuster,
    difference: &Difference,
    present: &str,
) -> Option<Vec<&'v Write>> {
    let is_it =
        |write: &&Write| write.adjuster.as_ref().is_none_or(|name| adjuster.name.as_ref() == Some(name));
    let (mut wanted, mut later) = (present.to_string(), Vec::new());
    for write in vehicle.written.iter().filter(is_it).rev() {
        if !same_setting(&write.to.to_string(), &wanted) {
            return None;
        }
        later.insert(0, write);
        wanted = write.from.to_string();
        if same_setting(&wanted, &difference.recorded.setting) {
            return Some(later);
        }
    }
    None
}

/// A write of a file as one of the record. How many writes were left goes without saying: one fewer than before. The reading
/// stays in the file: it may be older than what the record holds by now.
fn write_fields(write: &Write) -> BTreeMap<String, String> {
    let fields = [
        ("from", Some(write.from.to_string())),
        ("to", Some(write.to.to_string())),
        ("day", Some(write.date.to_string())),
        ("adjuster", write.adjuster.clone()),
    ];
    fields.into_iter().filter_map(|(name, value)| Some((name.to_string(), value?))).collect()
}
