//! A drive that came in from the run page, on the Measure page: what it tells is one tap away from being evidence.

use crate::garage::{LooseFile, NotTaken, RunId, Truck};
use crate::page::addresses::{RUN, Stage, encoded, truck as under};
use crate::page::app::{Answer, App, Shared, work};
use crate::page::error::PageError;
use crate::page::form::{Posted, form};
use crate::page::refused::refused_page;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use maud::{Markup, html};
use truing::describe::evidence::MarkedReading;
use truing::measure::drive::Reads;
use truing::report::answers::drive::DriveReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/files/{name}/marked", post(add))
        .route("/trucks/{slug}/runs/{run}/keep", post(keep))
}

/// The field that says which marks are taken.
const MARKED: &str = "marked";

/// What a drive with marks tells, as far as it was worked out, and a button for each of its marks.
pub fn of_file(app: &App, truck: &Truck, file: &str, told: Option<&DriveReport>) -> Markup {
    let of_dial = told.is_none_or(|told| told.reads == Reads::Needle);
    let of_odometer = told.is_none_or(|told| told.reads == Reads::Distance || told.by_odometer.is_some());
    let action = under(&truck.slug, &format!("files/{}/marked", encoded(file)));
    let button = |marked: &str, says: &str| {
        form(app, &action, &html! { input type="hidden" name=(MARKED) value=(marked); button { (says) } })
    };
    html! {
        @for sentence in told.map(DriveReport::marks_tell).unwrap_or_default() { p { (sentence) } }
        div class="ways-on" {
            @if of_dial { (button("holds", "Add what the dial showed")) }
            @if of_odometer { (button("odometer", "Add what the odometer counted")) }
        }
    }
}

/// The way to the run page, and drives of it that are not whole.
pub fn open_runs(app: &App, truck: &Truck) -> Markup {
    let open = app.garage.open_runs(&truck.slug);
    html! {
        p { a class="button plain" href={ (RUN) "?truck=" (truck.slug) } { "Record a drive with a passenger" } }
        @for (run, records) in &open {
            div class="told" {
                p { "A drive with marks is coming in: " (records) " records so far. The phone sends the rest once it is asked to." }
                (form(app, &under(&truck.slug, &format!("runs/{}/keep", run.as_str())), &html! {
                    button class="plain" { "No more will come: keep these as a file" }
                }))
            }
        }
    }
}

async fn add(
    State(app): State<Shared>,
    Path((slug, name)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let marked = match posted.text(MARKED) {
            "odometer" => MarkedReading::Odometer,
            _ => MarkedReading::Holds,
        };
        let loose = truck.vehicle.as_ref().map(|vehicle| app.garage.loose_files(&truck.slug, vehicle));
        let is_loose = |file: &LooseFile| file.name == name;
        if !loose.is_some_and(|loose| loose.iter().any(is_loose)) {
            let says = "It may be evidence already, or was deleted.";
            return Err(PageError::new(StatusCode::NOT_FOUND, "There is no such file to add", says)
                .or("To the evidence", &Stage::Measure.of(&truck.slug)));
        }
        let measure = Stage::Measure.of(&truck.slug);
        let added = app.garage.add_marked(&truck, &name, marked);
        added.map_err(|refused| refused_page(app, refused, &measure, &posted))?;
        Ok(Redirect::to(&format!("{measure}?came={}", encoded(&name))).into_response())
    })
    .await
}

async fn keep(
    State(app): State<Shared>,
    Path((slug, run)): Path<(String, String)>,
    _posted: Posted,
) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let measure = Stage::Measure.of(&truck.slug);
        let open = app.garage.open_runs(&truck.slug).into_iter();
        let found = RunId::read(&run).and_then(|wanted| open.into_iter().find(|(run, _)| *run == wanted));
        let Some((run, records)) = found else {
            return Err(PageError::new(
                StatusCode::NOT_FOUND,
                "There is no such drive",
                "It may be whole by now.",
            )
            .or("To the evidence", &measure));
        };
        match app.garage.end_run(&run, &truck.slug, records) {
            Ok(ended) => {
                Ok(Redirect::to(&format!("{measure}?came={}", encoded(&ended.file))).into_response())
            }
            Err(NotTaken::Problems(problems)) => Err(problems.into()),
            Err(_) => Err(PageError::new(
                StatusCode::CONFLICT,
                "More of it came meanwhile",
                "Look at the page again.",
            )
            .or("To the evidence", &measure)),
        }
    })
    .await
}
