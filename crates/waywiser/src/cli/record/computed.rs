//! Entries that the program computed: the inputs they rest on, by their SHA-256, and computing them again.

use super::request::hash_of_parts;
use super::source::hash_of_file;
use crate::cli::choose::chosen;
use crate::cli::load::{self, Loaded};
use crate::garage::{Garage, TRUCK_FILE, files_of, kept_name};
use crate::ledger::Ledger;
use crate::page::{Trial, rests_on};
use std::path::Path;
use truing::choose::rule_of;
use truing::describe::vehicle::Vehicle;
use truing::problem::Problem;
use truing::prove::prove;
use truing::record::{
    COMPUTED_BY, Entry, EventKind, Fields, Hash, INPUTS, REQUEST, REQUESTED, is_owners_word,
};
use truing::report::choice::ChoiceReport;
use truing::report::proof::ProofReport;
use truing::report::record::{Recomputed, RecomputedFinding};
use truing::units::Units;

/// The version that computes.
const VERSION: &str = env!("CARGO_PKG_VERSION");
/// The field with the writes that were to be kept, where that was asked for.
const RESERVE: &str = "reserve";

/// Marks entries as computed from a vehicle file, the files it names in `folder`, and what stands in the entry of the
/// question itself: the last of them.
pub fn mark(kept: &mut [(EventKind, Fields)], text: &str, vehicle: &Vehicle, folder: &Path) {
    let asked = kept.last().map(|(_, fields)| asked(fields)).unwrap_or_default();
    let inputs = inputs(text, vehicle, folder, &asked);
    for (_, fields) in kept {
        fields.insert(COMPUTED_BY.into(), VERSION.into());
        fields.insert(INPUTS.into(), inputs.to_string());
    }
}

/// Says in the advice how many writes were to be kept.
pub fn with_reserve(kept: &mut [(EventKind, Fields)], reserve: Option<u32>) {
    if let (Some((_, fields)), Some(reserve)) = (kept.last_mut(), reserve) {
        fields.insert(RESERVE.into(), reserve.to_string());
    }
}

/// What of an entry was asked, and not answered.
fn asked(fields: &Fields) -> Vec<(String, String)> {
    const ANSWERS: [&str; 5] = ["advice", "value", "expected_ratio", "verdict", "probability"];
    const OWN: [&str; 4] = [COMPUTED_BY, INPUTS, REQUEST, REQUESTED];
    let is_asked = |name: &&String| !ANSWERS.contains(&name.as_str()) && !OWN.contains(&name.as_str());
    let asked = fields.iter().filter(|(name, _)| is_asked(name));
    asked.map(|(name, value)| (name.clone(), value.clone())).collect()
}

/// The hash of a vehicle file, of every file its evidence names, and of what was asked.
fn inputs(text: &str, vehicle: &Vehicle, folder: &Path, asked: &[(String, String)]) -> Hash {
    let hash =
        |name: &str| hash_of_file(&folder.join(name)).map_or("none".to_string(), |hash| hash.to_string());
    let files = files_of(vehicle).map(|name| (name.to_string(), hash(name)));
    let file = [("vehicle".to_string(), Hash::of(text.as_bytes()).to_string())];
    let parts: Vec<(String, String)> = file.into_iter().chain(files).chain(asked.iter().cloned()).collect();
    hash_of_parts(parts.iter().map(|(name, value)| (name.as_str(), value.as_str())))
}

/// Computes every computed entry of the record again, from the vehicle file in the record and the files beside the truck's.
pub fn recompute(ledger: &Ledger, garage: &Garage) -> Result<Vec<Recomputed>, Vec<Problem>> {
    let mut all = Vec::new();
    for vehicle in ledger.vehicles()? {
        let folder = garage.truck_recorded_as(&vehicle).map(|truck| garage.truck_folder(&truck.slug));
        let folder = folder.unwrap_or_else(|| garage.folder().to_path_buf());
        all.extend(of_vehicle(&ledger.of_vehicle(&vehicle)?, &folder));
    }
    all.sort_by_key(|one| one.entry);
    Ok(all)
}

fn of_vehicle(entries: &[Entry], folder: &Path) -> Vec<Recomputed> {
    let mut text = None;
    let mut found = Vec::new();
    for (place, entry) in entries.iter().enumerate() {
        let fields = &entry.event.fields;
        match entry.event.kind {
            EventKind::Vehicle => text = fields.get("file").or(text),
            EventKind::Estimate | EventKind::Choice | EventKind::Proof
                if !is_owners_word(entry.event.kind, fields) =>
            {
                // An estimate rests on what the advice behind it was asked.
                let question = match entry.event.kind {
                    EventKind::Estimate => entries.get(place + 1).unwrap_or(entry),
                    _ => entry,
                };
                let again = text.ok_or("the record holds no vehicle file from before".to_string());
                let again = again.and_then(|text| again_from(text, entry, question, folder));
                found.push(compared(entry, again));
            }
            _ => {}
        }
    }
    found
}

/// The fields of an entry computed again, or why its inputs are not at hand.
fn again_from(text: &str, entry: &Entry, question: &Entry, folder: &Path) -> Result<Fields, String> {
    let fields = &question.event.fields;
    let mut loaded = load::vehicle_of(TRUCK_FILE, text, folder).map_err(|problems| said(&problems))?;
    let hash = inputs(text, &loaded.vehicle, folder, &asked(fields));
    if fields.get(INPUTS) != Some(&hash.to_string()) || entry.event.fields.get(INPUTS) != fields.get(INPUTS) {
        return Err("a file that it rests on is gone or is another one by now".to_string());
    }
    let kept = match question.event.kind {
        EventKind::Proof => proved(&loaded, fields, folder),
        _ => advised(&mut loaded, fields),
    };
    let kept = kept.map_err(|problems| said(&problems))?;
    let own = kept.into_iter().find(|(kind, _)| *kind == entry.event.kind);
    own.map(|(_, fields)| fields).ok_or("nothing of this kind came of it".to_string())
}

fn said(problems: &[Problem]) -> String {
    problems.first().map_or(String::new(), |problem| problem.to_string())
}

fn advised(loaded: &mut Loaded, fields: &Fields) -> Result<Vec<(EventKind, Fields)>, Vec<Problem>> {
    let reserve = fields.get(RESERVE).and_then(|reserve| reserve.parse().ok());
    let (_, choice) = chosen(loaded, fields.get("rule").map(String::as_str), reserve)?;
    let report = ChoiceReport::new(&loaded.vehicle, &choice, Vec::new(), Units::default());
    let mut kept = report.kept();
    with_reserve(&mut kept, reserve);
    Ok(kept)
}

fn proved(loaded: &Loaded, fields: &Fields, folder: &Path) -> Result<Vec<(EventKind, Fields)>, Vec<Problem>> {
    let trial = Trial::of(|name| fields.get(name).map(String::as_str));
    let rule = rule_of(&loaded.vehicle.usage, trial.rule.as_deref()).map_err(|problem| vec![problem])?;
    let (drive, _) = trial.drive(|name| folder.join(kept_name(name))).drive()?;
    let proof = prove(&loaded.vehicle, &drive, rule).map_err(|problem| vec![problem])?;
    let report = ProofReport::new(&loaded.vehicle, &drive, &proof, Vec::new(), Units::default());
    Ok(vec![report.kept(&rests_on(folder, &trial))])
}

fn compared(entry: &Entry, again: Result<Fields, String>) -> Recomputed {
    let (finding, says) = match again {
        Err(why) => (RecomputedFinding::NotAtHand, why),
        Ok(now) => match now.iter().find(|(name, value)| entry.event.fields.get(*name) != Some(value)) {
            None => (RecomputedFinding::Same, "comes to the same".to_string()),
            Some((name, value)) => {
                let recorded = entry.event.fields.get(name).map_or("nothing", String::as_str);
                (RecomputedFinding::Another, format!("{name} is recorded as {recorded} and comes to {value}"))
            }
        },
    };
    let version = entry.event.fields.get(COMPUTED_BY).cloned().unwrap_or_default();
    let is_same_version = version == VERSION;
    Recomputed {
        entry: entry.sequence,
        kind: entry.event.kind.word(),
        version,
        is_same_version,
        finding,
        says,
    }
}
