//! Many drives at once: files come in, are measured beside the server, and come to a table that is kept for a while.

mod job;
pub mod kept;
mod view;

pub use job::measured_now;

use super::addresses::MANY_DRIVES;
use super::app::{Answer, Shared, work};
use super::error::PageError;
use super::form;
use super::frame::{Head, html};
use super::upload::{self, FormSent, Place, Sender};
use crate::work::batch::rows;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use kept::Job;
use std::sync::Arc;
use truing::report::answers::batch::BatchReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(MANY_DRIVES, get(ask).post(begin))
        .route("/batch/{id}", get(show))
        .route("/batch/{id}/table.csv", get(csv))
        .route("/batch/{id}/table.json", get(json))
}

async fn ask(State(app): State<Shared>) -> Answer {
    let body = view::ask(&form::token(&app));
    Ok(html(Head::new(TITLE).leading(view::LEAD).with_scripts(&["drop.js"]).frame(&body)))
}

const TITLE: &str = "Many drives at once";

/// Takes the files in and begins; the page that follows tells how far it is.
async fn begin(State(app): State<Shared>, parts: FormSent) -> Answer {
    let place = Place::apart(&app)?;
    let received = upload::received(&app, &place, Sender::Form, parts).await?;
    if received.files.is_empty() {
        return Err(nothing_sent());
    }
    let id = job::begin(&app, &place, received)?;
    Ok(Redirect::to(&address(&id)).into_response())
}

fn nothing_sent() -> PageError {
    let says =
        "No file was chosen. Choose the tracks and logs of some drives, or a zip archive with all of them.";
    PageError::new(StatusCode::UNPROCESSABLE_ENTITY, "Nothing to measure", says)
        .or("Choose files", MANY_DRIVES)
}

fn address(id: &str) -> String {
    format!("{MANY_DRIVES}/{id}")
}

fn job(app: &Shared, id: &str) -> Result<Arc<Job>, PageError> {
    app.batches.get(id).ok_or_else(|| {
        let says = "Tables are kept until waywiser is stopped or five later ones were made. Send the files once more.";
        PageError::new(StatusCode::NOT_FOUND, "This table is no longer here", says)
            .or("Many drives at once", MANY_DRIVES)
    })
}

async fn show(State(app): State<Shared>, Path(id): Path<String>) -> Answer {
    let job = job(&app, &id)?;
    work(&app, move |app| {
        let address = address(&id);
        Ok(match job.outcome() {
            None => html(Head::new(TITLE).again_after(1).frame(&view::under_way(&job, &address))),
            Some(report) => {
                let says = report.says();
                let head = Head::new(TITLE).leading(&says);
                html(head.frame(&view::table(report, &address, app.garage.settings().units)))
            }
        })
    })
    .await
}

/// The table of a job that is done.
fn done(app: &Shared, id: &str) -> Result<BatchReport, PageError> {
    let job = job(app, id)?;
    let unfinished = || {
        let says = "The drives are still being measured. The table comes when they are done.";
        PageError::new(StatusCode::CONFLICT, "Not done yet", says).or("How far it is", &address(id))
    };
    job.outcome().cloned().ok_or_else(unfinished)
}

async fn csv(State(app): State<Shared>, Path(id): Path<String>) -> Answer {
    let report = done(&app, &id)?;
    let bytes = rows::csv(&report)?;
    Ok(file("text/csv; charset=utf-8", "drives.csv", bytes))
}

async fn json(State(app): State<Shared>, Path(id): Path<String>) -> Answer {
    let report = done(&app, &id)?;
    let bytes = serde_json::to_vec_pretty(&report).unwrap_or_default();
    Ok(file("application/json", "drives.json", bytes))
}

fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let saved = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_string()), (header::CONTENT_DISPOSITION, saved)], bytes).into_response()
}
