//! Set: the steps to a setting, one per screen, and the write into the record.

mod afterwards;
mod asked;
mod counter;
pub mod routine;
mod view;

use super::addresses::{self, Stage};
use super::answers::{self, Steps, Wish};
use super::app::{Answer, Shared, work};
use super::error::PageError;
use super::form::{self, Posted};
use super::frame::html;
use super::waiting;
use super::{choose, keep, papers, path};
use crate::garage::{Known, Truck};
use crate::work::set::{REPEAT_AFTER_S, held_down, remark_despite};
use crate::work::typed;
use asked::{SetQuery, SetView};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use serde::Deserialize;
use truing::problem::Problems;
use truing::record::VehicleState;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::stored::StoredReport;
use truing::set::{Repeat, setting_shown};

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/set", get(show).post(keep_write))
        .route("/trucks/{slug}/set/routine", post(routine::keep))
}

/// What stands in the address.
#[derive(Deserialize)]
struct Fields {
    to: Option<String>,
    adjuster: Option<String>,
    even_if_worse: Option<String>,
    shows: Option<String>,
    repeat: Option<String>,
    repeat_after: Option<String>,
    screen: Option<String>,
    pressed: Option<String>,
    despite: Option<String>,
    rule: Option<String>,
    reserve: Option<String>,
    stored: Option<String>,
    left: Option<String>,
}

impl Fields {
    fn asked(&self) -> Result<SetQuery, PageError> {
        let text = |field: &Option<String>| field.as_deref().and_then(typed::given).map(str::to_string);
        let number = |name, field: &Option<String>| answers::number(name, field.as_deref());
        Ok(SetQuery {
            to: text(&self.to),
            adjuster: text(&self.adjuster),
            even_if_worse: text(&self.even_if_worse),
            shows: text(&self.shows),
            repeat: text(&self.repeat),
            repeat_after: text(&self.repeat_after),
            despite: text(&self.despite),
            rule: text(&self.rule),
            reserve: text(&self.reserve),
            screen: number("screen", &self.screen)?.unwrap_or_default(),
            pressed: number("pressed", &self.pressed)?.unwrap_or_default(),
            stored: text(&self.stored),
            left: text(&self.left),
        })
    }
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>, Query(fields): Query<Fields>) -> Answer {
    let name = slug.clone();
    let truck = work(&app, move |app| app.truck(&name)).await?;
    if waiting::known(&app, &truck).await.is_none() {
        return Ok(waiting::wait(&app, &truck, Stage::Set));
    }
    let page = work(&app, move |app| {
        let (known, asked) = (app.known(&slug)?, fields.asked()?);
        if let Some(page) = choose::nothing_to_set(app, &known, Stage::Set) {
            return Ok(page);
        }
        let address = addresses::truck(&known.truck.slug, "");
        let truck = address.trim_end_matches('/');
        let steps = Steps {
            to: asked.to.as_deref(),
            adjuster: asked.adjuster.as_deref(),
            shows: asked.shows.as_deref(),
            repeat: repeat(&asked)?,
            despite: asked.despite.as_deref(),
            wish: Wish {
                rule: asked.rule.clone(),
                reserve: answers::number("reserve", asked.reserve.as_deref())?,
            },
        };
        let wish = steps.wish.clone();
        let steps = answers::steps_report(app, &known, &steps);
        let steps = steps.map_err(|problems| not_reached(problems, &asked.without_shows().address(truck)))?;
        let stored = stored(&known, &asked, &steps, truck)?;
        let entries = app.garage.entries_that_matter(&known.truck)?;
        let last = VehicleState::from_entries(&entries).odometer.and_then(|reading| {
            let entry = entries.iter().find(|entry| entry.sequence == reading.sequence)?;
            entry.event.fields.get("odometer").cloned()
        });
        let adjusters: Vec<(&str, &str)> =
            known.loaded.vehicle.adjusters.iter().map(|one| (one.called(), one.spoken())).collect();
        let body = view::view(&SetView {
            steps: &steps,
            stored: stored.as_ref(),
            asked: &asked,
            truck,
            state: &known.truck.hash.to_string(),
            odometer: last.as_deref(),
            origins: &answers::target_origins(&known, &wish, &steps, app.garage.settings().units),
            adjusters: &adjusters,
            units: app.garage.settings().units,
            routine: &routine::form_of(app, &known.truck, &known.loaded.vehicle),
            papers: &papers::buttons_for(&known.truck, &[papers::Kind::Job], &asked.on_paper()),
            proof_of_origin: &maud::html! { (form::token(app)) (form::request()) (form::version(&known.truck.hash)) },
        });
        let notice = super::difference::notice(app, &known.truck);
        Ok(html(
            path::head(app, &known.truck, Stage::Set)
                .noticing(notice)
                .with_scripts(&["press.js"])
                .frame(&body),
        ))
    });
    page.await.map_err(|error| error.back_to(Stage::Set, truck.slug.as_str()))
}

/// How a held button goes on, where that was said.
fn repeat(asked: &SetQuery) -> Result<Option<Repeat>, PageError> {
    let per_second = routine::number("repeat", asked.repeat.as_deref())?;
    let after_s = routine::number("repeat_after", asked.repeat_after.as_deref())?;
    Ok(per_second.map(|per_second| held_down(per_second, after_s.unwrap_or(REPEAT_AFTER_S))))
}

/// What was read after the confirming press, and what it means.
fn stored(
    known: &Known,
    asked: &SetQuery,
    steps: &StepsReport,
    truck: &str,
) -> Result<Option<StoredReport>, PageError> {
    let Some((change, shows)) = afterwards::only_change(steps).zip(asked.stored.as_deref()) else {
        return Ok(None);
    };
    let left = answers::number("writes left", asked.left.as_deref())?;
    let (loaded, choice) = (&known.loaded, known.choice());
    let belief = (&loaded.vehicle, choice.as_ref().ok());
    let report = StoredReport::new(&loaded.source, belief, change, shows, left);
    report
        .map(Some)
        .map_err(|problem| PageError::unusable(problem).or("Look again", &asked.unread().address(truck)))
}

/// What was typed leads nowhere; the steps as they were are a way on.
fn not_reached(problems: Problems, before: &str) -> PageError {
    PageError::unusable(problems).or("Back to the step", before)
}

/// What was typed as the file writes it: `832` on a module that shows 8.32 without its point. What is no setting of it
/// is left for the record to judge.
fn as_set(truck: &Truck, adjuster: Option<&str>, typed: &str) -> String {
    let adjuster = truck.vehicle.as_ref().and_then(|vehicle| vehicle.adjuster(adjuster));
    let set = adjuster.and_then(|adjuster| setting_shown("", adjuster, typed).ok());
    set.map_or_else(|| typed.to_string(), |set| set.to_string())
}

async fn keep_write(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let text = remark(typed::given(posted.text("despite")), typed::given(posted.text("text")));
        let adjuster = typed::given(posted.text("adjuster"));
        let told = keep::Told {
            adjuster,
            from: posted.text("from"),
            from_reason: typed::given(posted.text("from_reason")),
            to: &as_set(&truck, adjuster, posted.text("to")),
            writes_left: answers::number("writes left", typed::given(posted.text("writes_left")))?,
            odometer: typed::given(posted.text("odometer")),
            text: text.as_deref(),
            key: typed::given(posted.text(form::REQUEST)),
        };
        let entry = keep::write(app, &truck.slug, posted.version()?, &told)?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    })
    .await
}

/// The remark of a write, with the owner's reason where it was stored although something was to be checked first.
fn remark(despite: Option<&str>, text: Option<&str>) -> Option<String> {
    let despite = despite.map(remark_despite);
    let all: Vec<String> = despite.into_iter().chain(text.map(str::to_string)).collect();
    (!all.is_empty()).then(|| all.join(". "))
}
