//! The job sheet: as a page that prints, and as one file that opens anywhere.

use crate::cli::sheet::sheet_of;
use crate::page::frame::Head;
use crate::page::routes::Stage;
use crate::page::{Answer, App, PageError, Shared, answers, document, html, work};
use crate::paper::{self, SheetInfo};
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use std::sync::Arc;
use truing::report::document::Document;

fn sheet(app: &App, slug: &str) -> Result<(Arc<crate::garage::Known>, Document), PageError> {
    let known = app.known(slug)?;
    let choice = known.choice().clone()?;
    let sheet = sheet_of(&known.loaded, &known.estimate, &choice, app.garage.settings().units)?;
    Ok((known, sheet))
}

/// As a page.
pub async fn show(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    work(&app, move |app| {
        let (known, sheet) = sheet(app, &slug)?;
        let body = maud::html! {
            nav class="ways" aria-label="The sheet" {
                a class="button plain" href={ "/trucks/" (known.truck.slug) "/sheet.html" } { "Save it as one file" }
                a class="button plain" href=(Stage::Record.of(&known.truck.slug)) { "Back to the record" }
            }
            (document::whole(&sheet))
        };
        let title = format!("Job sheet: {}", sheet.title);
        Ok(html(Head::of(&known.truck, Stage::Record).titled(&title).frame(&body)))
    })
    .await
}

/// As one file with all it needs.
pub async fn file(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    work(&app, move |app| {
        let (_, sheet) = sheet(app, &slug)?;
        let software = concat!("waywiser ", env!("CARGO_PKG_VERSION")).into();
        let info = SheetInfo { made_on: answers::today().to_string(), software };
        let kind = "text/html; charset=utf-8";
        let saved = "attachment; filename=\"sheet.html\"";
        let headers = [(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, saved)];
        Ok((headers, paper::html(&sheet, &info)).into_response())
    })
    .await
}
