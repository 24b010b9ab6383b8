//! The whole record on its way out and in: exports, copies, what another record adds, what is left of a damaged one.

use crate::ledger::{Salvage, salvage, salvaged};
use crate::page::addresses::WHOLE_RECORD;
use crate::page::app::{Answer, App, Shared, work};
use crate::page::error::PageError;
use crate::page::frame::{Head, html};
use crate::page::upload::{self, FormSent, Place, Received, Sender};
use crate::page::{answers, blocks, form};
use crate::work::entry::carry::{stamp, take_in};
use crate::world::{self, Scratch};
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html as markup};
use std::path::{Path as FilePath, PathBuf};
use truing::problem::Problem;
use truing::record::{Entry, Expected, csv_head, export, export_csv, export_entry};
use truing::report::answers::record::{CheckReport, ImportReport};

/// JSON Lines.
pub async fn lines(State(app): State<Shared>) -> Answer {
    let line = |entry: &Entry| export_entry(entry) + "\n";
    let text = work(&app, move |app| whole_as(app, String::new(), line)).await?;
    Ok(file(JSON_LINES, "record.jsonl", text.into_bytes()))
}

/// A table.
pub async fn table(State(app): State<Shared>) -> Answer {
    let text = work(&app, |app| whole_as(app, csv_head().to_string(), export_csv)).await?;
    Ok(file("text/csv; charset=utf-8", "record.csv", text.into_bytes()))
}

/// The type of an export.
pub const JSON_LINES: &str = "application/x-ndjson";
/// The type of the record's own file, as registered with IANA.
pub const SQLITE: &str = "application/vnd.sqlite3";

/// Every entry, written one after the other.
pub fn whole_as(app: &App, mut text: String, line: impl Fn(&Entry) -> String) -> Result<String, PageError> {
    if let Some(ledger) = answers::ledger(app)? {
        ledger.each(|entry| text.push_str(&line(&entry))).map_err(|problems| app.garage.shown(problems))?;
    }
    Ok(text)
}

/// Something to be kept as a file.
pub fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let saved = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_string()), (header::CONTENT_DISPOSITION, saved)], bytes).into_response()
}

/// A copy of the whole record as it is at one moment, whatever others write meanwhile.
pub async fn copy(State(app): State<Shared>) -> Answer {
    work(&app, |app| {
        let scratch = Scratch::inside(app.garage.folder()).map_err(|problem| app.garage.shown(problem))?;
        let path = scratch.path().join("record.sqlite");
        let Some(ledger) = answers::ledger(app)? else { return Err(nothing_recorded()) };
        ledger.back_up(&path).map_err(|problems| app.garage.shown(problems))?;
        let mut bytes = Vec::new();
        let read = world::feed(&path, |piece| bytes.extend_from_slice(piece));
        read.map_err(|problem| app.garage.shown(problem))?;
        Ok(file(SQLITE, &format!("record-{}.sqlite", stamp()), bytes))
    })
    .await
}

fn nothing_recorded() -> PageError {
    PageError::new(
        StatusCode::NOT_FOUND,
        "Nothing is recorded yet",
        "The record is empty, so there is no copy of it.",
    )
    .or("The whole record", WHOLE_RECORD)
}

/// A copy of the record beside it, named with the time; tells its name below the garage's folder.
pub fn back_up(app: &App) -> Result<String, PageError> {
    let Some(ledger) = answers::ledger(app)? else { return Err(nothing_recorded()) };
    let name = format!("record-{}.sqlite", stamp());
    let made = ledger.back_up(&app.garage.folder().join(BACKUPS).join(&name));
    made.map_err(|problems| PageError::unusable(app.garage.shown(problems)))?;
    Ok(format!("{BACKUPS}/{name}"))
}

/// The folder of backups in the garage's own.
const BACKUPS: &str = "backups";

/// The same from a page.
pub async fn make_backup(State(app): State<Shared>, _posted: form::Posted) -> Answer {
    work(&app, |app| {
        back_up(app)?;
        Ok(Redirect::to(&format!("{WHOLE_RECORD}?backup=made")).into_response())
    })
    .await
}

/// Takes in an exported record that was sent as a file of this name.
pub fn import(app: &App, file: &FilePath, any_times: bool) -> Result<ImportReport, PageError> {
    let taken = take_in(&mut app.garage.ledger()?, file, any_times);
    taken.map_err(|problems| {
        PageError::unusable(app.garage.shown(problems)).or("The whole record", WHOLE_RECORD)
    })
}

/// The one file of a form that takes an export.
pub fn sent_export(place: &Place, received: &Received) -> Result<PathBuf, PageError> {
    let (Place::Apart(scratch), [(_, name)]) = (place, &received.files[..]) else {
        let problem =
            Problem::error("the form", "one file, as the export of a record gives it", "none or several");
        return Err(PageError::unusable(problem).or("The whole record", WHOLE_RECORD));
    };
    Ok(scratch.path().join(name))
}

/// The same from a page.
pub async fn take_import(State(app): State<Shared>, parts: FormSent) -> Answer {
    let place = Place::apart(&app)?;
    let received = upload::received(&app, &place, Sender::Form, parts).await?;
    work(&app, move |app| {
        let export = sent_export(&place, &received)?;
        let ImportReport { added, in_file } =
            import(app, &export, received.fields.contains_key("any_times"))?;
        Ok(Redirect::to(&format!("{WHOLE_RECORD}?imported={added}&of={in_file}")).into_response())
    })
    .await
}

/// Takes the record as it is from now on, though another one was seen here before, and checks it.
pub fn as_it_is(app: &App) -> Result<CheckReport, PageError> {
    let Some(ledger) = answers::ledger(app)? else { return Err(nothing_recorded()) };
    ledger.take_as_it_is().map_err(|problems| app.garage.shown(problems))?;
    Ok(answers::check_report(app, &Expected::default(), false)?)
}

/// The same from a page.
pub async fn take_as_it_is(State(app): State<Shared>, _posted: form::Posted) -> Answer {
    work(&app, |app| {
        as_it_is(app)?;
        Ok(Redirect::to(&format!("{WHOLE_RECORD}?check=now#check")).into_response())
    })
    .await
}

/// Sets a damaged record aside by copy, and reads what can be read.
pub fn rescue(app: &App) -> Result<Salvage, PageError> {
    let found = salvage(app.garage.folder(), &stamp());
    found.map_err(|problems| {
        PageError::unusable(app.garage.shown(problems)).or("The whole record", WHOLE_RECORD)
    })
}

/// The same from a page.
pub async fn show_rescue(State(app): State<Shared>, _posted: form::Posted) -> Answer {
    work(&app, |app| {
        let found = rescue(app)?;
        let name = name_of(&found.copy);
        let body = rescued(found.chain.entries().len(), &name, &app.garage.shown(found.problems));
        Ok(html(Head::new("What could be read").frame(&body)))
    })
    .await
}

/// What a rescue found.
fn rescued(entries: usize, copy: &str, problems: &[Problem]) -> Markup {
    markup! {
        p role="status" { (entries) " entries could be read. The copy stands in the garage's folder under the name " code { (copy) } "." }
        @if entries > 0 { p { a class="button" href={ (WHOLE_RECORD) "/rescued/" (copy) } download="readable.jsonl" { "Download what could be read (JSON Lines)" } } }
        (blocks::problems(problems))
        p { a href=(WHOLE_RECORD) { "Back to the whole record" } }
    }
}

/// The last part of a path.
pub fn name_of(path: &FilePath) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// What could be read of a copy that was set aside, as JSON Lines.
pub async fn readable(State(app): State<Shared>, Path(name): Path<String>) -> Answer {
    work(&app, move |app| {
        let copy = set_aside(app, &name).ok_or_else(|| {
            let says = "No copy of a damaged record has this name.";
            PageError::new(StatusCode::NOT_FOUND, "There is no such copy", says)
                .or("The whole record", WHOLE_RECORD)
        })?;
        let (chain, _) = salvaged(&copy);
        Ok(file(JSON_LINES, "readable.jsonl", export(&chain).into_bytes()))
    })
    .await
}

/// Only copies that a rescue made are ever read so.
fn set_aside(app: &App, name: &str) -> Option<PathBuf> {
    let in_folder = world::files_in(app.garage.folder());
    let is_one =
        |known: &&String| *known == name && name.starts_with("record-damaged-") && name.ends_with(".sqlite");
    in_folder.iter().find(is_one).map(|name| app.garage.folder().join(name))
}
