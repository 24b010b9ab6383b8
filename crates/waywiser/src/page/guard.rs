//! The guard before every page: who may ask, what may be sent, and what a browser may do with an answer.
//!
//! A page on the owner's own machine can be reached by any site the owner visits. So the name the browser asked for must
//! be one of ours (a foreign name that was bent to this machine is refused), a change must come from a page of ours, and
//! a browser is told to load nothing from anywhere else.

use super::addresses::{is_of_the_api, is_of_the_run};
use super::api::ApiError;
use super::app::Shared;
use super::error::PageError;
use super::form::too_large;
use super::hosts::Hosts;
use super::packed::packed;
use super::read_on::{LARGEST_UPLOAD_BYTES, read_on};
use crate::world::is_same;
use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};

const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
/// What every answer carries.
const HEADERS: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];
/// What a page may ask the device for.
const PERMISSIONS: HeaderName = HeaderName::from_static("permissions-policy");
const NOTHING_OF_THE_DEVICE: &str = "camera=(), microphone=(), geolocation=(), screen-wake-lock=()";
/// The same where a drive is recorded.
const PLACE_AND_SCREEN: &str = "camera=(), microphone=(), geolocation=(self), screen-wake-lock=(self)";

/// Pages behind the guard.
pub fn guarded(pages: Router<Shared>, app: &Shared) -> Router<Shared> {
    let limit = usize::try_from(LARGEST_UPLOAD_BYTES).unwrap_or(usize::MAX);
    pages
        .layer(DefaultBodyLimit::max(limit))
        .layer(middleware::from_fn_with_state(app.clone(), watch))
        .layer(middleware::from_fn(packed))
}

async fn watch(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let address = request.uri().clone();
    let is_program = is_of_the_api(&address);
    let mut answer = match check(&app.hosts, &request) {
        Ok(()) if let Some(cookie) = key_in_address(&app.hosts, &request) => with_cookie(&request, &cookie),
        Ok(()) => in_our_words(next.run(request).await, is_program),
        Err(error) => {
            read_on(request.into_body()).await;
            told(error, is_program)
        }
    };
    with_headers(answer.headers_mut(), is_of_the_run(&address));
    answer
}

/// What every answer carries; where a drive is recorded the page may ask where the device is, and keep its screen on.
pub(super) fn with_headers(headers: &mut HeaderMap, is_of_the_run: bool) {
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    let permitted = if is_of_the_run { PLACE_AND_SCREEN } else { NOTHING_OF_THE_DEVICE };
    headers.insert(PERMISSIONS, HeaderValue::from_static(permitted));
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
}

/// An error for whoever asked.
fn told(error: PageError, is_program: bool) -> Response {
    if is_program { ApiError::from(error).into_response() } else { error.into_response() }
}

/// What the library under the pages refuses by itself is a line of plain text, or nothing: it gets words and a way on.
fn in_our_words(answer: Response, is_program: bool) -> Response {
    let kind = answer.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    let is_bare = kind.is_none_or(|kind| kind.starts_with("text/plain"));
    let status = answer.status();
    if !(is_bare && (status.is_client_error() || status.is_server_error())) {
        return answer;
    }
    told(in_words(status), is_program)
}

fn in_words(status: StatusCode) -> PageError {
    let (title, says) = match status {
        StatusCode::METHOD_NOT_ALLOWED => (
            "Not in this way",
            "This address is there, but not for what was asked of it. Nothing was changed.",
        ),
        StatusCode::PAYLOAD_TOO_LARGE => return too_large(LARGEST_UPLOAD_BYTES),
        status if status.is_server_error() => return PageError::unexpected(),
        _ => (
            "The address cannot be read",
            "Something in it is not what belongs there: it may be mistyped or old. Nothing was changed.",
        ),
    };
    PageError::new(status, title, says)
}

fn check(hosts: &Hosts, request: &Request) -> Result<(), PageError> {
    let headers = request.headers();
    let host = text(headers, &header::HOST).or(request.uri().authority().map(|authority| authority.as_str()));
    let asked = host.filter(|host| hosts.hold(host)).ok_or_else(foreign_name)?;
    if request.uri().authority().is_some_and(|authority| !hosts.hold(authority.as_str())) {
        return Err(foreign_name());
    }
    if !has_key(hosts, request) {
        let says = "Other machines can ask this page, so it answers only whoever has the key: open it by the whole address \
                    that waywiser printed when it was started.";
        return Err(PageError::new(StatusCode::UNAUTHORIZED, "The key is missing", says));
    }
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    if changes && !is_from_here(headers, "http://", asked) {
        let says = "Another site tried to change something here. Nothing was changed.";
        return Err(PageError::new(StatusCode::FORBIDDEN, "Not from this page", says));
    }
    if !changes && is_of_another_site(headers) {
        let says = "Another site led here or asked for this. Nothing was looked up. If you want to be here, go on from this page.";
        return Err(PageError::new(StatusCode::FORBIDDEN, "Asked for by another site", says));
    }
    let length = text(headers, &header::CONTENT_LENGTH).and_then(|length| length.parse::<u64>().ok());
    if length.is_some_and(|length| length > LARGEST_UPLOAD_BYTES) {
        return Err(too_large(LARGEST_UPLOAD_BYTES));
    }
    Ok(())
}

/// Asking costs work too. A browser says when another site makes it ask; a link from elsewhere leads here by one more click.
pub(super) fn is_of_another_site(headers: &HeaderMap) -> bool {
    let site = headers.get("sec-fetch-site").map(|site| site.to_str().unwrap_or_default());
    site.is_some_and(|site| site != "same-origin" && site != "none")
}

/// Where a browser keeps the key.
const COOKIE: &str = "waywiser-key";

/// Whether a request brings the key, where one is needed: in the address, as a browser keeps it, or as a program sends it.
fn has_key(hosts: &Hosts, request: &Request) -> bool {
    let Some(key) = &hosts.key else { return true };
    let headers = request.headers();
    let sent = text(headers, &header::AUTHORIZATION).and_then(|sent| sent.strip_prefix("Bearer "));
    let cookies = text(headers, &header::COOKIE).unwrap_or_default().split(';');
    let kept = cookies.filter_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='));
    let in_address = in_address(request);
    sent.into_iter().chain(kept).chain(in_address).any(|given| is_same(given, key))
}

/// The key that the address of a page has at its end.
fn in_address(request: &Request) -> Option<&str> {
    (request.method() == Method::GET).then_some(())?;
    request.uri().query()?.split('&').find_map(|pair| pair.strip_prefix("key="))
}

fn key_in_address(hosts: &Hosts, request: &Request) -> Option<String> {
    let key =
        hosts.key.as_ref().filter(|key| in_address(request).is_some_and(|given| is_same(given, key)))?;
    Some(format!("{COOKIE}={key}; HttpOnly; SameSite=Strict; Path=/"))
}

/// From here on the browser keeps the key, and addresses are without it.
fn with_cookie(request: &Request, cookie: &str) -> Response {
    let mut answer = Redirect::to(request.uri().path()).into_response();
    if let Ok(cookie) = HeaderValue::from_str(cookie) {
        answer.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    answer
}

/// A browser says where a request comes from, in one header or both; a program on this machine says neither.
pub(super) fn is_from_here(headers: &HeaderMap, scheme: &str, asked: &str) -> bool {
    let origin = headers.get(header::ORIGIN).map(|origin| origin.to_str().unwrap_or_default());
    let same_origin = origin.is_none_or(|origin| {
        origin.strip_prefix(scheme).is_some_and(|host| host.eq_ignore_ascii_case(asked))
    });
    let site = headers.get("sec-fetch-site").map(|site| site.to_str().unwrap_or_default());
    same_origin && site.is_none_or(|site| site == "same-origin")
}

pub(super) fn text<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    // A name said twice is no name.
    let mut all = headers.get_all(name).iter();
    let only = all.next()?.to_str().ok()?;
    all.next().is_none().then_some(only)
}

fn foreign_name() -> PageError {
    let says = "This page answers only under the address that waywiser printed when it was started.";
    PageError::new(StatusCode::FORBIDDEN, "Not under this name", says)
}
