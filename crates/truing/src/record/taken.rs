//! A vehicle file as events: the file itself, and what was measured with the hash of the log it rests on. Nothing of
//! what stands in a log goes into the record, so no place the vehicle has been to.

use super::canonical::Hash;
use super::correction::Fields;
use super::event::EventKind;
use crate::describe::evidence::{Evidence, EvidenceKind, PulseSource, PulseSpan};
use crate::describe::vehicle::Vehicle;

/// The events a vehicle file comes to, in order. `hash_of` gives the hash of a file named in it, where it can be read.
pub fn taken(
    vehicle: &Vehicle,
    text: &str,
    hash_of: &dyn Fn(&str) -> Option<Hash>,
) -> Vec<(EventKind, Fields)> {
    let mut fields = Fields::from([
        ("file".to_string(), text.to_string()),
        ("source_sha256".to_string(), Hash::new(text.as_bytes()).to_string()),
    ]);
    let adjuster = vehicle.adjusters.first();
    put(&mut fields, "present", adjuster.and_then(|adjuster| adjuster.present()).map(|set| set.to_string()));
    put(
        &mut fields,
        "writes_left",
        adjuster.and_then(|adjuster| adjuster.writes_left).map(|n| n.to_string()),
    );
    put(&mut fields, "adjuster", adjuster.and_then(|adjuster| adjuster.name.clone()));
    let mut events = vec![(EventKind::Vehicle, fields)];
    events.extend(vehicle.evidence.iter().map(|piece| (EventKind::Evidence, evidence(piece, hash_of))));
    events
}

fn put(fields: &mut Fields, name: &str, value: Option<String>) {
    if let Some(value) = value {
        fields.insert(name.to_string(), value);
    }
}

fn evidence(piece: &Evidence, hash_of: &dyn Fn(&str) -> Option<Hash>) -> Fields {
    let mut fields = Fields::from([("what".to_string(), word(&piece.kind).to_string())]);
    put(&mut fields, "label", piece.label.clone());
    put(&mut fields, "date", piece.date.map(|date| date.to_string()));
    put(&mut fields, "tires", piece.tires.clone());
    put(&mut fields, "setting", piece.settings.first().map(|(_, setting)| setting.to_string()));
    for (name, file) in files(&piece.kind) {
        put(&mut fields, name, Some(file.to_string()));
        put(&mut fields, &format!("{name}_sha256"), hash_of(file).map(|hash| hash.to_string()));
    }
    fields
}

/// As in the vehicle file.
fn word(kind: &EvidenceKind) -> &'static str {
    match kind {
        EvidenceKind::Rollout { .. } => "rollout",
        EvidenceKind::LoadedRadius { .. } => "loaded-radius",
        EvidenceKind::Published { .. } => "published",
        EvidenceKind::TimedMile { .. } => "timed-mile",
        EvidenceKind::OdometerDistance { .. } => "odometer-distance",
        EvidenceKind::Hold { .. } => "hold",
        EvidenceKind::Drive { .. } => "drive",
        EvidenceKind::Pulses { .. } => "pulses",
        EvidenceKind::ShaftSpeed { .. } => "shaft-speed",
        EvidenceKind::EngineSpeed { .. } => "engine-speed",
        EvidenceKind::ShaftTurns { .. } => "shaft-turns",
        EvidenceKind::Earlier { .. } => "earlier",
    }
}

fn files(kind: &EvidenceKind) -> Vec<(&'static str, &str)> {
    match kind {
        EvidenceKind::Drive { track, shown, reading } => {
            let log = shown.vehicle_log.as_deref().map(|log| ("vehicle_log", log));
            let dbc = reading.dbc().map(|file| ("dbc", file));
            [("track", track.as_str())].into_iter().chain(log).chain(dbc).collect()
        }
        EvidenceKind::Pulses { source: PulseSource::File { name, .. }, span, .. } => {
            let track = match span {
                PulseSpan::Track(track) => Some(("track", track.as_str())),
                _ => None,
            };
            [("file", name.as_str())].into_iter().chain(track).collect()
        }
        _ => Vec::new(),
    }
}
