//! The garage: every truck with its state in one line; and the owner's units.

use super::addresses::{
    ADD, BENCH, DECISION, GARAGE, MANUAL, MANY_DRIVES, ONE_DRIVE, ONE_RECORDING, RULES, SAMPLE, SETTINGS,
    Stage, TIRE, WHOLE_RECORD,
};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::form::{Posted, form};
use super::frame::Head;
use super::frame::html as answer;
use super::named::by_label;
use super::rename::objection;
use super::{answers, blocks, fields};
use crate::garage::{Look, Settings, Slug, State, Truck, Units};
use crate::work::sample;
use axum::Router;
use axum::extract::State as Of;
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use maud::{Markup, html};
use std::sync::Arc;
use toml_edit::{DocumentMut, value};
use truing::problem::{Problem, Problems};
use truing::record::{Entry, differences};
use truing::report::answers::garage::GarageLine;
use truing::report::words::cautions;

/// After how many seconds the page looks again whether all trucks are read.
const LOOK_AGAIN_S: u32 = 2;

/// Addresses beside the garage itself.
pub fn routes() -> Router<Shared> {
    Router::new().route(SAMPLE, post(add_sample)).route(SETTINGS, get(settings).post(choose_settings))
}

/// What a truck's line says, and whether record and file differ.
enum TruckSummary {
    Says(Arc<GarageLine>, bool),
    Waiting,
    Trouble(Problems),
}

/// The garage.
pub async fn show(Of(app): Of<Shared>) -> Answer {
    let shared = app.clone();
    work(&app, move |app| {
        let mut look = app.garage.look();
        let trucks: Vec<(Arc<Truck>, TruckSummary)> =
            app.garage.slugs().iter().filter_map(|slug| line_of(app, &mut look, slug)).collect();
        drop(look);
        let waiting = trucks.iter().any(|(_, line)| matches!(line, TruckSummary::Waiting));
        if waiting {
            read_on(&shared);
        }
        let head = Head::new("The garage");
        let head = if waiting { head.again_after(LOOK_AGAIN_S) } else { head };
        Ok(answer(head.frame(&view(app, &trucks))))
    })
    .await
}

fn line_of(app: &App, look: &mut Result<Look, Problems>, slug: &Slug) -> Option<(Arc<Truck>, TruckSummary)> {
    let truck = app.garage.truck(slug).ok()?;
    let line = match app.garage.state(slug) {
        State::Waiting => TruckSummary::Waiting,
        State::Unusable(problems) => TruckSummary::Trouble(problems),
        State::Known(known) => {
            let entries = look.as_mut().map_err(|problems| problems.clone());
            match entries.and_then(|look| look.entries_that_matter(&truck)) {
                Ok(entries) => TruckSummary::Says(known.line(&entries), differs(&truck, &entries)),
                Err(problems) => TruckSummary::Trouble(problems),
            }
        }
    };
    Some((truck, line))
}

/// Whether the record's last write and the vehicle file differ.
fn differs(truck: &Truck, entries: &[Entry]) -> bool {
    truck.vehicle.as_ref().is_some_and(|vehicle| !differences(vehicle, entries).is_empty())
}

/// Reads the trucks that nobody has looked at yet, one after another, while the page is already shown.
fn read_on(app: &Shared) {
    let Ok(turn) = app.reading.clone().try_lock_owned() else { return };
    let app = app.clone();
    tokio::task::spawn_blocking(move || {
        for slug in app.garage.slugs() {
            let _ = app.garage.known(&slug);
        }
        drop(turn);
    });
}

fn view(app: &App, trucks: &[(Arc<Truck>, TruckSummary)]) -> Markup {
    html! {
        @if trucks.is_empty() { (first_visit(app)) }
        @else {
            ul class="trucks" { @for (truck, line) in trucks { li { (card(truck, line)) } } }
            p { a class="button" href=(ADD) { "Add a truck" } }
            @if let Ok(Some(head)) = answers::ledger(app).and_then(|ledger| ledger.map_or(Ok(None), |ledger| ledger.reaches())) {
                p class="hint" { (fields::capitalised(&head.whole())) "." }
            }
        }
        (beside())
        (in_the_truck(app))
        (on_the_phone(app))
    }
}

/// How a phone reaches the page for a drive.
#[cfg(feature = "lan")]
fn in_the_truck(app: &App) -> Markup {
    let inside = super::phones::ways(app.network.as_deref());
    blocks::opens("In the truck: how a phone reaches this", &inside)
}

/// None does: that part was left out.
#[cfg(not(feature = "lan"))]
fn in_the_truck(_app: &App) -> Markup {
    html! {}
}

/// How a phone in the same network reaches this page.
fn on_the_phone(app: &App) -> Markup {
    let inside = html! {
        @if app.hosts.key.is_some() {
            p { "Open the whole address that waywiser printed when it was started, with the key at its end, on the phone. It must be in the same network." }
        } @else {
            p {
                "This page answers this machine alone. Stop waywiser, and start it again with a key and the address by which other machines know this one: "
                a href="/manual/page#from-another-machine" { "how it is started" }
                ". It prints an address with a key: open that on the phone."
            }
        }
        p class="hint" { "What is sent is not encrypted. Do it only in a network of people you trust." }
    };
    blocks::opens("Reach the whole garage from another machine", &inside)
}

/// What belongs to no truck.
const BESIDE: [(&str, &str, &str); 9] = [
    (MANUAL, "The manual", "How to measure well, what to do if something is not known, and the method."),
    (
        ONE_DRIVE,
        "One drive",
        "How far off a truck read on it: a track beside a log, called-out speeds or the odometer.",
    ),
    (ONE_RECORDING, "One recording", "Pulses, frequency and teeth from a recording of the sensor's wire."),
    (MANY_DRIVES, "Many drives at once", "Tracks and logs of as many drives as you like, into one table."),
    (BENCH, "A signal for the bench", "A file that makes a module read given speeds."),
    (
        WHOLE_RECORD,
        "The whole record",
        "All vehicles of the record; copies, exports, and taking in another one.",
    ),
    (TIRE, "A size of tire", "Its diameter, circumference and turns per mile, and how sure they are."),
    (DECISION, "What a choice is decided by", "Every number, what it means, and the key that changes it."),
    (RULES, "The rules", "What each permits, where it stands, and how it is known."),
];

fn beside() -> Markup {
    html! {
        section class="part" {
            h2 { "Without a truck" }
            ul class="kinds" {
                @for (address, name, says) in BESIDE { li { a href=(address) { strong { (name) } " " span { (says) } } } }
            }
        }
    }
}

fn first_visit(app: &App) -> Markup {
    html! {
        p class="lead" {
            "Other tires, another axle or another transmission, and the speedometer lies. Here you find out how far off it is, \
             what to store, and whether it is worth it."
        }
        div class="choices" {
            section class="choice" {
                h2 { "See how it works" }
                p { "A sample truck of our own, with a drive, a tape and a module that takes five more writes." }
                (form(app, SAMPLE, &html! { button class="plain" { "Look at a sample truck" } }))
            }
            section class="choice" {
                h2 { "Start with yours" }
                p { "Two answers are enough to begin. Everything else can wait, and you are told what it would bring." }
                p { a class="button" href=(ADD) { "Add mine" } }
            }
        }
    }
}

fn card(truck: &Truck, line: &TruckSummary) -> Markup {
    html! {
        a class="truck" href=(Stage::Describe.of(&truck.slug)) {
            strong { (truck.name) }
            @match line {
                TruckSummary::Says(line, differs) => {
                    span class="line" { (fields::capitalised(&line.line)) }
                    @if *differs { span class="mark" { "Record and vehicle file differ" } }
                    @if let Some(faults) = cautions::in_short(&line.open_faults) {
                        span class="mark" { "Open faults: " (faults) }
                    }
                }
                TruckSummary::Waiting => { span class="line" role="status" { "Reading its files \u{2026}" } }
                TruckSummary::Trouble(problems) => {
                    span class="mark" {
                        "Needs a look: " (problems.first().map_or("its files".into(), |problem| problem.source.named_by(by_label)))
                    }
                }
            }
        }
    }
}

async fn add_sample(Of(app): Of<Shared>, _posted: Posted) -> Answer {
    let slug = work(&app, |app| {
        let [(_, text), files @ ..] = &sample::FILES;
        let text = own_name(app, &String::from_utf8_lossy(text));
        Ok(app.garage.add("Sample truck", &text, files)?)
    });
    Ok(Redirect::to(&Stage::Describe.of(&slug.await?)).into_response())
}

/// The sample under a name that no truck of the garage has yet.
fn own_name(app: &App, text: &str) -> String {
    let Ok(mut document) = text.parse::<DocumentMut>() else { return text.to_string() };
    let called = document.get("name").map(fields::text_of).unwrap_or_default();
    let numbered = |number: usize| if number == 1 { called.clone() } else { format!("{called} {number}") };
    let free = (1..).map(numbered).find(|name| objection(app, name, None).is_none());
    if let Some(name) = free.filter(|name| *name != called) {
        document.insert("name", value(name));
    }
    document.to_string()
}

async fn settings(Of(app): Of<Shared>) -> Answer {
    work(&app, |app| {
        let now = app.garage.settings();
        let body = html! {
            p { "In what you think. Every field takes any unit all the same, typed behind the number." }
            (form(app, SETTINGS, &html! {
                fieldset {
                    legend { "Units" }
                    @for units in Units::ALL {
                        label class="pick" {
                            input type="radio" name="units" value=(units.word()) checked[units == now.units];
                            (units.says())
                        }
                    }
                }
                button { "Keep" }
            }))
        };
        Ok(answer(Head::new("Units").frame(&body)))
    })
    .await
}

async fn choose_settings(Of(app): Of<Shared>, posted: Posted) -> Answer {
    let units = units_of(posted.text("units"))?;
    work(&app, move |app| Ok(app.garage.choose_settings(Settings { units })?)).await?;
    Ok(Redirect::to(GARAGE).into_response())
}

/// Units by their word.
pub fn units_of(word: &str) -> Result<Units, PageError> {
    Units::read(word).ok_or_else(|| {
        let known = Units::ALL.map(Units::word).join(", ");
        PageError::unusable(Problem::error("units", format!("one of {known}"), format!("`{word}`")))
    })
}
