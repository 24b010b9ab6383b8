//! What a setting does to everything else that reads the signal.

use super::Scored;
use super::options::{Candidate, Parts, bears_on, made_true};
use super::reason::Reason;
use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::reader::Role;
use crate::describe::vehicle::Vehicle;
use metrology::quantity::Ratio;

/// Something that reads the signal, and what a setting does to it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReaderChange {
    /// Its name.
    pub name: String,
    /// What it reads with the setting over what it reads now.
    pub times: Ratio,
    /// It decides when to shift.
    pub shifts: bool,
}

/// Every reader of the file, and whatever else lives on the sensor's wire.
pub(super) fn changes(vehicle: &Vehicle, parts: &Parts, candidate: &Candidate) -> Vec<ReaderChange> {
    let Some(present) = parts.present() else { return Vec::new() };
    let times = |bears: &dyn Fn(&Adjuster) -> bool| {
        let moved = candidate.changed.iter().filter(|at| bears(parts.all[**at].adjuster));
        let ln: f64 = moved.map(|at| candidate.picks[*at].ln_effect - present.picks[*at].ln_effect).sum();
        Ratio::from_plain(ln.exp())
    };
    let readers = vehicle.readers.iter().map(|reader| ReaderChange {
        name: reader.name.clone(),
        times: times(&|adjuster| bears_on(adjuster, Some(reader))),
        shifts: reader.roles.contains(&Role::Transmission),
    });
    let fed = vehicle.chain.also_feeds.iter().map(|fed| ReaderChange {
        name: fed.to_string(),
        times: times(&changes_the_wire),
        shifts: *fed == crate::describe::chain::AlsoFeeds::Transmission,
    });
    readers.chain(fed).collect()
}

/// A reader whose reading moves by less than this share of itself is left as it is.
const UNCHANGED: f64 = 1e-9;

/// What a setting that is not stored yet does to the readers beside the one that is made true.
pub(super) fn reasons(vehicle: &Vehicle, best: &Scored) -> Vec<Reason> {
    let own = made_true(vehicle).map(|reader| reader.name.as_str());
    let others = best.readers.iter().filter(|reader| !best.is_present && Some(reader.name.as_str()) != own);
    let reason = |change: &ReaderChange| {
        let (reader, setting) = (change.name.clone(), best.label.clone());
        match (change.times.plain() - 1.0).abs() < UNCHANGED {
            true => Reason::ReaderUnchanged { reader, setting },
            false => Reason::ReaderChanges { reader, setting, times: change.times, shifts: change.shifts },
        }
    };
    others.map(reason).collect()
}

/// Whether an adjuster changes what comes out of the sensor: what is stored in a module or sits behind the sensor does not.
fn changes_the_wire(adjuster: &Adjuster) -> bool {
    matches!(adjuster.kind, AdjusterKind::GearPair(_) | AdjusterKind::ToneRing(_) | AdjusterKind::Tires(_))
}
