//! Set: the steps to a setting, one per screen, and the write into the record.

mod view;

use super::answers::{self, Steps};
use super::form::{self, Posted};
use super::frame::Head;
use super::routes::{self, Stage};
use super::{Answer, PageError, Shared, choose, html, keep, papers, work};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::get;
use serde::Deserialize;
use truing::problem::Problem;
use truing::record::VehicleState;
use view::Asked;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/set", get(show).post(keep_write))
}

/// What stands in the address.
#[derive(Deserialize)]
struct Fields {
    to: Option<String>,
    adjuster: Option<String>,
    shows: Option<String>,
    screen: Option<String>,
    pressed: Option<String>,
}

impl Fields {
    fn asked(&self) -> Result<Asked, PageError> {
        let text = |field: &Option<String>| field.as_deref().and_then(answers::given).map(str::to_string);
        let number = |name, field: &Option<String>| answers::number(name, field.as_deref());
        Ok(Asked {
            to: text(&self.to),
            adjuster: text(&self.adjuster),
            shows: text(&self.shows),
            screen: number("screen", &self.screen)?.unwrap_or_default(),
            pressed: number("pressed", &self.pressed)?.unwrap_or_default(),
        })
    }
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>, Query(fields): Query<Fields>) -> Answer {
    let name = slug.clone();
    let truck = work(&app, move |app| app.truck(&name)).await?;
    if super::known(&app, &truck).await.is_none() {
        return Ok(super::wait(&app, &truck, Stage::Set));
    }
    work(&app, move |app| {
        let (known, asked) = (app.known(&slug)?, fields.asked()?);
        if let Some(page) = choose::nothing_to_set(&known, Stage::Set) {
            return Ok(page);
        }
        let address = routes::truck(&known.truck.slug, "");
        let truck = address.trim_end_matches('/');
        let steps = answers::steps_report(
            &known,
            &Steps {
                to: asked.to.as_deref(),
                adjuster: asked.adjuster.as_deref(),
                shows: asked.shows.as_deref(),
            },
            app.garage.settings().units,
        );
        let steps = steps.map_err(|problems| not_reached(problems, &asked.without_shows().address(truck)))?;
        let entries = app.garage.entries_that_matter(&known.truck)?;
        let last = VehicleState::of(&entries).odometer.and_then(|reading| {
            let entry = entries.iter().find(|entry| entry.sequence == reading.sequence)?;
            entry.event.fields.get("odometer").cloned()
        });
        let body = view::view(&view::Shown {
            steps: &steps,
            asked: &asked,
            truck,
            state: &known.truck.hash.to_string(),
            odometer: last.as_deref(),
            origins: &answers::target_origins(&known, &steps, app.garage.settings().units),
            units: app.garage.settings().units,
            papers: &papers::buttons(&known.truck, &[papers::Kind::Job]),
            proof_of_origin: &maud::html! { (form::token(app)) (form::version(&known.truck.hash)) },
        });
        Ok(html(Head::of(&known.truck, Stage::Set).with_scripts(&["press.js"]).frame(&body)))
    })
    .await
}

/// What was typed leads nowhere; the steps as they were are a way on.
fn not_reached(problems: Vec<Problem>, before: &str) -> PageError {
    PageError::unusable(problems).or("Back to the step", before)
}

async fn keep_write(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let told = keep::Told {
            adjuster: answers::given(posted.text("adjuster")),
            from: posted.text("from"),
            to: posted.text("to"),
            odometer: answers::given(posted.text("odometer")),
            text: answers::given(posted.text("text")),
        };
        let entry = keep::write(app, &truck.slug, posted.version()?, &told)?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    })
    .await
}
