//! Files that come in: kept beside the vehicle file as they arrive, and made evidence where what they are is plain.

use super::error::PageError;
use super::form::{self, Posted, check_token, form};
use super::parts::new_address;
use super::read_on::read_on_parts;
use super::routes::{Stage, truck as under};
use super::{Answer, App, Shared, work};
use crate::garage::{Kind, LooseFile, Truck, kept_name};
use crate::world::Arrival;
use axum::Router;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use maud::{Markup, html};
use std::sync::Arc;
use truing::describe::vehicle::Vehicle;

/// Bytes gathered before they go to the disk in one piece.
const PIECE_BYTES: usize = 1 << 20;
/// Most files in one go.
const MOST_FILES: usize = 50;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/files", post(take))
        .route("/trucks/{slug}/files/{name}/remove", post(remove))
}

/// Where files are dropped or chosen. Without scripts it is a plain form.
pub fn drop_form(app: &App, truck: &Truck) -> Markup {
    html! {
        form class="drop sends" method="post" enctype="multipart/form-data" action=(under(&truck.slug, "files")) {
            (form::token(app))
            label for="files" { "Files of a drive or a recording" }
            input type="file" id="files" name="files" multiple required aria-describedby="files-hint";
            p class="hint" id="files-hint" {
                "A phone's track (GPX, NMEA, CSV) together with the truck's own log (CSV, CAN), or a recording of the sensor's wire (WAV or as phones record it, \
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
    let drive = new_address(truck, "evidence", "drive");
    let name = encoded(&file.name);
    html! {
        p { strong { (file.name) } " " span class="said" { (file.kind.says()) } }
        p class="ways-on" {
            @match file.kind {
                Kind::Track => { a class="button plain" href={ (drive) "?track=" (name) } { "Use as the track of a drive" } }
                Kind::VehicleLog => { a class="button plain" href={ (drive) "?vehicle_log=" (name) } { "Use as the truck's own log" } }
                Kind::Both => { a class="button plain" href={ (drive) "?track=" (name) "&vehicle_log=" (name) } { "Use as track and log in one" } }
                Kind::Recording => { a class="button plain" href={ (new_address(truck, "evidence", "pulses")) "?file=" (name) } { "Use as a recording" } }
                Kind::Bus => { a class="button plain" href={ (drive) "?vehicle_log=" (name) } { "Use as the truck's own log, and say where the speed stands" } }
                Kind::Signals => { a class="button plain" href={ (drive) "?dbc=" (name) } { "Use for the CAN log of a drive" } }
                Kind::Unknown => {}
            }
        }
        (form(app, &under(&truck.slug, &format!("files/{name}/remove")), &html! {
            button class="plain" { "Delete" span class="unseen" { " " (file.name) } }
        }))
    }
}

/// A file's name in an address: kept names hold letters of any script, digits, dots, dashes and lines below.
fn encoded(name: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_');
    name.bytes()
        .map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") })
        .collect()
}

async fn take(State(app): State<Shared>, Path(slug): Path<String>, mut form: Multipart) -> Answer {
    match taken(&app, &slug, &mut form).await {
        Ok(truck) => Ok(Redirect::to(&Stage::Measure.of(&truck.slug)).into_response()),
        Err(error) => {
            read_on_parts(&mut form).await;
            Err(error)
        }
    }
}

async fn taken(app: &Shared, slug: &str, form: &mut Multipart) -> Result<Arc<Truck>, PageError> {
    let truck = app.truck(slug)?;
    let mut trusted = false;
    let mut names = Vec::new();
    while let Some(field) = form.next_field().await.map_err(|error| broken_off(&error))? {
        if field.file_name().is_none() {
            if field.name() == Some(form::TOKEN) {
                check_token(app, &field.text().await.map_err(|error| broken_off(&error))?)?;
                trusted = true;
            }
            continue;
        }
        // The token comes first: nothing of a foreign form reaches the disk.
        if !trusted {
            check_token(app, "")?;
        }
        if names.len() < MOST_FILES && field.file_name() != Some("") {
            names.push(keep(app, &truck, field).await?);
        }
    }
    if !trusted {
        check_token(app, "")?;
    }
    let slug = truck.slug.clone();
    work(app, move |app| Ok(app.garage.make_evidence(&slug, &names)?)).await?;
    Ok(truck)
}

/// Streams one file to the disk; what breaks off leaves nothing behind.
async fn keep(app: &Shared, truck: &Truck, mut field: Field<'_>) -> Result<String, PageError> {
    let name = field.file_name().unwrap_or_default().to_string();
    let slug = truck.slug.clone();
    let mut arrival = work(app, move |app| Ok(app.garage.arrival(&slug)?)).await?;
    let mut piece = Vec::new();
    while let Some(bytes) = field.chunk().await.map_err(|error| broken_off(&error))? {
        piece.extend_from_slice(&bytes);
        if piece.len() >= PIECE_BYTES {
            arrival = to_disk(app, arrival, std::mem::take(&mut piece)).await?;
        }
    }
    let arrival = to_disk(app, arrival, piece).await?;
    let slug = truck.slug.clone();
    work(app, move |app| Ok(app.garage.keep_file(&slug, &name, arrival)?)).await
}

async fn to_disk(app: &Shared, mut arrival: Arrival, piece: Vec<u8>) -> Result<Arrival, PageError> {
    work(app, move |app| {
        arrival.take(&piece).map_err(|problem| PageError::unusable(app.garage.shown(vec![*problem])))?;
        Ok(arrival)
    })
    .await
}

fn broken_off(error: &MultipartError) -> PageError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return form::too_large(super::guard::LARGEST_UPLOAD_BYTES);
    }
    PageError::new(
        StatusCode::BAD_REQUEST,
        "The files did not arrive whole",
        "Nothing of the last one was kept. Send it again.",
    )
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
