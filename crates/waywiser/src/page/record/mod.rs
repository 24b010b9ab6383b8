//! Record: what was done when, true distance, what is due, and the files to keep elsewhere.

pub mod carry;
mod checking;
pub mod signing;
mod view;
pub mod whole;

use super::addresses::{self, Stage, WHOLE_RECORD};
use super::answers::{self, PapersAsked};
use super::app::{Answer, Shared, work};
use super::error::PageError;
use super::form::{self, Posted};
use super::frame::html;
use super::upload::{self, FormSent, Place, Sender};
use super::{choose, keep, papers, path};
use crate::garage::{Side, State};
use crate::work::entry::fields::split;
use crate::work::typed;
use axum::Router;
use axum::extract::{Path, Query, State as Of};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use checking::Checking;
use serde::Deserialize;
use truing::report::answers::state_line::StateLine;
use truing::report::charts::timeline::timeline;
use truing::report::explanation::record::{of_due, of_fuel};

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/record", get(show).post(add))
        .route("/trucks/{slug}/record/add", post(add_with_file))
        .route("/trucks/{slug}/record/take", post(take))
        .route("/trucks/{slug}/record/repair", post(repair))
        .route("/record.jsonl", get(carry::lines))
        .route("/record.csv", get(carry::table))
        .route("/record.sqlite", get(carry::copy))
        .route(WHOLE_RECORD, get(whole::show))
        .route("/record/backup", post(carry::make_backup))
        .route("/record/import", post(carry::take_import))
        .route("/record/rescue", post(carry::show_rescue))
        .route("/record/as-it-is", post(carry::take_as_it_is))
        .route("/record/rescued/{name}", get(carry::readable))
        .route("/record/vehicle-file", get(whole::give))
        .route("/record/bring", post(whole::bring))
        .route("/record/key", post(signing::make))
        .route("/record/verify", post(signing::verify))
}

/// What stands in the address.
#[derive(Deserialize)]
struct RecordQuery {
    added: Option<String>,
    from: Option<String>,
    to: Option<String>,
    model_year: Option<String>,
    transfer: Option<String>,
    gvwr_lb: Option<String>,
    #[serde(flatten)]
    checking: Checking,
}

impl RecordQuery {
    fn says(&self) -> Option<String> {
        let number = self.added.as_deref().and_then(|added| added.parse::<u64>().ok())?;
        Some(match number {
            0 => "This very file is in the record already; nothing was added.".to_string(),
            number => format!("Entry {number} is in the record, safe on disk."),
        })
    }

    fn papers(&self) -> Result<PapersAsked, PageError> {
        let transfer = self.transfer.as_deref().and_then(typed::given).map(str::to_string);
        Ok(PapersAsked {
            model_year: answers::number("model_year", self.model_year.as_deref())?,
            transfer,
            gvwr_lb: answers::number("gvwr_lb", self.gvwr_lb.as_deref())?,
        })
    }
}

async fn show(Of(app): Of<Shared>, Path(slug): Path<String>, Query(asked): Query<RecordQuery>) -> Answer {
    let back = slug.clone();
    let done = work(&app, move |app| {
        let (truck, units) = (app.truck(&slug)?, app.garage.settings().units);
        let entries = answers::entries(app, &truck)?;
        let papers_asked = asked.papers()?;
        let head = answers::ledger(app)?.map_or(Ok(None), |ledger| ledger.head())?;
        let [from, to] = [&asked.from, &asked.to].map(|text| text.as_deref().and_then(typed::given));
        let distance = answers::distance_report(&truck.name, &entries, from, to, units)?;
        let matter = app.garage.entries_that_matter(&truck)?;
        // While its files are being read, what the record says by itself.
        let stands = match app.garage.state(&truck.slug) {
            State::Known(known) => known.line(&matter).line.clone(),
            State::Unusable(_) | State::Waiting => StateLine::new(None, &matter).line,
        };
        let on_paper = [papers::Kind::History, papers::Kind::Sale, papers::Kind::DoorFrame];
        let body = view::view(&view::RecordView {
            stands: &stands,
            history: &answers::history_report(&truck.name, &entries, units),
            timeline: &timeline(&entries),
            distance: &distance,
            origin: answers::distance_origin(&entries, &distance, units).as_slice(),
            way: [from.unwrap_or_default(), to.unwrap_or_default()],
            due: &of_due(&entries, units),
            fuel: &of_fuel(&entries, units),
            head: head.map(|head| head.to_string()).as_deref(),
            check: asked.checking.report(app)?.as_ref(),
            papers: &answers::papers_report(app, &truck.name, &entries, &papers_asked, units)?,
            asked: &papers_asked,
            truck: addresses::truck(&truck.slug, "").trim_end_matches('/'),
            said: asked.says().as_deref(),
            proof_of_origin: &maud::html! { (form::token(app)) (form::request()) },
            differences: &app.garage.differences(&truck).unwrap_or_default(),
            recorded_as: Some(app.garage.recorded_as(&truck)).filter(|name| *name != truck.name).as_deref(),
            units,
            on_paper: &papers::buttons(&truck, if entries.is_empty() { &[] } else { &on_paper }),
        });
        Ok(html(path::head(app, &truck, Stage::Record).frame(&body)))
    });
    done.await.map_err(|error| error.back_to(Stage::Record, &back))
}

/// Takes the vehicle file in as it is now.
async fn take(Of(app): Of<Shared>, Path(slug): Path<String>, _posted: Posted) -> Answer {
    let back = slug.clone();
    let done = work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let added = keep::file(app, &truck)?;
        Ok(choose::to_entry(&truck.slug, added.last()).into_response())
    });
    done.await.map_err(|error| error.back_to(Stage::Record, &back))
}

/// Repairs a difference between the record's last write and the vehicle file.
async fn repair(Of(app): Of<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    let back = slug.clone();
    let done = work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let right = Side::read(posted.text("right"))?;
        let added = keep::repair(app, &truck, right)?;
        Ok(match added.last() {
            Some(_) => choose::to_entry(&truck.slug, added.last()).into_response(),
            None => Redirect::to(&Stage::Record.of(&truck.slug)).into_response(),
        })
    });
    done.await.map_err(|error| error.back_to(Stage::Record, &back))
}

async fn add(Of(app): Of<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    let back = slug.clone();
    let done = work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entry = keep::entry(app, &truck.slug, &posted)?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    });
    done.await.map_err(|error| error.back_to(Stage::Record, &back))
}

/// The same from the form that takes any kind, any field, and a file that the entry rests on.
async fn add_with_file(Of(app): Of<Shared>, Path(slug): Path<String>, form: FormSent) -> Answer {
    let truck = app.truck(&slug)?;
    let place = Place::apart(&app)?;
    let received = upload::received(&app, &place, Sender::Form, form).await?;
    let back = slug.clone();
    let done = work(&app, move |app| {
        let Place::Apart(scratch) = &place else { return Err(PageError::unexpected()) };
        let text = |name: &str| received.fields.get(name).map_or("", |text| text.trim());
        let lines = text("fields").lines().filter_map(typed::given);
        let mut typed = keep::Typed::new(text);
        typed.given.more.extend(lines.map(split).collect::<Result<Vec<_>, _>>()?);
        let source = received.files.first().map(|(_, name)| scratch.path().join(name));
        let entry = keep::by_hand(app, &truck, &typed, source.as_deref())?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    });
    done.await.map_err(|error| error.back_to(Stage::Record, &back))
}
