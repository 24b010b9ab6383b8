//! Describe: the chain drawn from road to needle, each link changed where it stands.

mod chain;
mod sections;

use super::addresses::{BENCH, Stage, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::problems;
use super::form::{form, version};
use super::frame::html as answer;
use super::frame::{caution, opens};
use super::waiting;
use super::{blocks, papers, parts, path, rename};
use crate::garage::{Known, Truck};
use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::get;
use maud::{Markup, html};
use truing::describe::vehicle::Vehicle;
use truing::report::answers::description::DescriptionReport;
use truing::report::document::{Block, TableId};
use truing::report::words::missing::missing;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}", get(enter))
        .route("/trucks/{slug}/describe", get(show))
        .merge(parts::routes())
        .merge(rename::routes())
}

async fn enter(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    let truck = app.truck(&slug)?;
    Ok(Redirect::to(&Stage::Describe.of(&truck.slug)).into_response())
}

async fn show(State(app): State<Shared>, Path(slug): Path<String>) -> Answer {
    let truck = work(&app, move |app| app.truck(&slug)).await?;
    match waiting::known(&app, &truck).await {
        Some(Ok(known)) => work(&app, move |app| Ok(answer(whole(app, &known)))).await,
        Some(Err(wrong)) => Ok(answer(broken(&app, &truck, &wrong))),
        None => Ok(waiting::wait(&app, &truck, Stage::Describe)),
    }
}

fn whole(app: &App, known: &Known) -> Markup {
    let truck = &known.truck;
    let vehicle = truck.vehicle.as_ref().unwrap_or(&known.loaded.vehicle);
    let report = DescriptionReport::new(vehicle, &known.estimate, Vec::new(), app.garage.settings().units);
    let entries = app.garage.entries_that_matter(truck).unwrap_or_default();
    let lead = super::fields::capitalised(&known.line(&entries).line);
    let body = html! {
        (path::way_on(app, truck))
        (cautions(&report))
        (would_help(truck, vehicle))
        (problems(&known.loaded.problems))
        h2 id="chain" { "From the road to the needle" }
        (chain::drawn(app, truck, vehicle, &report))
        (what_passes(&report))
        (sections::all(app, truck, vehicle))
        @if !vehicle.adjusters.is_empty() { (papers::buttons(truck, &[papers::Kind::Job])) }
        (rename::rename_form(app, truck))
        (file(app, truck))
    };
    let notice = super::difference::notice(app, truck);
    path::head(app, truck, Stage::Describe).leading(&lead).noticing(notice).frame(&body)
}

/// The page of a truck whose files cannot all be used: what is wrong, and everything that repairs it.
fn broken(app: &App, truck: &Truck, wrong: &[truing::problem::Problem]) -> Markup {
    let body = html! {
        (problems(wrong))
        p { a class="button" href=(Stage::Measure.of(&truck.slug)) { "Evidence and files" } }
        @if let Some(vehicle) = &truck.vehicle { (sections::all(app, truck, vehicle)) }
        (file(app, truck))
    };
    let lead = "Its files need a look before anything can be told.";
    path::head(app, truck, Stage::Describe).leading(lead).frame(&body)
}

fn cautions(report: &DescriptionReport) -> Markup {
    let blocks = report.document().blocks;
    html! { @for block in &blocks { @if let Block::Caution(text) = block { (caution(text)) } } }
}

/// What is not known yet, and what it would bring.
pub fn would_help(truck: &Truck, vehicle: &Vehicle) -> Markup {
    let all = missing(vehicle);
    let address = |section: &str| match section {
        "evidence" => Stage::Measure.of(&truck.slug),
        section => under(&truck.slug, &format!("describe#{section}")),
    };
    html! {
        @if !all.is_empty() {
            section class="help" aria-labelledby="would-help" {
                h2 id="would-help" { "What would help" }
                ul {
                    @for one in &all {
                        li { a href=(address(one.section)) { (super::fields::capitalised(one.what)) } " brings " (one.brings) }
                    }
                }
            }
        }
    }
}

/// What passes at each point of the chain, as the command line prints it.
fn what_passes(report: &DescriptionReport) -> Markup {
    html! {
        (blocks::tables(&report.document(), &[TableId::WhatPasses]))
        p { a href=(BENCH) { "A signal for the bench" } " makes a module read given speeds while the truck stands." }
        @if report.hypotheses > 1 {
            p { "The file leaves " (report.hypotheses) " combinations of hardware open; measuring weighs them." }
        }
    }
}

/// The text of the file, for whoever prefers it.
fn file(app: &App, truck: &Truck) -> Markup {
    let lines = truck.text.lines().count().clamp(8, 40);
    let body = html! {
        p { "Everything the page knows of this truck, as text. Comments stay where they are." }
        (form(app, &under(&truck.slug, "text"), &html! {
            (version(&truck.hash))
            label for="file-text" { "The vehicle file" }
            textarea id="file-text" name="text" rows=(lines) spellcheck="false" { "\n" (truck.text) }
            button { "Keep this text" }
        }))
    };
    html! { div id="file" { (opens(&html! { "The file itself" }, &body)) } }
}
