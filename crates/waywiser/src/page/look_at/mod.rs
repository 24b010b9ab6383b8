//! One drive or one recording, looked at without a truck: its files are read, an answer is given, and they are gone.

pub mod kept;
mod view;

use super::addresses::{ONE_DRIVE, ONE_RECORDING};
use super::app::{Answer, App, Shared, unlike_any, work};
use super::error::PageError;
use super::form;
use super::frame::Head;
use super::frame::html as answer;
use super::upload::{self, FormSent, Place, Received, Sender};
use crate::work::asked::Inputs;
use crate::work::drive::MEASURE_DRIVE;
use crate::work::pulses::Recording;
use crate::work::trial::Trial;
use crate::work::typed::given;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use kept::Said;
use maud::Markup;
use std::path;
use truing::problem::{Field, Problem, Problems};
use truing::report::answers::drive::DriveReport;
use truing::report::answers::first::First;
use truing::report::answers::pulses::PulseReport;
use truing::report::document::Document;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(ONE_DRIVE, get(ask_drive).post(look_at_drive))
        .route("/drive/{id}", get(show_drive))
        .route(ONE_RECORDING, get(ask_recording).post(look_at_recording))
        .route("/recording/{id}", get(show_recording))
}

/// What one drive says.
pub fn drive(app: &App, place: &Place, received: &Received) -> Result<DriveReport, PageError> {
    let Place::Apart(scratch) = place else { return Err(PageError::unexpected()) };
    let drive = Trial { drive: received.asked(path::Path::new(""))?, rule: None }.told()?.drive;
    let inputs = drive.lying(|name| scratch.path().join(name));
    app.garage.tried(&inputs.words(&MEASURE_DRIVE), &inputs.files())?;
    let (drive, problems) = inputs.drive().map_err(|problems| app.garage.shown(problems))?;
    Ok(DriveReport::new(&drive, app.garage.shown(problems).into(), app.garage.settings().units))
}

/// What one recording says.
pub fn recording(app: &App, place: &Place, received: &Received) -> Result<PulseReport, PageError> {
    let Place::Apart(scratch) = place else { return Err(PageError::unexpected()) };
    let laid = |name: &str| received.file(name).map(|name| scratch.path().join(name));
    let asked = Recording {
        file: laid("file").ok_or_else(no_recording)?,
        turns: text(received, "turns").map(turns).transpose()?,
        distance: text(received, "distance").map(str::to_string),
        measured_to_nearest: text(received, "measured_to_nearest").map(str::to_string),
        track: laid("track"),
        channel: text(received, "channel").map(str::to_string),
    };
    app.garage.tried(&asked.words(), &asked.files())?;
    let mut report =
        asked.report(app.garage.settings().units).map_err(|problems| app.garage.shown(problems))?;
    report.problems = app.garage.shown(report.problems).into();
    Ok(report)
}

/// What was typed into a field.
fn text<'r>(received: &'r Received, name: &str) -> Option<&'r str> {
    received.fields.get(name).and_then(|text| given(text))
}

fn turns(text: &str) -> Result<f64, Problems> {
    text.parse()
        .map_err(|_| Problems::from(Problem::error(Field::Turns, "a number above 0", format!("`{text}`"))))
}

fn no_recording() -> PageError {
    let problem = Problem::error("file", "a recording of the sensor's wire", "none");
    let hint = "Choose a WAV file, sound as a phone records it, a logic analyser's CSV or a VCD file.";
    PageError::unusable(problem.hint(hint))
}

async fn ask_drive(State(app): State<Shared>) -> Answer {
    let form = view::ask_drive(&form::token(&app), app.garage.settings().units);
    Ok(page(ONE_DRIVE, &form))
}

async fn ask_recording(State(app): State<Shared>) -> Answer {
    let form = view::ask_recording(&form::token(&app), app.garage.settings().units);
    Ok(page(ONE_RECORDING, &form))
}

async fn look_at_drive(State(app): State<Shared>, form: FormSent) -> Answer {
    let (place, received) = received(&app, form).await?;
    work(&app, move |app| {
        let report = drive(app, &place, &received);
        let report = report.map_err(|error| error.or("Choose the files again", ONE_DRIVE))?;
        to_answer(app, ONE_DRIVE, report.first(), report.document(), report.problems)
    })
    .await
}

async fn look_at_recording(State(app): State<Shared>, form: FormSent) -> Answer {
    let (place, received) = received(&app, form).await?;
    work(&app, move |app| {
        let report = recording(app, &place, &received);
        let report = report.map_err(|error| error.or("Choose the file again", ONE_RECORDING))?;
        to_answer(app, ONE_RECORDING, report.first(), report.document(), report.problems)
    })
    .await
}

async fn received(app: &Shared, form: FormSent) -> Result<(Place, Received), PageError> {
    let place = Place::apart(app)?;
    let received = upload::received(app, &place, Sender::Form, form).await?;
    Ok((place, received))
}

/// Keeps an answer for a while, and leads to it: a page that can be loaded again, printed, gone back to.
fn to_answer(app: &App, address: &str, first: First, document: Document, problems: Vec<Problem>) -> Answer {
    let id = unlike_any()?;
    app.looked.keep(&id, Said { first, document, problems });
    Ok(Redirect::to(&format!("{address}/{id}")).into_response())
}

async fn show_drive(State(app): State<Shared>, Path(id): Path<String>) -> Answer {
    show(&app, ONE_DRIVE, &id)
}

async fn show_recording(State(app): State<Shared>, Path(id): Path<String>) -> Answer {
    show(&app, ONE_RECORDING, &id)
}

fn show(app: &App, address: &str, id: &str) -> Answer {
    let said = app.looked.get(id).ok_or_else(|| {
        let says = "Answers are kept until waywiser is stopped or five later ones were given. Send the files once more.";
        PageError::new(StatusCode::NOT_FOUND, "This answer is no longer here", says).or("Choose the files again", address)
    })?;
    Ok(answer(Head::new(title(address)).frame(&view::answered(&said, address))))
}

fn title(address: &str) -> &'static str {
    if address == ONE_DRIVE { "One drive" } else { "One recording" }
}

fn page(address: &str, body: &Markup) -> Response {
    let lead = if address == ONE_DRIVE { view::DRIVE_LEAD } else { view::RECORDING_LEAD };
    answer(Head::new(title(address)).leading(lead).with_scripts(&["drop.js"]).frame(body))
}
