//! What goes into the record from the page: advice, writes, proofs and entries made by hand.

use super::answers::{self, Wish};
use super::form::Posted;
use super::routes::Stage;
use super::{App, PageError};
use crate::cli::record::add_fields::{Given, fields};
use crate::cli::record::source::{hash_of_file, source_of};
use crate::garage::{Refused, Slug, Truck, Written};
use crate::ledger::Ledger;
use crate::world;
use axum::http::StatusCode;
use std::collections::BTreeSet;
use std::path::Path as FilePath;
use truing::describe::adjuster::Adjuster;
use truing::problem::{Problem, any_error};
use truing::record::{Draft, Entry, EventKind, Fields, Hash, objections, taken};
use truing::report::keep;

/// A truck, and the name under which the record keeps it.
struct Kept<'a> {
    truck: &'a Truck,
    name: String,
}

impl Kept<'_> {
    fn draft(&self, kind: EventKind, fields: Fields) -> Draft {
        Draft { time: world::now(), vehicle: self.name.clone(), kind, fields }
    }
}

/// The record, and a truck as it keeps it.
fn open<'a>(app: &App, truck: &'a Truck) -> Result<(Ledger, Kept<'a>), PageError> {
    let (ledger, name) = app.garage.ledger_for(truck)?;
    Ok((ledger, Kept { truck, name }))
}

/// Adds one entry, safe on disk when this returns.
fn append(app: &App, ledger: &mut Ledger, draft: Draft) -> Result<Entry, PageError> {
    ledger.append(draft).map_err(|problems| PageError::unusable(app.garage.shown(problems)))
}

/// Takes the vehicle file into the record where this version is not there yet: what is on the truck, and the evidence
/// that is new.
fn take(app: &App, ledger: &mut Ledger, kept: &Kept) -> Result<Vec<Entry>, PageError> {
    let (truck, mut added) = (kept.truck, Vec::new());
    let Some(vehicle) = &truck.vehicle else { return Ok(added) };
    let before = ledger.of_vehicle(&kept.name)?;
    let hash = truck.hash.to_string();
    let last = before.iter().rev().find_map(|entry| entry.event.fields.get("source_sha256"));
    if last == Some(&hash) {
        return Ok(added);
    }
    let known: BTreeSet<&Fields> = before.iter().map(|entry| &entry.event.fields).collect();
    let folder = app.garage.truck_folder(&truck.slug);
    let hash_of = |file: &str| hash_of_file(&folder.join(file));
    for (kind, fields) in taken(vehicle, &truck.text, &hash_of) {
        if !known.contains(&fields) {
            added.push(append(app, ledger, kept.draft(kind, fields))?);
        }
    }
    Ok(added)
}

/// Keeps the vehicle file as it is now; what is in the record already is not taken twice.
pub fn file(app: &App, truck: &Truck) -> Result<Vec<Entry>, PageError> {
    let (mut ledger, kept) = open(app, truck)?;
    take(app, &mut ledger, &kept)
}

/// Keeps the estimate that the advice rests on, and the advice.
pub fn choice(app: &App, slug: &Slug, wish: &Wish) -> Result<Vec<Entry>, PageError> {
    let known = app.known(slug.as_str())?;
    let report = answers::choice_report(&known, wish, app.garage.settings().units)?;
    let (mut ledger, kept) = open(app, &known.truck)?;
    take(app, &mut ledger, &kept)?;
    let mut add = |(kind, fields)| append(app, &mut ledger, kept.draft(kind, fields));
    report.kept().into_iter().map(&mut add).collect()
}

/// Keeps a proof.
pub fn proof(app: &App, slug: &Slug, trial: &answers::Trial) -> Result<Entry, PageError> {
    let known = app.known(slug.as_str())?;
    let report = answers::proof_report(app, slug, &known, trial)?;
    let (kind, fields) = report.kept(&answers::rests_on(app, slug, trial));
    let (mut ledger, kept) = open(app, &known.truck)?;
    take(app, &mut ledger, &kept)?;
    append(app, &mut ledger, kept.draft(kind, fields))
}

/// A write as it was told.
pub struct Told<'a> {
    /// The adjuster, as it is called; the only one where none is named.
    pub adjuster: Option<&'a str>,
    /// What was stored before.
    pub from: &'a str,
    /// What is stored now.
    pub to: &'a str,
    /// What the odometer shows, with its unit.
    pub odometer: Option<&'a str>,
    /// A remark.
    pub text: Option<&'a str>,
}

/// Keeps a write: in the record and in the vehicle file, or in neither.
pub fn write(app: &App, slug: &Slug, version: Hash, told: &Told) -> Result<Entry, PageError> {
    let truck = app.truck(slug.as_str())?;
    if truck.hash != version {
        return Err(changed_meanwhile(&truck, told));
    }
    let adjuster = adjuster_of(&truck, told.adjuster)?;
    let (mut ledger, kept) = open(app, &truck)?;
    // What will be refused is refused before anything is taken in for it.
    made(&kept, &adjuster, told, &ledger.that_matter(&kept.name)?)
        .map_err(|problems| PageError::unusable(app.garage.shown(problems)))?;
    take(app, &mut ledger, &kept)?;
    let mut stale = None;
    let added = ledger.append_made(|look| {
        let draft = made(&kept, &adjuster, told, &look.that_matter(&kept.name)?)?;
        let written = Written {
            adjuster: adjuster.called().to_string(),
            from: told.from.to_string(),
            to: told.to.to_string(),
            date: answers::today(),
            odometer: draft.fields.get("odometer").cloned(),
        };
        match app.garage.write_made(slug, version, &written) {
            Ok(()) => Ok(draft),
            Err(Refused::Problems(problems)) => Err(problems),
            Err(Refused::Stale { now, .. }) => {
                stale = Some(now);
                Err(vec![Problem::error("the vehicle file", "the version the form was made from", "another")])
            }
        }
    });
    match (added, stale) {
        (Ok(entry), _) => Ok(entry),
        (Err(_), Some(now)) => Err(changed_meanwhile(&now, told)),
        (Err(problems), None) => Err(PageError::unusable(app.garage.shown(problems))),
    }
}

/// The entry of a write, where nothing that was recorded speaks against it.
fn made(kept: &Kept, adjuster: &Adjuster, told: &Told, earlier: &[Entry]) -> Result<Draft, Vec<Problem>> {
    let mut entry = keep::write(adjuster, told.from, told.to, told.odometer, told.text);
    let more = Given { odometer: told.odometer, text: None, value: None, more: Vec::new() };
    let filled = fields(EventKind::Write, &more, earlier)?;
    for (name, value) in filled.into_iter().filter(|(name, _)| name != "from") {
        // A bare reading got its unit; what the file says of the writes left goes before what was once recorded.
        if name == "odometer" || !entry.contains_key(&name) {
            entry.insert(name, value);
        }
    }
    let draft = kept.draft(EventKind::Write, entry);
    let next = earlier.last().map_or(1, |entry| entry.sequence + 1);
    let objections = objections(earlier, next, &draft);
    if any_error(&objections) { Err(objections) } else { Ok(draft) }
}

/// Somebody was faster: nothing was changed, and what was typed is shown again.
fn changed_meanwhile(truck: &Truck, told: &Told) -> PageError {
    let typed = [
        Some(format!("{} to {}", told.from, told.to)),
        told.odometer.map(|odometer| format!("odometer {odometer}")),
        told.text.map(|text| format!("remark: {text}")),
    ];
    let typed = typed.into_iter().flatten().collect::<Vec<_>>().join("; ");
    let says = format!(
        "The truck was changed in another window since this page was loaded. Nothing was kept from here. Look at how it \
         stands now, then keep the write again if it is still to be kept. What was typed here: {typed}."
    );
    PageError::new(StatusCode::CONFLICT, "The truck was changed meanwhile", &says)
        .or("The steps as they are now", &Stage::Set.of(&truck.slug))
        .or("The record", &Stage::Record.of(&truck.slug))
}

fn adjuster_of(truck: &Truck, name: Option<&str>) -> Result<Adjuster, PageError> {
    let adjusters = truck.vehicle.as_ref().map(|vehicle| vehicle.adjusters.as_slice()).unwrap_or_default();
    let found = match (name, adjusters) {
        (None, [only]) => Some(only),
        (None, _) => None,
        (Some(name), all) => all.iter().find(|adjuster| adjuster.called() == name),
    };
    found.cloned().ok_or_else(|| {
        let known: Vec<&str> = adjusters.iter().map(Adjuster::called).collect();
        let expected = format!("one of the adjusters: {}", known.join(", "));
        PageError::unusable(vec![Problem::error("adjuster", expected, name.unwrap_or("none").to_string())])
    })
}

/// Keeps an entry made by hand.
pub fn entry(app: &App, slug: &Slug, posted: &Posted) -> Result<Entry, PageError> {
    let truck = app.truck(slug.as_str())?;
    by_hand(app, &truck, &Typed::of(|name| posted.text(name)), None)
}

/// An entry as it was typed.
pub struct Typed<'a> {
    /// The word of its kind.
    pub kind: &'a str,
    /// Its fields.
    pub given: Given<'a>,
}

impl<'a> Typed<'a> {
    /// From the fields of a form.
    pub fn of(text: impl Fn(&str) -> &'a str) -> Self {
        let given = |name: &str| answers::given(text(name));
        let (odometer, value) = (given("odometer"), given("value"));
        Self { kind: text("kind"), given: Given { odometer, text: given("text"), value, more: Vec::new() } }
    }
}

/// Adds an entry with what the record itself knows filled in, and name and hash of the file that it rests on.
pub fn by_hand(
    app: &App,
    truck: &Truck,
    typed: &Typed,
    source: Option<&FilePath>,
) -> Result<Entry, PageError> {
    let kind = EventKind::read(typed.kind).map_err(|problem| vec![problem])?;
    let source = source.map(source_of).transpose().map_err(|problems| app.garage.shown(problems))?;
    let (mut ledger, kept) = open(app, truck)?;
    let added = ledger.append_made(|look| {
        let earlier = look.that_matter(&kept.name)?;
        let mut fields = fields(kind, &typed.given, &earlier)?;
        fields.extend(source.into_iter().flatten());
        Ok(kept.draft(kind, fields))
    });
    added.map_err(|problems| PageError::unusable(app.garage.shown(problems)))
}
