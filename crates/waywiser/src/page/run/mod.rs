//! The run page: a passenger's phone, or the laptop that rides along, records a drive with marks and hands it over.
//!
//! It is one page with one script and one style sheet, apart from all others: small, without the frame, and kept by a worker of
//! its own, so that it opens again where there is no network. The worker is the answer to no other address.

mod needs;
mod offer;
mod records;
mod view;

use super::addresses::RUN;
use super::app::Shared;
use axum::Router;
use axum::http::{HeaderName, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
pub use offer::{of_file, open_runs};
use std::sync::LazyLock;
use truing::record::Hash;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(RUN, get(|| async { page() }))
        .route("/run/app.js", get(|| async { script(&SENT_SCRIPT) }))
        .route("/run/worker.js", get(|| async { worker() }))
        .route("/run/run.css", get(|| async { of_kind("text/css", &SENT_STYLE) }))
        .route("/run/needs", get(needs::show))
        .route("/run/records/{run}", get(records::awaited).post(records::take))
        .route("/run/records/{run}/end", post(records::end))
        .merge(offer::routes())
}

const STYLE: &str = include_str!("../../../static/run/run.css");
const SCRIPT: &str = concat!(
    include_str!("../../../static/run/store.js"),
    include_str!("../../../static/run/receiver.js"),
    include_str!("../../../static/run/marks.js"),
    include_str!("../../../static/run/send.js"),
    include_str!("../../../static/run/gate.js"),
    include_str!("../../../static/run/afterwards.js"),
    include_str!("../../../static/run/page.js"),
);
const WORKER: &str = include_str!("../../../static/run/worker.js");

/// The script without indents and lines of comments: a phone in a yard may have little of a network.
static SENT_SCRIPT: LazyLock<String> = LazyLock::new(|| sent(SCRIPT));
static SENT_STYLE: LazyLock<String> = LazyLock::new(|| sent(STYLE));

fn sent(text: &str) -> String {
    let is_code = |line: &&str| {
        let is_remark = line.starts_with("//") || line.starts_with("/*") && line.ends_with("*/");
        !line.is_empty() && !is_remark
    };
    text.lines().map(str::trim).filter(is_code).flat_map(|line| [line, "\n"]).collect()
}

/// The worker names what it keeps by its hash, so that another version of the page is kept apart from this one.
static WORKER_OF_THIS: LazyLock<String> = LazyLock::new(|| {
    let all = format!("{}{STYLE}{SCRIPT}{WORKER}", view::page().into_string());
    WORKER.replace("VERSION", &Hash::new(all.as_bytes()).to_string())
});

fn page() -> Response {
    super::frame::html(view::page())
}

fn script(text: &'static str) -> Response {
    of_kind("text/javascript", text)
}

fn of_kind(kind: &str, text: &'static str) -> Response {
    ([(header::CONTENT_TYPE, format!("{kind}; charset=utf-8"))], text).into_response()
}

/// The worker stands below the page that it keeps, so it has to be allowed to.
fn worker() -> Response {
    let allowed = (HeaderName::from_static("service-worker-allowed"), RUN);
    ([allowed], script(&WORKER_OF_THIS)).into_response()
}
