//! Measure: evidence and what it comes to.

use super::frame::Head;
use super::routes::Stage;
use super::{Answer, Shared, document, html as answer, work};
use axum::Router;
use axum::extract::{Path, State};
use axum::routing::get;
use truing::report::vehicle::VehicleReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/measure", get(show))
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    work(&app, move |app| {
        let known = app.known(&slug)?;
        let problems = known.loaded.problems.clone();
        let report = VehicleReport::new(&known.loaded.vehicle, &known.estimate, problems);
        Ok(answer(Head::of(&known.truck, Stage::Measure).frame(&document::whole(&report.document()))))
    })
    .await
}
