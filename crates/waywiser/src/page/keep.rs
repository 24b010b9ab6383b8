//! What goes into the record from the page: advice, writes, proofs and entries made by hand.
//!
//! The record comes first: what is in the vehicle file only, nobody sealed. Each request is one commit, and one that is sent
//! again under its key gets the entries that it got before.

use super::addresses::Stage;
use super::answers::{self, Wish};
use super::app::App;
use super::error::PageError;
use super::form::Posted;
use crate::garage::{Known, Refused, Side, Slug, Truck, Written, followed, kept_name};
use crate::ledger::{Ledger, Look, Request};
use crate::work::asked::Inputs;
use crate::work::entry::computed::{mark, with_reserve};
use crate::work::entry::fields::{Given, fields, held_against};
use crate::work::entry::request::requested;
use crate::work::entry::source::{hash_of_file, source_of};
use crate::work::trial::{Trial, rests_on};
use crate::work::typed;
use crate::world;
use axum::http::StatusCode;
use std::collections::BTreeSet;
use std::path::Path as FilePath;
use truing::describe::adjuster::Adjuster;
use truing::problem::{Problem, Problems, any_error};
use truing::record::{
    DONE_ON, Draft, ENTERED_LATE, Entry, EventKind, FROM_REASON, Fields, Hash, REQUEST, REQUESTED, SURE,
    objections, same_setting, taken,
};
use truing::report::answers::keep;

/// A truck, and the name under which the record keeps it.
struct Kept<'a> {
    truck: &'a Truck,
    name: String,
}

impl Kept<'_> {
    fn draft(&self, kind: EventKind, fields: Fields) -> Draft {
        Draft { time: world::now(), vehicle: self.name.clone(), kind, fields }
    }

    /// What the vehicle file says that is not in the record yet: what is on the truck, and the evidence that is new. Not
    /// while the record's last write says something else: the file may not have followed it.
    fn not_taken(&self, app: &App, look: &Look) -> Result<Vec<Draft>, Problems> {
        let Some(vehicle) = &self.truck.vehicle else { return Ok(Vec::new()) };
        let before = look.of_vehicle(&self.name)?;
        let hash = self.truck.hash.to_string();
        let files = before.iter().rev().filter(|entry| entry.event.kind == EventKind::Vehicle);
        if files.filter_map(|entry| entry.event.fields.get("source_sha256")).next() == Some(&hash) {
            return Ok(Vec::new());
        }
        let differences = truing::record::differences(vehicle, &before);
        if !differences.is_empty() {
            return Err(differences.iter().map(|difference| difference.problem()).collect());
        }
        let bare = |entry: &Entry| {
            let own = |name: &&String| *name != REQUEST && *name != REQUESTED;
            let fields = entry.event.fields.iter().filter(|(name, _)| own(name));
            fields.map(|(name, value)| (name.clone(), value.clone())).collect::<Fields>()
        };
        let known: BTreeSet<Fields> = before.iter().map(bare).collect();
        let folder = app.garage.truck_folder(&self.truck.slug);
        let hash_of = |file: &str| hash_of_file(&folder.join(file));
        let taken = taken(vehicle, &self.truck.text, &hash_of).into_iter();
        let fresh = taken.filter(|(kind, fields)| *kind == EventKind::Vehicle || !known.contains(fields));
        Ok(fresh.map(|(kind, fields)| self.draft(kind, fields)).collect())
    }
}

/// The record, and a truck as it keeps it.
fn open<'a>(app: &App, truck: &'a Truck) -> Result<(Ledger, Kept<'a>), PageError> {
    let (ledger, name) = app.garage.ledger_for(truck)?;
    Ok((ledger, Kept { truck, name }))
}

/// Adds what a request comes to behind what the vehicle file says and the record lacks, in one commit: safe on disk when
/// this returns.
fn append(
    app: &App,
    truck: &Truck,
    request: Option<&Request>,
    make: impl FnOnce(&Kept, &Look) -> Result<Vec<Draft>, Problems>,
) -> Result<Vec<Entry>, PageError> {
    let (mut ledger, kept) = open(app, truck)?;
    let added = ledger.append_all(request, |look| {
        let mut drafts = kept.not_taken(app, look)?;
        drafts.extend(make(&kept, look)?);
        Ok(drafts)
    });
    added.map_err(|problems| PageError::unusable(app.garage.shown(problems)))
}

/// Keeps the vehicle file as it is now; what is in the record already is not taken twice.
pub fn file(app: &App, truck: &Truck) -> Result<Vec<Entry>, PageError> {
    append(app, truck, None, |_, _| Ok(Vec::new()))
}

/// Keeps the estimate that the advice rests on, and the advice.
pub fn choice(app: &App, slug: &Slug, wish: &Wish, key: Option<&str>) -> Result<Vec<Entry>, PageError> {
    let known = app.known(slug.as_str())?;
    let report = answers::choice_report(&known, wish, app.garage.settings().units)?;
    let asked = [("rule", wish.rule.clone()), ("reserve", wish.reserve.map(|reserve| reserve.to_string()))];
    let request = requested(key, "choice", slug.as_str(), &asked);
    let mut computed = report.kept();
    with_reserve(&mut computed, wish.reserve);
    marked(app, &known, &mut computed);
    let entries = append(app, &known.truck, request.as_ref(), |kept, _| {
        Ok(computed.into_iter().map(|(kind, fields)| kept.draft(kind, fields)).collect())
    })?;
    let is_advice = |entry: &Entry| matches!(entry.event.kind, EventKind::Estimate | EventKind::Choice);
    Ok(entries.into_iter().filter(is_advice).collect())
}

/// Keeps a proof.
pub fn proof(app: &App, slug: &Slug, trial: &Trial, key: Option<&str>) -> Result<Entry, PageError> {
    let known = app.known(slug.as_str())?;
    let report = answers::proof_report(app, slug, &known, trial)?;
    let folder = app.garage.truck_folder(slug);
    let mut computed = [report.kept(&rests_on(trial, |name| folder.join(kept_name(name))))];
    marked(app, &known, &mut computed);
    let asked: Vec<_> = trial.drive.fields().into_iter().map(|(name, value)| (name, Some(value))).collect();
    let request = requested(key, "proof", slug.as_str(), &asked);
    let entries = append(app, &known.truck, request.as_ref(), |kept, _| {
        Ok(computed.into_iter().map(|(kind, fields)| kept.draft(kind, fields)).collect())
    })?;
    last(entries)
}

/// Marks entries as computed by this program, from the truck's files as they are.
fn marked(app: &App, known: &Known, computed: &mut [(EventKind, Fields)]) {
    if let Some(vehicle) = &known.truck.vehicle {
        mark(computed, &known.truck.text, vehicle, &app.garage.truck_folder(&known.truck.slug));
    }
}

fn last(mut entries: Vec<Entry>) -> Result<Entry, PageError> {
    entries.pop().ok_or_else(PageError::unexpected)
}

/// A write as it was told.
pub struct Told<'a> {
    /// The adjuster, as it is called; the only one where none is named.
    pub adjuster: Option<&'a str>,
    /// What was stored before.
    pub from: &'a str,
    /// Why that is not what was held to be stored, where it is not.
    pub from_reason: Option<&'a str>,
    /// What is stored now.
    pub to: &'a str,
    /// Writes left afterwards, where the module says so; else one fewer than before.
    pub writes_left: Option<u32>,
    /// What the odometer shows, with its unit.
    pub odometer: Option<&'a str>,
    /// A remark.
    pub text: Option<&'a str>,
    /// The key of the request.
    pub key: Option<&'a str>,
}

impl Told<'_> {
    fn request(&self, slug: &Slug) -> Option<Request> {
        let given = |text: Option<&str>| text.map(str::to_string);
        let asked = [
            ("adjuster", given(self.adjuster)),
            ("from", given(Some(self.from))),
            ("from_reason", given(self.from_reason)),
            ("to", given(Some(self.to))),
            ("writes_left", self.writes_left.map(|left| left.to_string())),
            ("odometer", given(self.odometer)),
            ("text", given(self.text)),
        ];
        requested(self.key, "write", slug.as_str(), &asked)
    }
}

/// Keeps a write: in the record, and then in the vehicle file. Where the program ends between the two, or the file cannot be
/// changed, the record has it, the difference is told whenever the truck is opened, and the same request sent again
/// brings the file up to date.
pub fn write(app: &App, slug: &Slug, version: Hash, told: &Told) -> Result<Entry, PageError> {
    let truck = app.truck(slug.as_str())?;
    let request = told.request(slug);
    let (mut ledger, kept) = open(app, &truck)?;
    if let Some(request) = &request
        && let Some(entry) = ledger.answered(request)?.pop()
    {
        let followed = app.garage.file_follows(&truck);
        return followed
            .map(|()| entry.clone())
            .map_err(|refused| not_followed(app, &truck, &entry, refused));
    }
    if truck.hash != version {
        return Err(changed_meanwhile(&truck, told));
    }
    let adjuster = adjuster_of(&truck, told.adjuster)?;
    // What will be refused is refused before anything is changed.
    let draft = made(app, &kept, &adjuster, told, &ledger.that_matter(&kept.name)?)
        .map_err(|problems| PageError::unusable(app.garage.shown(problems)))?;
    let written = Written {
        adjuster: adjuster.called().to_string(),
        from: told.from.to_string(),
        to: told.to.to_string(),
        date: answers::today(),
        odometer: draft.fields.get("odometer").cloned(),
        writes_left: told.writes_left.map(i64::from),
    };
    let record = || {
        ledger.append_all(request.as_ref(), |look| {
            let mut drafts = kept.not_taken(app, look)?;
            drafts.push(made(app, &kept, &adjuster, told, &look.that_matter(&kept.name)?)?);
            Ok(drafts)
        })
    };
    let follow = |truck: &Truck| followed(&truck.text, std::slice::from_ref(&written));
    match app.garage.after_record(slug, version, follow, record) {
        Ok((entries, None)) => last(entries),
        Ok((entries, Some(problem))) => {
            let entry = last(entries)?;
            Err(not_followed(app, &truck, &entry, Refused::Problems(Problems::from(problem))))
        }
        Err(Refused::Problems(problems)) => Err(PageError::unusable(app.garage.shown(problems))),
        Err(Refused::Stale { now, .. }) => Err(changed_meanwhile(&now, told)),
    }
}

/// The entry of a write, where nothing that was recorded speaks against it.
fn made(
    app: &App,
    kept: &Kept,
    adjuster: &Adjuster,
    told: &Told,
    earlier: &[Entry],
) -> Result<Draft, Problems> {
    let mut entry = keep::write(adjuster, told.from, told.to, told.odometer, told.text);
    let more = Given { odometer: told.odometer, text: None, value: Some(told.to), more: Vec::new() };
    let filled = fields(EventKind::Write, &more, earlier)?;
    for (name, value) in filled.into_iter().filter(|(name, _)| name != "from") {
        // A bare reading got its unit; what the file says of the writes left goes before what was once recorded.
        if name == "odometer" || !entry.contains_key(&name) {
            entry.insert(name, value);
        }
    }
    if let Some(left) = told.writes_left {
        entry.insert("writes_left_after".into(), left.to_string());
    }
    match told.from_reason {
        Some(reason) => drop(entry.insert(FROM_REASON.into(), reason.to_string())),
        None => as_in_file(adjuster, told)?,
    }
    let draft = kept.draft(EventKind::Write, entry);
    let next = earlier.last().map_or(1, |entry| entry.sequence + 1);
    let objections = objections(earlier, next, &draft);
    if any_error(&objections) { Err(app.garage.shown(objections)) } else { Ok(draft) }
}

/// A write begins from what the vehicle file says is stored.
fn as_in_file(adjuster: &Adjuster, told: &Told) -> Result<(), Problems> {
    let present = adjuster.present().map(|setting| setting.to_string());
    let Some(present) = present.filter(|present| !same_setting(present, told.from)) else { return Ok(()) };
    let expected = format!("a write from {present}, which the vehicle file says is stored");
    let problem = Problem::error("from", expected, format!("`{}`", told.from));
    Err(problem.hint(
        "If the module was found to hold another value, say why with the write, and the reason goes into the record.",
    ).into())
}

/// The write is in the record, and the file could not follow.
fn not_followed(app: &App, truck: &Truck, entry: &Entry, refused: Refused) -> PageError {
    let problems = match refused {
        Refused::Problems(problems) => app.garage.shown(problems),
        Refused::Stale { .. } => {
            Problems::from(Problem::error("the vehicle file", "the version that was just read", "another"))
        }
    };
    let says = format!(
        "The write is in the record as entry {}. The vehicle file could not be brought up to date. See to what is named \
         here, and send the same again, or repair the difference at Record.",
        entry.sequence
    );
    let title = "The record has the write, the vehicle file does not";
    let error = PageError::new(StatusCode::INTERNAL_SERVER_ERROR, title, &says);
    PageError { problems, ..error }.or("The record", &Stage::Record.of(&truck.slug))
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
        PageError::unusable(Problem::error("adjuster", expected, name.unwrap_or("none").to_string()))
    })
}

/// Repairs every difference between the record's last write and the vehicle file.
pub fn repair(app: &App, truck: &Truck, right: Side) -> Result<Vec<Entry>, PageError> {
    app.garage.repair(truck, right).map_err(|refused| match refused {
        Refused::Problems(problems) => PageError::unusable(app.garage.shown(problems)),
        Refused::Stale { .. } => {
            let says = "The vehicle file was changed in another window. Nothing was changed from here.";
            PageError::new(StatusCode::CONFLICT, "The truck was changed meanwhile", says)
        }
    })
}

/// Keeps an entry made by hand.
pub fn entry(app: &App, slug: &Slug, posted: &Posted) -> Result<Entry, PageError> {
    let truck = app.truck(slug.as_str())?;
    by_hand(app, &truck, &Typed::new(|name| posted.text(name)), None)
}

/// What any entry may say in a field of its own: how that is called where it is typed, and in the record.
pub const OF_ENTRIES: [(&str, &str); 5] = [
    (FROM_REASON, FROM_REASON),
    (ENTERED_LATE, ENTERED_LATE),
    (DONE_ON, DONE_ON),
    ("sure", SURE),
    ("odometer_before", "odometer_before"),
];

/// An entry as it was typed.
pub struct Typed<'a> {
    /// The word of its kind.
    pub kind: &'a str,
    /// Its fields.
    pub given: Given<'a>,
    /// The key of the request.
    pub key: Option<&'a str>,
}

impl<'a> Typed<'a> {
    /// From the fields of a form.
    pub fn new(text: impl Fn(&str) -> &'a str) -> Self {
        let given = |name: &str| typed::given(text(name));
        let (odometer, value) = (given("odometer"), given("value"));
        let mut more = Vec::new();
        for (asked, name) in OF_ENTRIES {
            more.extend(given(asked).map(|text| (name, text)));
        }
        let key = given("request");
        Self { kind: text("kind"), given: Given { odometer, text: given("text"), value, more }, key }
    }
}

/// Adds an entry with what the record itself knows filled in, and name and hash of the file that it rests on.
pub fn by_hand(
    app: &App,
    truck: &Truck,
    typed: &Typed,
    source: Option<&FilePath>,
) -> Result<Entry, PageError> {
    let kind = EventKind::read(typed.kind)?;
    let source = source.map(source_of).transpose().map_err(|problems| app.garage.shown(problems))?;
    let source: Vec<(String, String)> = source.into_iter().flatten().collect();
    let request = typed.given.request(typed.key, kind, truck.slug.as_str(), &source);
    let (mut ledger, kept) = open(app, truck)?;
    let added = ledger.append_made(request.as_ref(), |look| {
        let earlier = look.of_vehicle(&kept.name)?;
        let mut fields = fields(kind, &typed.given, &earlier)?;
        fields.extend(source);
        held_against(&earlier, kept.draft(kind, fields), truck.vehicle.as_ref())
    });
    added.map_err(|problems| PageError::unusable(app.garage.shown(problems)))
}
