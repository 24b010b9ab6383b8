//! What can be changed.

use super::answer::{Given, given, key, version};
use super::ask;
use super::read::{self, Chosen, Routine, routine_of};
use super::taken::{self, Asked, Sent, Text};
use crate::page::app::Shared;
use crate::page::batch::measured_now;
use crate::page::error::PageError;
use crate::page::home::units_of;
use crate::page::record::{carry, signing};
use crate::page::rename::objection;
use crate::page::set::routine::kept;
use crate::page::upload::{self, FormSent, Place, Received, Sender};
use crate::page::{keep, look_at};
use crate::work::entry::fields::Given as Fields;
use crate::work::trial::Trial;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Json;
use schemars::JsonSchema;
use serde::Serialize;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, any_error};
use truing::record::{Hash, export};
use truing::report::answers::batch::BatchReport;
use truing::report::answers::drive::DriveReport;
use truing::report::answers::pulses::PulseReport;
use truing::report::answers::record::{
    AddedReport, BackupReport, CheckReport, ImportReport, RepairedReport, TakenReport,
};
use truing::report::answers::record_head::{KeyReport, VerifyReport};

use crate::garage::{Refused, Settings, Side, kept_name};

/// A vehicle file that was put in its place.
#[derive(Serialize, JsonSchema)]
pub struct Added {
    /// What the truck is called in addresses.
    slug: String,
    /// The version of its file now.
    version: String,
}

/// A file that was laid beside a vehicle file.
#[derive(Serialize, JsonSchema)]
pub struct KeptFile {
    /// The name it has there, for use in the vehicle file.
    name: String,
}

/// Adds a truck.
pub async fn add(State(app): State<Shared>, Text(text): Text) -> Given<Added> {
    given(&app, move |app| {
        let (vehicle, problems) = Vehicle::read("the vehicle file", &text);
        let Some(vehicle) = vehicle.filter(|_| !any_error(&problems)) else {
            return Err(PageError::unusable(problems));
        };
        // Sent again without an answer to the first, it would be there twice.
        let name = if vehicle.name.is_empty() { "truck" } else { &vehicle.name };
        if let Some(problem) = objection(app, name, None) {
            return Err(PageError::unusable(problem));
        }
        let slug = app.garage.add(&vehicle.name, &text, &[])?;
        Ok(Added { version: app.garage.truck(&slug)?.hash.to_string(), slug: slug.to_string() })
    })
    .await
}

/// Puts another file in the place of one.
pub async fn replace(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    Text(text): Text,
) -> Given<Added> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        match app.garage.rewrite(&truck.slug, version(&headers)?, |_| Ok(text)) {
            Ok(()) => Ok(Added { slug, version: app.garage.truck(&truck.slug)?.hash.to_string() }),
            Err(Refused::Problems(problems)) => Err(PageError::unusable(problems)),
            Err(Refused::Stale { now, .. }) => {
                let says = format!("The file is now version {}. Nothing was changed.", now.hash);
                Err(PageError::new(StatusCode::CONFLICT, "The vehicle file was changed meanwhile", &says))
            }
        }
    })
    .await
}

/// Lays a file beside the vehicle file, piece by piece.
pub async fn lay_file(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(asked): Asked<ask::FileNamed>,
    body: Body,
) -> Given<KeptFile> {
    let truck = app.truck(&slug)?;
    let name = upload::body_laid_down(&app, &Place::Beside(truck.slug.clone()), &asked.name, body).await?;
    Ok(Json(KeptFile { name }))
}

/// Takes in an exported record.
pub async fn import(
    State(app): State<Shared>,
    Asked(asked): Asked<ask::ImportAsked>,
    body: Body,
) -> Given<ImportReport> {
    let place = Place::apart(&app)?;
    let name = upload::body_laid_down(&app, &place, "record.jsonl", body).await?;
    given(&app, move |app| match &place {
        Place::Apart(scratch) => carry::import(app, &scratch.path().join(name), asked.any_times),
        Place::Beside(_) => Err(PageError::unexpected()),
    })
    .await
}

/// Makes the key of the record.
pub async fn make_key(State(app): State<Shared>) -> Given<KeyReport> {
    given(&app, signing::made_key).await
}

/// Holds an exported record against a sheet.
pub async fn verify(
    State(app): State<Shared>,
    Asked(asked): Asked<ask::SheetHeld>,
    body: Body,
) -> Given<VerifyReport> {
    let place = Place::apart(&app)?;
    let name = upload::body_laid_down(&app, &place, "record.jsonl", body).await?;
    given(&app, move |app| match &place {
        Place::Apart(scratch) => signing::held_against(app, &scratch.path().join(name), &asked.sheet_code),
        Place::Beside(_) => Err(PageError::unexpected()),
    })
    .await
}

/// Makes a backup.
pub async fn back_up(State(app): State<Shared>) -> Given<BackupReport> {
    given(&app, |app| Ok(BackupReport { file: carry::back_up(app)? })).await
}

/// What could be read of a damaged record.
#[derive(Serialize, JsonSchema)]
pub struct Rescued {
    /// How many entries.
    entries: usize,
    /// The name of the copy in the garage's folder.
    copy: String,
    /// What could not be read.
    problems: Vec<Problem>,
    /// The entries as JSON Lines.
    lines: String,
}

/// Sets a damaged record aside.
pub async fn rescue(State(app): State<Shared>) -> Given<Rescued> {
    given(&app, |app| {
        let found = carry::rescue(app)?;
        Ok(Rescued {
            entries: found.chain.entries().len(),
            copy: carry::name_of(&found.copy),
            problems: app.garage.shown(found.problems).into(),
            lines: export(&found.chain),
        })
    })
    .await
}

/// Takes the record as it is.
pub async fn as_it_is(State(app): State<Shared>) -> Given<CheckReport> {
    given(&app, carry::as_it_is).await
}

/// Takes the vehicle file in.
pub async fn take(State(app): State<Shared>, Path(slug): Path<String>) -> Given<TakenReport> {
    given(&app, move |app| Ok(TakenReport::new(&keep::file(app, &*app.truck(&slug)?)?))).await
}

/// Measures many drives.
pub async fn batch(State(app): State<Shared>, form: FormSent) -> Given<BatchReport> {
    let (place, received) = looked_at::<ask::DrivesSent>(&app, form).await?;
    given(&app, move |app| measured_now(app, &place, &received)).await
}

/// Looks at one drive.
pub async fn drive(State(app): State<Shared>, form: FormSent) -> Given<DriveReport> {
    let (place, received) = looked_at::<ask::DriveSent>(&app, form).await?;
    given(&app, move |app| look_at::drive(app, &place, &received)).await
}

/// Looks at one recording.
pub async fn recording(State(app): State<Shared>, form: FormSent) -> Given<PulseReport> {
    let (place, received) = looked_at::<ask::RecordingSent>(&app, form).await?;
    given(&app, move |app| look_at::recording(app, &place, &received)).await
}

/// Files that are looked at and not kept, with the fields of `T`.
async fn looked_at<T: JsonSchema>(app: &Shared, form: FormSent) -> Result<(Place, Received), PageError> {
    let place = Place::apart(app)?;
    let received = upload::received(app, &place, Sender::Program, form).await?;
    taken::form::<T>(&received)?;
    Ok((place, received))
}

/// Chooses the owner's units.
pub async fn settings(State(app): State<Shared>, Sent(chosen): Sent<ask::UnitsChosen>) -> Given<Chosen> {
    given(&app, move |app| {
        app.garage.choose_settings(Settings { units: units_of(&chosen.units)? })?;
        Ok(read::chosen(app))
    })
    .await
}

/// Keeps the advice.
pub async fn choose(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    Sent(wished): Sent<ask::Wished>,
) -> Given<Vec<AddedReport>> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = keep::choice(app, &truck.slug, &wished.wish(), key(&headers))?;
        Ok(entries.iter().map(AddedReport::new).collect())
    })
    .await
}

/// Keeps a write.
pub async fn set(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    Sent(made): Sent<ask::WriteMade>,
) -> Given<AddedReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let told = keep::Told {
            adjuster: ask::said(&made.adjuster),
            from: made.from.trim(),
            from_reason: ask::said(&made.from_reason),
            to: made.to.trim(),
            writes_left: made.writes_left,
            odometer: ask::said(&made.odometer),
            text: ask::said(&made.text),
            key: key(&headers),
        };
        Ok(AddedReport::new(&keep::write(app, &truck.slug, version(&headers)?, &told)?))
    })
    .await
}

/// Reads again what was set aside.
pub async fn try_again(State(app): State<Shared>, Path(slug): Path<String>) -> Given<Added> {
    given(&app, move |app| {
        app.garage.try_again(&app.truck(&slug)?.slug);
        let known = app.known(&slug)?;
        Ok(Added { slug, version: known.truck.hash.to_string() })
    })
    .await
}

/// Repairs a difference.
pub async fn repair(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Sent(asked): Sent<ask::RepairAsked>,
) -> Given<RepairedReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let right = Side::read(&asked.right)?;
        let found = app.garage.differences(&truck)?;
        Ok(RepairedReport::new(&found, &keep::repair(app, &truck, right)?))
    })
    .await
}

/// Keeps a routine.
pub async fn routine(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Sent(sent): Sent<ask::RoutineSent>,
) -> Given<Routine> {
    given(&app, move |app| {
        let version = Hash::read(&sent.version)?;
        kept(app, &*app.truck(&slug)?, version, &sent.text)?;
        routine_of(app, &slug)
    })
    .await
}

/// Keeps a proof.
pub async fn prove(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    Sent(trial): Sent<Trial>,
) -> Given<AddedReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        Ok(AddedReport::new(&keep::proof(app, &truck.slug, &trial.told()?, key(&headers))?))
    })
    .await
}

/// Adds an entry.
pub async fn record(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    Sent(made): Sent<ask::EntryMade>,
) -> Given<AddedReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let given = Fields {
            odometer: ask::said(&made.odometer),
            text: ask::said(&made.text),
            value: ask::said(&made.value),
            more: made.more(),
        };
        let folder = app.garage.truck_folder(&truck.slug);
        let source = ask::said(&made.source).map(|name| folder.join(kept_name(name)));
        let typed = keep::Typed { kind: &made.kind, given, key: key(&headers) };
        Ok(AddedReport::new(&keep::by_hand(app, &truck, &typed, source.as_deref())?))
    })
    .await
}
