//! The whole record as files, and the backup.

use crate::page::form::Posted;
use crate::page::routes::Stage;
use crate::page::{Answer, App, PageError, Shared, answers, work};
use crate::world;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use truing::record::{Entry, csv_head, export_csv, export_entry};

/// JSON Lines.
pub async fn lines(State(app): State<Shared>) -> Answer {
    let line = |entry: &Entry| export_entry(entry) + "\n";
    let text = work(&app, move |app| whole(app, String::new(), line)).await?;
    Ok(file("application/x-ndjson", text))
}

/// A table.
pub async fn table(State(app): State<Shared>) -> Answer {
    let text = work(&app, |app| whole(app, csv_head().to_string(), export_csv)).await?;
    Ok(file("text/csv; charset=utf-8", text))
}

/// Every entry, written one after the other.
pub fn whole(app: &App, mut text: String, line: impl Fn(&Entry) -> String) -> Result<String, PageError> {
    if let Some(ledger) = answers::ledger(app)? {
        ledger.each(|entry| text.push_str(&line(&entry)))?;
    }
    Ok(text)
}

fn file(kind: &'static str, text: String) -> Response {
    ([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, "attachment")], text).into_response()
}

/// A copy of the record beside it, named with the time.
pub async fn back_up(State(app): State<Shared>, Path(slug): Path<String>, _posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let stamp: String =
            world::now().to_string().chars().take(19).map(|c| if c == ':' { '-' } else { c }).collect();
        let file = app.garage.folder().join("backups").join(format!("record-{stamp}.sqlite"));
        let made = app.garage.ledger()?.back_up(&file);
        made.map_err(|problems| PageError::unusable(app.garage.shown(problems)))?;
        Ok(Redirect::to(&format!("{}?backup=made", Stage::Record.of(&truck.slug))).into_response())
    })
    .await
}
