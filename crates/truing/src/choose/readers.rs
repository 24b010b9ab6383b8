//! What a setting does to everything else that reads the signal.

use super::Scored;
use super::options::{Candidate, Parts, bears_on, made_true};
use super::reason::Reason;
use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::reader::Role;
use crate::describe::chain::{AlsoFeeds, OthersRead};
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
    /// This holds if it reads that signal; none where it is known which it reads, or both come to the same.
    pub if_reads: Option<OthersRead>,
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
        if_reads: None,
    });
    let (at_sensor, at_module) = (times(&changes_the_wire), times(&|_| true));
    let both = [(OthersRead::Sensor, at_sensor), (OthersRead::Module, at_module)];
    let alike = (at_sensor.plain() / at_module.plain() - 1.0).abs() < UNCHANGED;
    let outcomes: Vec<(Option<OthersRead>, Ratio)> = match vehicle.chain.others_read.unwrap_or_default() {
        OthersRead::NotKnown if !alike => both.map(|(reads, times)| (Some(reads), times)).to_vec(),
        OthersRead::NotKnown | OthersRead::Sensor => vec![(None, at_sensor)],
        OthersRead::Module => vec![(None, at_module)],
    };
    let fed = vehicle.chain.also_feeds.iter().flat_map(|fed| {
        outcomes.iter().map(|(if_reads, times)| ReaderChange {
            name: fed.to_string(),
            times: *times,
            shifts: *fed == AlsoFeeds::Transmission,
            if_reads: *if_reads,
        })
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
        let (reader, setting, if_reads) = (change.name.clone(), best.label.clone(), change.if_reads);
        match (change.times.plain() - 1.0).abs() < UNCHANGED {
            true => Reason::ReaderUnchanged { reader, setting, if_reads },
            false => {
                let (times, shifts) = (change.times, change.shifts);
                Reason::ReaderChanges { reader, setting, times, shifts, if_reads }
            }
        }
    };
    others.map(reason).collect()
}

/// Whether an adjuster changes what comes out of the sensor: what is stored in a module or sits behind the sensor does not.
fn changes_the_wire(adjuster: &Adjuster) -> bool {
    matches!(adjuster.kind, AdjusterKind::GearPair(_) | AdjusterKind::ToneRing(_) | AdjusterKind::Tires(_))
}
