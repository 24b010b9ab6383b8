//! What can be changed.

use super::read::{Routine, routine_of};
use super::{Given, ask, given, version};
use crate::cli::record::add_fields::Given as Typed;
use crate::page::answers::Trial;
use crate::page::batch::measured_now;
use crate::page::form::{LARGEST_FORM_BYTES, too_large};
use crate::page::record::carry;
use crate::page::set::routine::kept;
use crate::page::upload::{self, Place, Sender};
use crate::page::{PageError, Shared, keep};
use axum::body::{Body, Bytes};
use axum::extract::{Multipart, Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Json;
use schemars::JsonSchema;
use serde::Serialize;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, any_error};
use truing::record::{EventKind, Hash, export};
use truing::report::batch::BatchReport;
use truing::report::record::{AddedReport, BackupReport, ImportReport, TakenReport};

use crate::garage::Refused;

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

fn text_of(bytes: &Bytes) -> Result<String, PageError> {
    if bytes.len() > LARGEST_FORM_BYTES {
        return Err(too_large(LARGEST_FORM_BYTES as u64));
    }
    String::from_utf8(bytes.to_vec())
        .map_err(|_| PageError::unusable(vec![Problem::error("the body", "text in UTF-8", "other bytes")]))
}

/// Adds a truck.
pub async fn add(State(app): State<Shared>, bytes: Bytes) -> Given<Added> {
    given(&app, move |app| {
        let text = text_of(&bytes)?;
        let (vehicle, problems) = Vehicle::read("the vehicle file", &text);
        let Some(vehicle) = vehicle.filter(|_| !any_error(&problems)) else {
            return Err(PageError::unusable(problems));
        };
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
    bytes: Bytes,
) -> Given<Added> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let text = text_of(&bytes)?;
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
    Query(asked): Query<ask::FileNamed>,
    body: Body,
) -> Given<KeptFile> {
    let truck = app.truck(&slug)?;
    let name = upload::body_laid_down(&app, &Place::Beside(truck.slug.clone()), &asked.name, body).await?;
    Ok(Json(KeptFile { name }))
}

/// Takes in an exported record.
pub async fn import(State(app): State<Shared>, body: Body) -> Given<ImportReport> {
    let place = Place::apart(&app)?;
    let name = upload::body_laid_down(&app, &place, "record.jsonl", body).await?;
    given(&app, move |app| match &place {
        Place::Apart(scratch) => carry::import(app, &scratch.path().join(name)),
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
            problems: app.garage.shown(found.problems),
            lines: export(&found.chain),
        })
    })
    .await
}

/// Takes the vehicle file in.
pub async fn take(State(app): State<Shared>, Path(slug): Path<String>) -> Given<TakenReport> {
    given(&app, move |app| Ok(TakenReport::new(&keep::file(app, &*app.truck(&slug)?)?))).await
}

/// Measures many drives.
pub async fn batch(State(app): State<Shared>, mut parts: Multipart) -> Given<BatchReport> {
    let place = Place::apart(&app)?;
    let received = upload::received(&app, &place, Sender::Program, &mut parts).await?;
    given(&app, move |app| measured_now(app, &place, &received)).await
}

/// Keeps the advice.
pub async fn choose(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    bytes: Bytes,
) -> Given<Vec<AddedReport>> {
    given(&app, move |app| {
        let wished: ask::Wished = ask::sent(&bytes)?;
        let truck = app.truck(&slug)?;
        let entries = keep::choice(app, &truck.slug, &wished.wish())?;
        Ok(entries.iter().map(AddedReport::new).collect())
    })
    .await
}

/// Keeps a write.
pub async fn set(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    headers: HeaderMap,
    bytes: Bytes,
) -> Given<AddedReport> {
    given(&app, move |app| {
        let made: ask::WriteMade = ask::sent(&bytes)?;
        let truck = app.truck(&slug)?;
        let told = keep::Told {
            adjuster: ask::said(&made.adjuster),
            from: made.from.trim(),
            to: made.to.trim(),
            odometer: ask::said(&made.odometer),
            text: ask::said(&made.text),
        };
        Ok(AddedReport::new(&keep::write(app, &truck.slug, version(&headers)?, &told)?))
    })
    .await
}

/// Keeps a routine.
pub async fn routine(State(app): State<Shared>, Path(slug): Path<String>, bytes: Bytes) -> Given<Routine> {
    given(&app, move |app| {
        let sent: ask::RoutineSent = ask::sent(&bytes)?;
        let version = Hash::read(&sent.version).map_err(|problem| vec![problem])?;
        kept(app, &*app.truck(&slug)?, version, &sent.text)?;
        routine_of(app, &slug)
    })
    .await
}

/// Keeps a proof.
pub async fn prove(State(app): State<Shared>, Path(slug): Path<String>, bytes: Bytes) -> Given<AddedReport> {
    given(&app, move |app| {
        let trial: Trial = ask::sent(&bytes)?;
        let truck = app.truck(&slug)?;
        Ok(AddedReport::new(&keep::proof(app, &truck.slug, &trial.told()?)?))
    })
    .await
}

/// Adds an entry.
pub async fn record(State(app): State<Shared>, Path(slug): Path<String>, bytes: Bytes) -> Given<AddedReport> {
    given(&app, move |app| {
        let made: ask::EntryMade = ask::sent(&bytes)?;
        let truck = app.truck(&slug)?;
        let kind = EventKind::read(&made.kind).map_err(|problem| vec![problem])?;
        let typed = Typed {
            odometer: ask::said(&made.odometer),
            text: ask::said(&made.text),
            value: ask::said(&made.value),
            more: made.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect(),
        };
        Ok(AddedReport::new(&keep::by_hand(app, &truck, kind, &typed)?))
    })
    .await
}
