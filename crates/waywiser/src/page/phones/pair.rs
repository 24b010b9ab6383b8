//! Where a phone brings its code and gets its key. The code stands behind the `#` of the address, which no browser sends: the
//! script takes it from there, and out of what the browser remembers.

use super::super::addresses::PAIR;
use super::super::app::{Shared, work};
use super::super::assets;
use super::super::frame::html as answer;
use super::super::read_on::next;
use crate::lan::{ATTEMPTS, LONGEST_NAME, NotLetIn};
use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use maud::{DOCTYPE, Markup, html};
use serde::Deserialize;
use serde_json::json;

/// Where a phone keeps its key: sent to the run page alone, over encrypted lines alone, and readable by no script.
pub const COOKIE: &str = "__Secure-waywiser-phone";
/// How long it is kept: the most that browsers allow, 400 days (from memory, the draft that revises RFC 6265).
const KEPT_S: u32 = 400 * 86_400;
/// A code and a name are far shorter.
const MOST_BYTES: usize = 1024;
const SCRIPT: &str = "/pair/app.js";
const STYLE: &str = "/pair/page.css";

/// Its addresses, for the network.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(PAIR, get(show).post(let_in))
        .route(
            SCRIPT,
            get(|| async {
                of_kind("text/javascript; charset=utf-8", include_str!("../../../static/pair.js"))
            }),
        )
        .route(STYLE, get(|| async { of_kind("text/css; charset=utf-8", assets::content("page.css")) }))
}

fn of_kind(kind: &'static str, text: &'static str) -> Response {
    ([(header::CONTENT_TYPE, kind)], text).into_response()
}

/// A page for the network: nothing in it leads into the garage.
pub fn framed(title: &str, script: bool, body: &Markup) -> Response {
    answer(html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " \u{2013} waywiser" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href=(STYLE);
                @if script { script src=(SCRIPT) defer {} }
            }
            body { main { h1 { (title) } (body) } }
        }
    })
}

async fn show() -> Response {
    framed(
        "Let this phone in",
        true,
        &html! {
            p class="lead" { "The laptop asks: is this the phone that is to record the drive?" }
            p { "It may hand over what it recorded. It can read nothing of the garage." }
            form id="pair" {
                label for="name" { "What the laptop calls this phone" }
                input id="name" name="name" type="text" value="Phone" maxlength=(LONGEST_NAME) autocomplete="off";
                button { "Let it in" }
            }
            p id="said" role="status" {}
            noscript { p class="mark" { "This page needs scripts: the code stands where only a script can read it." } }
        },
    )
}

/// What a phone sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    secret: String,
    name: String,
}

async fn let_in(State(app): State<Shared>, body: Body) -> Response {
    let Some(sent) = sent(body).await else {
        return said(StatusCode::BAD_REQUEST, "That is no code. Scan it again.");
    };
    let let_in = work(&app, move |app| {
        Ok(app.network.as_ref().map(|network| network.let_in(&sent.secret, &sent.name)).transpose()?)
    });
    match let_in.await {
        Ok(Some(Ok(key))) => with_key(&key),
        Ok(Some(Err(not))) => said(StatusCode::FORBIDDEN, &why(not)),
        Ok(None) | Err(_) => {
            said(StatusCode::INTERNAL_SERVER_ERROR, "The laptop could not keep it. Look at the laptop.")
        }
    }
}

async fn sent(mut body: Body) -> Option<Sent> {
    let mut bytes = Vec::new();
    while let Some(more) = next(&mut body).await {
        bytes.extend_from_slice(&more.ok()?);
        (bytes.len() <= MOST_BYTES).then_some(())?;
    }
    serde_json::from_slice(&bytes).ok()
}

fn with_key(key: &str) -> Response {
    let mut answer = said(StatusCode::OK, "Let in.");
    let cookie = format!("{COOKIE}={key}; Secure; HttpOnly; SameSite=Strict; Path=/run; Max-Age={KEPT_S}");
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        answer.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    answer
}

fn why(not: NotLetIn) -> String {
    match not {
        NotLetIn::NoCode => {
            "No code is open: it was used, or another one took its place. Ask the laptop for another.".into()
        }
        NotLetIn::Expired => "The code is too old. Ask the laptop for another.".into(),
        NotLetIn::Wrong(left) => format!("That is not the code. {left} of {ATTEMPTS} attempts are left."),
        NotLetIn::UsedUp => "Too many wrong codes came. Ask the laptop for another.".into(),
    }
}

fn said(status: StatusCode, says: &str) -> Response {
    (status, Json(json!({ "says": says }))).into_response()
}
