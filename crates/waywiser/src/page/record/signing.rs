//! The key of the record, and an export held against a signed paper.

use super::carry::sent_export;
use crate::ledger::{key, make_key};
use crate::page::addresses::WHOLE_RECORD;
use crate::page::app::{Answer, App, Shared, work};
use crate::page::error::PageError;
use crate::page::form::{self, Posted, form};
use crate::page::frame::{Head, html};
use crate::page::upload::{self, FormSent, Place, Sender};
use crate::page::{blocks, files};
use crate::work::entry::carry::verified;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html as markup};
use std::path::Path;
use truing::report::answers::record_head::{KeyReport, VerifyReport};

/// The key, as far as others may know it.
pub fn key_report(app: &App) -> Result<KeyReport, PageError> {
    let found = key(app.garage.folder()).map_err(|problems| app.garage.shown(problems))?;
    Ok(KeyReport::new(found.as_ref()))
}

/// The same; one is made where there is none.
pub fn made_key(app: &App) -> Result<KeyReport, PageError> {
    let made = make_key(app.garage.folder()).map_err(|problems| app.garage.shown(problems))?;
    Ok(KeyReport::new(Some(&made)))
}

/// Holds an export that was sent as a file of this name against what was typed from a sheet.
pub fn held_against(app: &App, file: &Path, sheet_code: &str) -> Result<VerifyReport, PageError> {
    let report = verified(file, sheet_code).map_err(|problems| {
        PageError::unusable(app.garage.shown(problems)).or("The whole record", WHOLE_RECORD)
    })?;
    Ok(VerifyReport { problems: app.garage.shown(report.problems.clone()).into(), ..report })
}

/// The part of the page of the whole record.
pub fn section(app: &App) -> Markup {
    let found = key(app.garage.folder()).map(|found| KeyReport::new(found.as_ref()));
    markup! {
        section id="key" {
            h2 { "Signed papers" }
            @match &found {
                Ok(report) => {
                    @for says in report.says() { p { (says) } }
                    @if report.key.is_none() {
                        (form(app, &format!("{WHOLE_RECORD}/key"), &markup! { button class="plain" { "Make a key, and sign papers from now on" } }))
                    }
                }
                Err(problems) => (blocks::problems(&app.garage.shown(problems.clone()))),
            }
            h3 { "Hold an export against a signed paper" }
            p { "Yours or somebody else's: the exported record (JSON Lines), and the sheet code that stands on the paper. Nothing is kept." }
            form class="drop sends" method="post" enctype="multipart/form-data" action={ (WHOLE_RECORD) "/verify" } {
                (form::token(app))
                label for="export-held" { "The export to hold against it" }
                input type="file" id="export-held" name="file" required accept=".jsonl,.ndjson,.gz,.zip";
                label for="sheet_code" { "The sheet code, all eight rows" }
                textarea id="sheet_code" name="sheet_code" rows="8" required autocomplete="off" spellcheck="false" {}
                (files::under_way())
                button { "Hold them against each other" }
            }
        }
    }
}

/// Makes a key from the page.
pub async fn make(State(app): State<Shared>, _posted: Posted) -> Answer {
    work(&app, |app| {
        made_key(app)?;
        Ok(Redirect::to(&format!("{WHOLE_RECORD}#key")).into_response())
    })
    .await
}

/// Verifies from the page.
pub async fn verify(State(app): State<Shared>, parts: FormSent) -> Answer {
    let place = Place::apart(&app)?;
    let received = upload::received(&app, &place, Sender::Form, parts).await?;
    work(&app, move |app| {
        let export = sent_export(&place, &received)?;
        let sheet_code = received.fields.get("sheet_code").map_or("", String::as_str);
        let report = held_against(app, &export, sheet_code)?;
        Ok(html(Head::new("An export held against a sheet").frame(&shown(&report))))
    })
    .await
}

fn shown(report: &VerifyReport) -> Markup {
    let says = report.says();
    markup! {
        p class={ "verdict " (if report.ok { "go" } else { "wait" }) } role="status" {
            strong { (if report.ok { "It holds." } else { "It does not hold." }) } " " (says.first().map_or("", String::as_str))
        }
        @for says in says.iter().skip(1) { p { (says) } }
        (blocks::problems(&report.problems))
        p { a href=(WHOLE_RECORD) { "Back to the whole record" } }
    }
}
