//! The laptop's page: lets a phone in, shows which were, and takes their keys away.

use super::super::addresses::{DEVICES, PAIR, ROOT};
use super::super::app::{Answer, App, Shared, work};
use super::super::error::PageError;
use super::super::form::{Posted, form};
use super::super::frame::{Head, html as answer};
use super::root::root;
use super::scanned::scanned;
use super::ways::ways;
use crate::lan::{ATTEMPTS, LASTS_MIN, Network, Phone};
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use jiff::Timestamp;
use maud::{Markup, html};
use std::sync::Arc;

/// Its addresses, for this machine alone.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(DEVICES, get(show))
        .route("/devices/let-in", post(let_in))
        .route("/devices/{id}/revoke", post(revoke))
        .route(ROOT, get(certificate))
}

fn network(app: &App) -> Result<&Arc<Network>, PageError> {
    app.network.as_ref().ok_or_else(|| {
        let says = "waywiser was not started for phones, so there is nothing to let them into.";
        PageError::new(StatusCode::CONFLICT, "No phone can reach this yet", says)
            .or("How it is started", "/manual/phone")
    })
}

async fn show(State(app): State<Shared>) -> Answer {
    let body = match &app.network {
        None => ways(None),
        Some(network) => html! {
            (letting_in(&app, network))
            (shown(network))
            (phones(&app, &network.phones()))
            section class="part" { h2 { "In the truck" } (ways(Some(network))) }
        },
    };
    Ok(answer(
        Head::new("Phones")
            .leading("A phone may hand over what it recorded, and read nothing here.")
            .frame(&body),
    ))
}

fn letting_in(app: &App, network: &Network) -> Markup {
    let button = |says| form(app, "/devices/let-in", &html! { button { (says) } });
    html! {
        section class="part" {
            h2 { "Let a phone in" }
            @if let Some((code, until)) = network.code() {
                p { "Scan this with the phone's camera within " strong { (time_until(until)) } ". It lets one phone in, once." }
                (scanned(&format!("{}{PAIR}#{code}", network.origin()), "A code for the phone's camera, that lets it in"))
                p { "The phone warns that it does not know this machine. That is expected: go on, or install the root first." }
                details {
                    summary { span { "Without a camera" } }
                    div class="opened" { p { "Type this as the address:" } p { code { (network.origin()) (PAIR) "#" (code) } } }
                }
                @for origin in network.origins_by_address() {
                    details {
                        summary { span { "The phone does not find " (network.host()) } }
                        div class="opened" {
                            p { "Take this one instead. It holds as long as this machine keeps the address " (origin) "." }
                            (scanned(&format!("{origin}{PAIR}#{code}"), "The same code by the address"))
                        }
                    }
                }
                p class="ways-on" { a class="button plain" href=(DEVICES) { "Is it in? Look again" } }
                (button("Another code"))
            } @else {
                p {
                    "A code is shown that lets one phone in. It holds for " (LASTS_MIN) " minutes, and ends after " (ATTEMPTS)
                    " wrong attempts."
                }
                @if network.addresses().is_empty() {
                    p class="mark" { "This machine is in no private network at the moment. Join the phone's, or let both join one." }
                }
                (button("Let a phone in"))
            }
        }
    }
}

fn shown(network: &Network) -> Markup {
    html! {
        section class="part" {
            h2 { "This machine's root" }
            p { "Its fingerprint (SHA-256). Compare it with what the phone shows before you trust it there:" }
            p { code { (network.fingerprint()) } }
            p { a class="button plain" href=(ROOT) { "Download the root" } }
            p class="hint" { "It vouches for " (network.host()) " and for private addresses, and for nothing else." }
        }
    }
}

fn phones(app: &App, phones: &[Phone]) -> Markup {
    html! {
        section class="part" {
            h2 { "Phones that were let in" }
            @if phones.is_empty() { p { "None yet." } }
            @else { ul class="pieces" { @for one in phones { li class="piece" { (phone(app, one)) } } } }
        }
    }
}

fn phone(app: &App, phone: &Phone) -> Markup {
    html! {
        p { strong { (phone.name) } " " span class="said" { "let in " (moment(phone.first_seen)) ", seen last " (moment(phone.last_seen)) } }
        @match phone.revoked {
            Some(when) => { p class="said" { "Its key was taken away " (moment(when)) "." } }
            None => {
                (form(app, &format!("/devices/{}/revoke", phone.id), &html! {
                    button class="plain" { "Take its key away" span class="unseen" { ": " (phone.name) } }
                }))
            }
        }
    }
}

/// A moment, to the minute.
fn moment(when: Timestamp) -> String {
    format!("{} UTC", jiff::tz::Offset::UTC.to_datetime(when).strftime("%Y-%m-%d %H:%M"))
}

/// How long it is until a moment, in whole minutes or seconds.
fn time_until(when: Timestamp) -> String {
    match when.as_second() - crate::world::now().as_second() {
        seconds @ ..120 => format!("{} seconds", seconds.max(0)),
        seconds => format!("{} minutes", seconds / 60),
    }
}

async fn let_in(State(app): State<Shared>, _posted: Posted) -> Answer {
    network(&app)?.open_code()?;
    Ok(Redirect::to(DEVICES).into_response())
}

async fn revoke(State(app): State<Shared>, Path(id): Path<String>, _posted: Posted) -> Answer {
    work(&app, move |app| match network(app)?.revoke(&id)? {
        true => Ok(Redirect::to(DEVICES).into_response()),
        false => {
            let says = "There is no such phone in the list.";
            Err(PageError::new(StatusCode::NOT_FOUND, "No such phone", says).or("To the phones", DEVICES))
        }
    })
    .await
}

async fn certificate(State(app): State<Shared>) -> Answer {
    Ok(root(network(&app)?))
}
