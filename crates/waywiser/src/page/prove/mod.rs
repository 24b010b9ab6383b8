//! Prove: a drive after the write, judged by a rule.

mod files;
mod view;

use super::addresses::{self, Stage};
use super::answers;
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::form::{self, Posted};
use super::frame::html;
use super::upload::FormSent;
use super::waiting;
use super::{choose, keep, papers, path};
use crate::garage::{Known, Slug};
use crate::work::asked::Inputs;
use crate::work::trial::Trial;
use crate::work::typed::given;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use files::Fields;
use truing::choose::rule_of;
use truing::report::answers::faults::OpenFault;
use truing::report::answers::rules::RulesReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/prove", get(show).post(judge))
        .route("/trucks/{slug}/prove/keep", post(keep_proof))
}

/// The trial that the fields ask for.
fn trial(fields: &Fields) -> Result<Trial, PageError> {
    Ok(Trial::from_fields(|name| fields.get(name).map(String::as_str)).and_then(Trial::told)?)
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>, Query(asked): Query<Fields>) -> Answer {
    let name = slug.clone();
    let truck = work(&app, move |app| app.truck(&name)).await?;
    if waiting::known(&app, &truck).await.is_none() {
        return Ok(waiting::wait(&app, &truck, Stage::Prove));
    }
    work(&app, move |app| {
        let known = app.known(&slug)?;
        let slug = known.truck.slug.clone();
        let own = rule_of(&known.loaded.vehicle.usage, None).map(|rule| rule.id.to_string());
        let rule = asked.get("rule").and_then(|rule| given(rule)).map(str::to_string);
        let rule = rule.or(own.ok()).unwrap_or_default();
        let body = page(app, &slug, &known, trial(&asked).ok().as_ref(), &rule)?;
        let notice = super::difference::notice(app, &known.truck);
        let entries = app.garage.entries_that_matter(&known.truck).unwrap_or_default();
        let stands = super::fields::capitalised(&known.line(&entries).line);
        let head = path::head(app, &known.truck, Stage::Prove).leading(&stands).noticing(notice);
        Ok(html(head.with_scripts(&["drop.js"]).frame(&body)))
    })
    .await
}

fn page(
    app: &App,
    slug: &Slug,
    known: &Known,
    trial: Option<&Trial>,
    rule: &str,
) -> Result<maud::Markup, PageError> {
    let address = Stage::Prove.of(slug);
    let proof = trial.map(|trial| answers::proof_report(app, slug, known, trial)).transpose();
    let proof = proof.map_err(|problems| PageError::unusable(problems).or("Another drive", &address))?;
    let fields = trial.map(|trial| trial.drive.fields()).unwrap_or_default();
    Ok(view::view(&view::ProveView {
        rules: &RulesReport::new(),
        rule,
        files: &app.garage.file_names(slug),
        judged: proof.as_ref().map(|proof| view::Judged { proof, drive: &fields }),
        open_faults: &OpenFault::all(&known.loaded.vehicle.faults),
        truck: addresses::truck(slug, "").trim_end_matches('/'),
        proof_of_origin: &maud::html! { (form::token(app)) (form::request()) },
        units: app.garage.settings().units,
        papers: &papers::buttons(
            &known.truck,
            &[papers::Kind::Proof, papers::Kind::SpeedCard, papers::Kind::Job],
        ),
    }))
}

/// Takes the files in, and shows what they prove under an address that can be kept.
async fn judge(State(app): State<Shared>, Path(slug): Path<String>, parts: FormSent) -> Answer {
    let truck = app.truck(&slug)?;
    let received = files::received(&app, &truck.slug, parts).await?;
    let trial = trial(&received).map_err(|error| error.back_to(Stage::Prove, truck.slug.as_str()))?;
    let mut fields = trial.drive.fields();
    fields.extend(trial.rule.clone().map(|rule| ("rule", rule)));
    let fields: Vec<String> =
        fields.iter().map(|(name, value)| format!("{name}={}", addresses::encoded(value))).collect();
    Ok(Redirect::to(&format!("{}?{}", Stage::Prove.of(&truck.slug), fields.join("&"))).into_response())
}

async fn keep_proof(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let trial = Trial::from_fields(|name| Some(posted.text(name))).and_then(Trial::told)?;
        let entry = keep::proof(app, &truck.slug, &trial, given(posted.text(form::REQUEST)))?;
        Ok(choose::to_entry(&truck.slug, Some(&entry)).into_response())
    })
    .await
}
