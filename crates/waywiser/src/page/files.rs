//! Files that come in: kept beside the vehicle file as they arrive, and made evidence where what they are is plain.

use super::addresses::{Stage, encoded, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::form::{self, Posted, form};
use super::parts::new_address;
use super::run;
use super::upload::{self, FormSent, Place, Sender};
use crate::garage::{Kind, LooseFile, Truck, kept_name};
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use maud::{Markup, html};
use truing::describe::vehicle::Vehicle;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/files", post(take))
        .route("/trucks/{slug}/files/{name}/remove", post(remove))
}

/// So many of the files that came in are named in the address of the page that says so.
const MOST_NAMED: usize = 20;

/// Where files are dropped or chosen. Without scripts it is a plain form.
pub fn drop_form(app: &App, truck: &Truck) -> Markup {
    html! {
        form class="drop sends at-once" method="post" enctype="multipart/form-data" action=(under(&truck.slug, "files")) {
            (form::token(app))
            label for="files" { "Files of a drive or a recording: choose or drop them" }
            input type="file" id="files" name="files" multiple required aria-describedby="files-hint";
            p class="hint" id="files-hint" {
                "A phone's, receiver's or camera's track (GPX, NMEA, CSV, JSON, KML, TCX, FIT, IGC, SRT) together with the truck's own log (CSV, JSON, CAN), or a recording of the sensor's wire (WAV or as phones record it, \
                 CSV, VCD); packed or not, several at once. They stay on this machine."
            }
            (under_way())
            button { "Read them" }
        }
    }
}

/// Where a form with files shows how far it has come, once the script sends it.
pub fn under_way() -> Markup {
    html! {
        progress max="100" value="0" aria-label="Sent so far" hidden {}
        p class="status" role="status" {}
        p class="elapsed" aria-hidden="true" {}
    }
}

/// Files that no piece of evidence names yet.
pub fn unused(app: &App, truck: &Truck, vehicle: &Vehicle) -> Markup {
    let loose = app.garage.loose_files(&truck.slug, vehicle);
    html! {
        @if !loose.is_empty() {
            section class="part" id="unused" {
                h2 { "Files not used yet" }
                ul class="pieces" { @for file in &loose { li class="piece" { (loose_file(app, truck, file)) } } }
            }
        }
    }
}

fn loose_file(app: &App, truck: &Truck, file: &LooseFile) -> Markup {
    html! {
        p { strong { (file.name) } " " span class="said" { (file.kind.says()) } }
        (uses(app, truck, file))
        (form(app, &under(&truck.slug, &format!("files/{}/remove", encoded(&file.name))), &html! {
            button class="plain" { "Delete" span class="unseen" { " " (file.name) } }
        }))
    }
}

/// What a file that no piece names can be used for.
pub fn uses(app: &App, truck: &Truck, file: &LooseFile) -> Markup {
    let drive = new_address(truck, "evidence", "drive");
    let name = encoded(&file.name);
    html! {
        @if file.kind == Kind::Marked { (run::of_file(app, truck, &file.name, None)) }
        p class="ways-on" {
            @match file.kind {
                Kind::Track | Kind::Marked => { a class="button plain" href={ (drive) "?track=" (name) } { "Type what the truck showed" } }
                Kind::VehicleLog => { a class="button plain" href={ (drive) "?vehicle_log=" (name) } { "Use as the truck's own log" } }
                Kind::Both => { a class="button plain" href={ (drive) "?track=" (name) "&vehicle_log=" (name) } { "Use as track and log in one" } }
                Kind::Recording => { a class="button plain" href={ (new_address(truck, "evidence", "pulses")) "?file=" (name) } { "Use as a recording" } }
                Kind::Bus => { a class="button plain" href={ (drive) "?vehicle_log=" (name) } { "Use as the truck's own log, and say where the speed stands" } }
                Kind::Signals => { a class="button plain" href={ (drive) "?dbc=" (name) } { "Use for the CAN log of a drive" } }
                Kind::Unknown => {}
            }
        }
    }
}

async fn take(State(app): State<Shared>, Path(slug): Path<String>, form: FormSent) -> Answer {
    let truck = app.truck(&slug)?;
    let place = Place::Beside(truck.slug.clone());
    let received = upload::received(&app, &place, Sender::Form, form).await?;
    work(&app, move |app| {
        let names: Vec<String> = received.files.into_iter().map(|(_, name)| name).collect();
        app.garage.make_evidence(&truck.slug, &names)?;
        let came: Vec<String> =
            names.iter().take(MOST_NAMED).map(|name| format!("came={}", encoded(name))).collect();
        Ok(Redirect::to(&format!("{}?{}", Stage::Measure.of(&truck.slug), came.join("&"))).into_response())
    })
    .await
}

async fn remove(
    State(app): State<Shared>,
    Path((slug, name)): Path<(String, String)>,
    _posted: Posted,
) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let used = truck.vehicle.as_ref().map(|vehicle| app.garage.loose_files(&truck.slug, vehicle));
        let is_loose = used.is_some_and(|loose| loose.iter().any(|file| file.name == name));
        if !is_loose || kept_name(&name) != name {
            let says = "Only files that no piece of evidence names can be deleted here.";
            return Err(PageError::new(StatusCode::NOT_FOUND, "There is no such file to delete", says)
                .or("To the evidence", &Stage::Measure.of(&truck.slug)));
        }
        app.garage.delete_file(&truck.slug, &name);
        Ok(Redirect::to(&Stage::Measure.of(&truck.slug)).into_response())
    })
    .await
}
