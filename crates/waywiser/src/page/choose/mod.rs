//! Choose: what to store, or to leave it, or to measure first.

mod view;

use super::addresses::{self, Stage};
use super::answers::{self, Wish};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::form::{self, Posted};
use super::frame::html;
use super::waiting;
use super::{describe, keep, papers, path};
use crate::garage::{Known, Slug};
use crate::work::typed;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use serde::Deserialize;
use truing::record::Entry;
use truing::report::answers::rules::RulesReport;
use truing::report::answers::vehicle::VehicleReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/choose", get(show).post(keep_advice))
}

/// What stands in the address.
#[derive(Deserialize)]
struct ChooseQuery {
    rule: Option<String>,
    reserve: Option<String>,
}

impl ChooseQuery {
    fn wish(&self) -> Result<Wish, PageError> {
        let rule = self.rule.as_deref().and_then(typed::given).map(str::to_string);
        Ok(Wish { rule, reserve: answers::number("reserve", self.reserve.as_deref())? })
    }
}

async fn show(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<ChooseQuery>,
) -> Answer {
    let name = slug.clone();
    let truck = work(&app, move |app| app.truck(&name)).await?;
    if waiting::known(&app, &truck).await.is_none() {
        return Ok(waiting::wait(&app, &truck, Stage::Choose));
    }
    let page = work(&app, move |app| {
        let (known, wish, units) = (app.known(&slug)?, asked.wish()?, app.garage.settings().units);
        if let Some(page) = nothing_to_set(app, &known, Stage::Choose) {
            return Ok(page);
        }
        let report = answers::choice_report(&known, &wish, units)?;
        let body = view::view(&view::ChooseView {
            choice: &report,
            estimate: &VehicleReport::new(&known.loaded.vehicle, &known.estimate, Vec::new(), units),
            rules: &RulesReport::new(),
            truck: addresses::truck(&known.truck.slug, "").trim_end_matches('/'),
            wish: &wish,
            proof_of_origin: &maud::html! { (form::token(app)) (form::request()) },
            papers: &papers::buttons_for(
                &known.truck,
                &[papers::Kind::Job, papers::Kind::SpeedCard, papers::Kind::Tires],
                &papers::Wanted {
                    rule: wish.rule.clone(),
                    reserve: wish.reserve.map(|writes| writes.to_string()),
                    ..papers::Wanted::default()
                },
            ),
        });
        let notice = super::difference::notice(app, &known.truck);
        Ok(html(path::head(app, &known.truck, Stage::Choose).noticing(notice).frame(&body)))
    });
    page.await.map_err(|error| error.back_to(Stage::Choose, truck.slug.as_str()))
}

/// The page while nothing is known that could be set: not an error, but what to say first.
pub fn nothing_to_set(app: &App, known: &Known, stage: Stage) -> Option<Response> {
    let vehicle = &known.loaded.vehicle;
    let body = maud::html! {
        p { a class="button" href={ (Stage::Describe.of(&known.truck.slug)) "#adjuster" } { "Say what can be set" } }
        (describe::would_help(&known.truck, vehicle))
    };
    let lead = "What can be set on this truck is not said yet: a stored constant, gears, a ring, or the tires themselves.";
    vehicle
        .adjusters
        .is_empty()
        .then(|| html(path::head(app, &known.truck, stage).leading(lead).frame(&body)))
}

async fn keep_advice(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    let asked =
        ChooseQuery { rule: Some(posted.text("rule").into()), reserve: Some(posted.text("reserve").into()) };
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let key = typed::given(posted.text(form::REQUEST));
        let entries = keep::choice(app, &truck.slug, &asked.wish()?, key)?;
        Ok(to_entry(&truck.slug, entries.last()).into_response())
    })
    .await
}

/// To the record, at an entry that was just added.
pub fn to_entry(slug: &Slug, entry: Option<&Entry>) -> Redirect {
    let number = entry.map_or(0, |entry| entry.sequence);
    Redirect::to(&format!("{}?added={number}#entry-{number}", Stage::Record.of(slug)))
}
