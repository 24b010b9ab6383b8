//! What the network reaches, and who: `/pair` for whoever is in it, `/run` for phones that were let in, nothing else for
//! anybody. As strict as the guard of this machine's own pages: the name that was asked for, where a request comes from, what a
//! browser may do with the answer.

use super::super::addresses::{PAIR, ROOT, is_of_the_run, is_under};
use super::super::app::Shared;
use super::super::guard::{self, is_from_here, is_of_another_site, text};
use super::super::packed::packed;
use super::super::read_on::next;
use super::pair;
use super::pair::{COOKIE, framed};
use super::root::root;
use crate::lan::Network;
use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::html;

/// The most that one request from the network may bring (judgement: an hour of records is less).
const MOST_BYTES: u64 = 4 << 20;

/// Of what is refused so much is read on at most.
const MOST_READ_ON_BYTES: usize = 64 << 10;

/// Why a request is not answered: the status, what is wrong, and what to do.
type Refusal = (StatusCode, &'static str, &'static str);

/// What the network reaches.
pub fn router(app: Shared) -> Router {
    let limit = usize::try_from(MOST_BYTES).unwrap_or(usize::MAX);
    Router::new()
        .merge(pair::routes())
        .route(ROOT, get(certificate))
        .fallback(|| async { told(NOTHING_HERE) })
        .layer(DefaultBodyLimit::max(limit))
        .layer(middleware::from_fn_with_state(app.clone(), watch))
        .layer(middleware::from_fn(packed))
        .with_state(app)
}

const NOTHING_HERE: Refusal = (
    StatusCode::NOT_FOUND,
    "There is nothing here",
    "From the network only the page for the drive is reached.",
);

async fn certificate(State(app): State<Shared>) -> Response {
    app.network.as_ref().map_or_else(|| told(NOTHING_HERE), |network| root(network))
}

async fn watch(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let is_of_the_run = is_of_the_run(request.uri());
    let checked = app.network.as_ref().ok_or(NOTHING_HERE).and_then(|network| check(network, &request));
    let mut answer = match checked {
        Ok(()) => next.run(request).await,
        Err(refusal) => {
            read_a_little(request).await;
            told(refusal)
        }
    };
    guard::with_headers(answer.headers_mut(), is_of_the_run);
    answer
}

/// What is refused is read on, so that the answer arrives, where it is short; nobody in the network gets to fill the line.
async fn read_a_little(request: Request) {
    let length =
        text(request.headers(), &header::CONTENT_LENGTH).and_then(|length| length.parse::<usize>().ok());
    let mut left = length.filter(|length| *length <= MOST_READ_ON_BYTES).unwrap_or(0);
    let mut body = request.into_body();
    while left > 0 {
        let Some(Ok(more)) = next(&mut body).await else { return };
        left = left.saturating_sub(more.len());
    }
}

fn told((status, title, says): Refusal) -> Response {
    (status, framed(title, false, &html! { p { (says) } })).into_response()
}

fn check(network: &Network, request: &Request) -> Result<(), Refusal> {
    let (headers, address) = (request.headers(), request.uri());
    let host = text(headers, &header::HOST).filter(|host| network.is_called(host));
    let whole = address.authority().is_none_or(|authority| network.is_called(authority.as_str()));
    let asked = host.filter(|_| whole).ok_or((
        StatusCode::FORBIDDEN,
        "Not under this name",
        "This page answers only under the addresses that the laptop shows.",
    ))?;
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    if changes && !is_from_here(headers, "https://", asked) || !changes && is_of_another_site(headers) {
        let says = "Another site asked for this. Nothing was looked up or changed.";
        return Err((StatusCode::FORBIDDEN, "Not from this page", says));
    }
    let length = text(headers, &header::CONTENT_LENGTH).and_then(|length| length.parse::<u64>().ok());
    if length.is_some_and(|length| length > MOST_BYTES) {
        return Err((StatusCode::PAYLOAD_TOO_LARGE, "That is too large", "Send it in smaller parts."));
    }
    match address.path() {
        ROOT => Ok(()),
        _ if is_under(address, PAIR) => Ok(()),
        _ if !is_of_the_run(address) => Err(NOTHING_HERE),
        _ if is_let_in(network, headers) => Ok(()),
        _ => Err((
            StatusCode::UNAUTHORIZED,
            "This phone was not let in",
            "Ask for a code on the laptop's page of phones, and scan it with this phone. Under another address it has to be let in once more.",
        )),
    }
}

fn is_let_in(network: &Network, headers: &HeaderMap) -> bool {
    let cookies = text(headers, &header::COOKIE).unwrap_or_default().split(';');
    let mut keys = cookies.filter_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='));
    keys.any(|key| network.admits(key))
}
