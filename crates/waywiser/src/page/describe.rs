//! Describe: the chain from road to needle.

use super::frame::Head;
use super::routes::Stage;
use super::{Answer, Shared, document, html as answer, work};
use axum::Router;
use axum::extract::{Path, State};
use axum::routing::get;
use truing::report::description::DescriptionReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/describe", get(show))
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    work(&app, move |app| {
        let known = app.known(&slug)?;
        let problems = known.loaded.problems.clone();
        let report = DescriptionReport::new(&known.loaded.vehicle, &known.described, problems);
        Ok(answer(Head::of(&known.truck, Stage::Describe).frame(&document::whole(&report.document()))))
    })
    .await
}
