//! The check of a garage's record, and entries that the program computed computed again.

use super::folder::Garage;
use super::names::{TRUCK_FILE, kept_name};
use crate::ledger::{Checked, Finding, Ledger, check};
use crate::work::asked::Inputs;
use crate::work::choose::chosen;
use crate::work::entry::computed::{RESERVE, VERSION, asked, inputs, with_reserve};
use crate::work::load::{self, Loaded};
use crate::work::trial::{Trial, rests_on};
use std::path::Path;
use std::time::Duration;
use truing::choose::rule_of;
use truing::problem::{Problem, Problems};
use truing::prove::prove;
use truing::record::{COMPUTED_BY, Entry, EventKind, Expected, Fields, INPUTS, is_owners_word};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::proof::ProofReport;
use truing::report::answers::record::{CheckReport, Recomputed, RecomputedFinding, RecordFinding};
use truing::units::Units;

/// Checks the record of a garage, and computes again what was computed where that is asked for.
pub fn checked(
    garage: &Garage,
    expected: &Expected,
    patience: Duration,
    recomputes: bool,
) -> Result<CheckReport, Problems> {
    let report = report_of(check(garage.folder(), expected, patience));
    if !recomputes || report.finding == RecordFinding::CannotBeRead {
        return Ok(report);
    }
    let ledger = Ledger::open_to_read(garage.folder(), patience)?;
    Ok(report.with_recomputed(recompute(&ledger, garage)?))
}

/// What a check of the record found, for a person and for programs.
fn report_of(checked: Checked) -> CheckReport {
    let finding = match checked.finding {
        Finding::Whole => RecordFinding::Whole,
        Finding::NotInOrder => RecordFinding::NotInOrder,
        Finding::CannotBeRead => RecordFinding::CannotBeRead,
    };
    let Checked { entries, head, problems, .. } = checked;
    CheckReport { ok: finding == RecordFinding::Whole, finding, entries, head, problems, recomputed: None }
}

/// Computes every computed entry of the record again, from the vehicle file in the record and the files beside the truck's.
fn recompute(ledger: &Ledger, garage: &Garage) -> Result<Vec<Recomputed>, Problems> {
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

fn advised(loaded: &mut Loaded, fields: &Fields) -> Result<Vec<(EventKind, Fields)>, Problems> {
    let reserve = fields.get(RESERVE).and_then(|reserve| reserve.parse().ok());
    let (_, choice) = chosen(loaded, fields.get("rule").map(String::as_str), reserve)?;
    let report = ChoiceReport::new(&loaded.vehicle, &choice, Vec::new(), Units::default());
    let mut kept = report.kept();
    with_reserve(&mut kept, reserve);
    Ok(kept)
}

fn proved(loaded: &Loaded, fields: &Fields, folder: &Path) -> Result<Vec<(EventKind, Fields)>, Problems> {
    let trial = Trial::from_fields(|name| fields.get(name).map(String::as_str))?;
    let rule = rule_of(&loaded.vehicle.usage, trial.rule.as_deref())?;
    let at = |name: &str| folder.join(kept_name(name));
    let (drive, _) = trial.drive.clone().lying(at).drive()?;
    let proof = prove(&loaded.vehicle, &drive, rule)?;
    let report = ProofReport::new(&loaded.vehicle, &drive, &proof, Vec::new(), Units::default());
    Ok(vec![report.kept(&rests_on(&trial, at))])
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
