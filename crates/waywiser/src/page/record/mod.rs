//! Record: what was done when, true distance, what is due, and the files to keep elsewhere.

mod carry;
mod sheet;
mod view;

use super::answers;
use super::form::{self, Posted};
use super::frame::Head;
use super::routes::{self, Stage};
use super::{Answer, App, PageError, Shared, choose, html, keep, papers, work};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use serde::Deserialize;
use truing::problem::Problem;
use truing::record::{Expected, Hash};
use truing::report::record::CheckReport;
use truing::report::timeline::timeline;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/record", get(show).post(add))
        .route("/trucks/{slug}/record/backup", post(carry::back_up))
        .route("/trucks/{slug}/sheet", get(sheet::show))
        .route("/trucks/{slug}/sheet.html", get(sheet::file))
        .route("/record.jsonl", get(carry::lines))
        .route("/record.csv", get(carry::table))
}

/// What stands in the address.
#[derive(Deserialize)]
struct Asked {
    added: Option<String>,
    backup: Option<String>,
    check: Option<String>,
    entries: Option<String>,
    head: Option<String>,
    model_year: Option<String>,
}

impl Asked {
    fn says(&self) -> Option<String> {
        let number = self.added.as_deref().and_then(|added| added.parse::<u64>().ok());
        let added = number.map(|number| format!("Entry {number} is in the record, safe on disk."));
        added.or(self
            .backup
            .as_ref()
            .map(|_| "A backup of the whole record was made in the garage's folder.".into()))
    }

    /// The check that is asked for, against what stands on paper where that was typed.
    fn check(&self, app: &App) -> Result<Option<CheckReport>, PageError> {
        let head = self.head.as_deref().and_then(answers::given);
        let entries = answers::number("entries", self.entries.as_deref())?;
        if self.check.is_none() && head.is_none() && entries.is_none() {
            return Ok(None);
        }
        let head = head.map(Hash::read).transpose().map_err(|problem: Problem| vec![problem])?;
        Ok(Some(answers::check_report(app, &Expected { head, entries })?))
    }
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>, Query(asked): Query<Asked>) -> Answer {
    work(&app, move |app| {
        let (truck, units) = (app.truck(&slug)?, app.garage.settings().units);
        let entries = answers::entries(app, &truck)?;
        let model_year = answers::number("model_year", asked.model_year.as_deref())?;
        let head = answers::ledger(app)?.map_or(Ok(None), |ledger| ledger.head())?;
        let distance = answers::distance_report(&truck.name, &entries, None, None, units)?;
        let on_paper = [papers::Kind::History, papers::Kind::DoorFrame];
        let body = view::view(&view::Shown {
            history: &answers::history_report(&truck.name, &entries, units),
            timeline: &timeline(&entries),
            distance: &distance,
            origin: answers::distance_origin(&entries, &distance, units).as_slice(),
            head: head.map(|head| head.to_string()).as_deref(),
            check: asked.check(app)?.as_ref(),
            papers: &answers::papers_report(&truck.name, &entries, model_year, units),
            model_year,
            truck: routes::truck(&truck.slug, "").trim_end_matches('/'),
            said: asked.says().as_deref(),
            proof_of_origin: &form::token(app),
            recorded_as: Some(app.garage.recorded_as(&truck)).filter(|name| *name != truck.name).as_deref(),
            units,
            on_paper: &papers::buttons(&truck, if entries.is_empty() { &[] } else { &on_paper }),
        });
        Ok(html(Head::of(&truck, Stage::Record).frame(&body)))
    })
    .await
}

async fn add(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entry = keep::entry(app, &truck.slug, &posted)?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    })
    .await
}
