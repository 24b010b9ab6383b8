//! Writes left only fall: each write has fewer left after it than before, and never more before it than the
//! last write left over.
//!
//! An `equipment` entry for the part `module` starts from another number, `writes_left` where it names it; a
//! `vehicle` entry may name it at the start and never raise it later. Corrections count as if they had been made in the
//! entry they correct, and a write that was never made spends nothing.

use super::chain::{Entry, at};
use super::correction::{Corrections, Fields};
use super::event::EventKind;
use super::stored::is_unmade;
use crate::problem::Problem;
use std::collections::BTreeMap;

/// The writes left of every vehicle, entry by entry.
#[derive(Clone, Debug, Default)]
pub(super) struct Counter {
    left_by_vehicle: BTreeMap<String, u64>,
}

impl Counter {
    /// The writes left of a vehicle after what was fed, where they are known.
    pub(super) fn left(&self, vehicle: &str) -> Option<u64> {
        self.left_by_vehicle.get(vehicle).copied()
    }

    /// Counts one entry, and says what is wrong with it.
    pub(super) fn feed(&mut self, entry: &Entry, corrections: &Corrections) -> Vec<Problem> {
        let mut problems = Vec::new();
        let event = &entry.event;
        let is_module =
            event.kind == EventKind::Equipment && event.fields.get("part").is_some_and(|p| p == "module");
        if !(is_module || matches!(event.kind, EventKind::Vehicle | EventKind::Write)) {
            return problems;
        }
        let fields = corrections.over(entry);
        let left = self.left(&event.vehicle);
        let left = match event.kind {
            EventKind::Write if is_unmade(&fields) => left,
            EventKind::Write => {
                after_write(&fields, left, &mut |problem| problems.push(at(entry.sequence, problem)))
            }
            EventKind::Vehicle => {
                let named = number(&fields, "writes_left");
                let risen = left.zip(named).filter(|(left, named)| named > left);
                problems.extend(risen.map(|(left, named)| at(entry.sequence, has_risen(left, named))));
                named.or(left)
            }
            _ => number(&fields, "writes_left"),
        };
        match left {
            Some(left) => self.left_by_vehicle.insert(event.vehicle.clone(), left),
            None => self.left_by_vehicle.remove(&event.vehicle),
        };
        problems
    }
}

fn number(fields: &Fields, name: &str) -> Option<u64> {
    fields.get(name)?.trim().parse().ok()
}

/// Writes left after a write, and what is wrong with it.
fn after_write(fields: &Fields, left: Option<u64>, report: &mut dyn FnMut(Problem)) -> Option<u64> {
    for name in ["writes_left_before", "writes_left_after"] {
        if fields.contains_key(name) && number(fields, name).is_none() {
            report(
                Problem::error("record", "a whole number", &fields[name])
                    .in_part(name)
                    .hint("Correct the entry."),
            );
        }
    }
    let before = number(fields, "writes_left_before");
    let after = number(fields, "writes_left_after");
    if let (Some(left), Some(before)) = (left, before) {
        compare(left, before, report);
    }
    let known = before.or(left);
    if let (Some(known), Some(after)) = (known, after)
        && after >= known
    {
        report(not_fallen(known, after));
    }
    after.or(known.map(|known| known.saturating_sub(1)))
}

fn writes(count: u64) -> String {
    if count == 1 { "1 write".into() } else { format!("{count} writes") }
}

fn compare(left: u64, before: u64, report: &mut dyn FnMut(Problem)) {
    if before > left {
        let problem = Problem::error(
            "record",
            format!("at most {} left before this one", writes(left)),
            before.to_string(),
        );
        report(problem.in_part("writes_left_before").hint(
            "Writes left never rise. If the module was replaced, add an `equipment` entry for the part `module` \
             first; if a number was mistyped, add a correction.",
        ));
    } else if before < left {
        let problem =
            Problem::warning("record", format!("{} left before this one", writes(left)), before.to_string());
        report(problem.in_part("writes_left_before").hint("A write is missing from the record."));
    }
}

fn has_risen(left: u64, named: u64) -> Problem {
    Problem::error("record", format!("at most {} left", writes(left)), named.to_string()).in_part("writes_left").hint(
        "Writes left never rise by themselves. If the module was replaced, add an `equipment` entry for the part `module` \
         first; if an earlier number was mistyped, add a correction.",
    )
}

fn not_fallen(known: u64, after: u64) -> Problem {
    Problem::error("record", format!("fewer than {} left after this one", writes(known)), after.to_string())
        .in_part("writes_left_after")
        .hint("Every write spends one. If a number was mistyped, add a correction.")
}
