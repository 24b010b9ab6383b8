//! Measure: the evidence, what each piece says, and what all of it comes to.

mod came;
mod quantities;
mod tiles;

use super::addresses::{Stage, piece as piece_address, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::problems;
use super::fields::{self, section, text_of};
use super::files::{drop_form, unused};
use super::form::{Posted, form};
use super::frame::html as answer;
use super::parts::{Part, remove_form, table};
use super::{blocks, papers, path, run, waiting};
use crate::garage::{Aside, Known, Truck};
use crate::work::load::files_in;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use maud::{Markup, html};
use toml_edit::{DocumentMut, TableLike};
use truing::describe::evidence::{EvidenceKind, PulseSource};
use truing::describe::vehicle::Vehicle;
use truing::problem::Problem;
use truing::report::answers::evidence::EvidenceReport;
use truing::report::answers::first::First;
use truing::report::answers::vehicle::VehicleReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/measure", get(show))
        .route("/trucks/{slug}/try-again", post(try_again))
}

/// What stands in the address: the names of files that just came in.
type MeasureQuery = Query<Vec<(String, String)>>;

async fn show(State(app): State<Shared>, Path(slug): Path<String>, Query(asked): MeasureQuery) -> Answer {
    let truck = work(&app, move |app| app.truck(&slug)).await?;
    let came = asked.into_iter().filter(|(name, _)| name == "came").map(|(_, file)| file).collect::<Vec<_>>();
    match waiting::known(&app, &truck).await {
        Some(Ok(known)) => work(&app, move |app| Ok(answer(whole(app, &known, &came)))).await,
        Some(Err(wrong)) => work(&app, move |app| Ok(answer(broken(app, &truck, &wrong)))).await,
        None => Ok(waiting::wait(&app, &truck, Stage::Measure)),
    }
}

fn whole(app: &App, known: &Known, came: &[String]) -> Markup {
    let (truck, loaded) = (&known.truck, &known.loaded);
    let vehicle = truck.vehicle.as_ref().unwrap_or(&loaded.vehicle);
    let units = app.garage.settings().units;
    let report = VehicleReport::new(&loaded.vehicle, &known.estimate, Vec::new(), units);
    let first = report.first();
    let chart = EvidenceReport::new(&loaded.vehicle, &known.estimate, known.alone(), units).chart();
    let is_known = first.is_some();
    let said = html! {
        @match &first {
            Some(first) => (blocks::first("go", "It reads now", first)),
            None => (not_known(truck, &report)),
        }
        @for sentence in report.alarms.iter().chain(&report.conflicts) {
            p class="alarm" role="note" { strong { "Look at this" } " " (fields::capitalised(sentence)) "." }
        }
        (blocks::held_back(&report.open_faults))
        @if is_known { (path::way_on(app, truck)) }
    };
    let body = html! {
        (came::all(app, known, came))
        (blocks::first_view(&said, chart.as_ref().map(blocks::figure).as_ref()))
        section {
            @if is_known { h2 { "Measure more" } }
            (tiles::all(truck, vehicle))
            (drop_form(app, truck))
            (run::open_runs(app, truck))
            (tiles::rest(truck))
        }
        (unused(app, truck, vehicle))
        (pieces(app, truck, vehicle))
        (blocks::opens("What it comes to, number by number", &quantities::all(&report, units)))
        (problems(&loaded.problems))
        @if !vehicle.adjusters.is_empty() { (papers::buttons(truck, &[papers::Kind::Measuring, papers::Kind::Job])) }
    };
    let notice = super::difference::notice(app, truck);
    path::head(app, truck, Stage::Measure).noticing(notice).with_scripts(&["drop.js"]).frame(&body)
}

/// Nothing tells how far off it reads yet; a tape or a count alone does not, and what it lacks is said with the way there.
fn not_known(truck: &Truck, report: &VehicleReport) -> Markup {
    let asks = "How far off does it read?";
    html! {
        @match report.still_missing() {
            None => (blocks::headline("stay", "Not known yet", asks)),
            Some(missing) => {
                (blocks::first("stay", "Not known yet", &First::with(asks, &missing)))
                div class="ways" {
                    a class="button" href={ (Stage::Describe.of(&truck.slug)) "#chain" } { "Say what lies between tire and dial" }
                }
            },
        }
    }
}

/// The page of a truck whose files cannot all be used: what is wrong, and everything that repairs it.
fn broken(app: &App, truck: &Truck, wrong: &[Problem]) -> Markup {
    let aside = app.garage.aside(truck);
    let body = html! {
        (problems(wrong))
        @if !aside.is_empty() { (set_aside(app, truck, &aside)) }
        (drop_form(app, truck))
        @if let Some(vehicle) = &truck.vehicle {
            (unused(app, truck, vehicle))
            (pieces(app, truck, vehicle))
        }
        (tiles::rest(truck))
    };
    let lead = "One of its files cannot be used. Correct that, or take the piece out.";
    path::head(app, truck, Stage::Measure).leading(lead).with_scripts(&["drop.js"]).frame(&body)
}

/// Files that are not read any more: to be taken out, or tried again.
fn set_aside(app: &App, truck: &Truck, aside: &[Aside]) -> Markup {
    let named = |index: usize| {
        let evidence = truck.vehicle.as_ref().and_then(|vehicle| vehicle.evidence.get(index));
        evidence.is_some_and(|one| files_in(one).any(|file| aside.iter().any(|aside| aside.name == file)))
    };
    let count = truck.vehicle.as_ref().map_or(0, |vehicle| vehicle.evidence.len());
    html! {
        section class="part" id="set-aside" {
            h2 { "Set aside" }
            ul class="pieces" {
                @for file in aside { li class="piece" { p { strong { (file.name) } " " span class="said" { (file.why) } } } }
            }
            @if let Some(section) = section("evidence") {
                @for index in (0..count).filter(|index| named(*index)) {
                    (remove_form(app, truck, &Part { section, index }))
                }
            }
            (form(app, &under(&truck.slug, "try-again"), &html! { button class="plain" { "Try again" } }))
        }
    }
}

async fn try_again(State(app): State<Shared>, Path(slug): Path<String>, _posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        app.garage.try_again(&truck.slug);
        Ok(Redirect::to(&Stage::Measure.of(&truck.slug)).into_response())
    })
    .await
}

/// Every piece of evidence, to look at, change and take out.
fn pieces(app: &App, truck: &Truck, vehicle: &Vehicle) -> Markup {
    let document: DocumentMut = truck.text.parse().unwrap_or_default();
    let Some(section) = section("evidence") else { return html! {} };
    html! {
        @if !vehicle.evidence.is_empty() {
            (blocks::opens(&format!("Evidence, piece by piece ({})", vehicle.evidence.len()), &html! {
                ol class="pieces" {
                    @for index in 0..super::parts::count(&document, section) {
                        @let part = Part { section, index };
                        li class="piece" id={ "evidence-" (index) } {
                            @if let Some(now) = table(&document, &part) { (piece(app, truck, vehicle, &part, now)) }
                        }
                    }
                }
            }))
        }
    }
}

fn piece(app: &App, truck: &Truck, vehicle: &Vehicle, part: &Part, now: &dyn TableLike) -> Markup {
    let word = now.get("kind").map(text_of).unwrap_or_default();
    let said = |(name, item): (&str, &toml_edit::Item)| {
        (name != "kind").then(|| format!("{} {}", fields::words(name).to_lowercase(), text_of(item)))
    };
    let said: Vec<String> = now.iter().filter_map(said).collect();
    html! {
        p { strong { (fields::kind(&word)) } " " span class="said" { (said.join(", ")) } }
        @if let Some(what) = own_page(vehicle, part.index) {
            p { a class="button plain" href=(piece_address(&truck.slug, part.index)) { (what) } }
        }
        div class="ways-on" {
            a class="button plain" href=(part.address(truck)) { "Change" span class="unseen" { " this " (fields::kind(&word)) } }
            (remove_form(app, truck, part))
        }
    }
}

/// What the page of a piece shows, where it has one.
fn own_page(vehicle: &Vehicle, index: usize) -> Option<&'static str> {
    match vehicle.evidence.get(index)?.kind {
        EvidenceKind::Drive { .. } => Some("Look at this drive"),
        EvidenceKind::Pulses { source: PulseSource::File { .. }, .. } => Some("Look at this recording"),
        _ => None,
    }
}
