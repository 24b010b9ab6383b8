//! The programming interface: the same reports as `--json` of the command line, under one prefix.
//!
//! `operations.rs` is the one table of it: the addresses that are served and their description
//! (`crates/waywiser/openapi.json`) both come from there. A browser proves where a change comes from, as for every page; a
//! program sends the header [`CLIENT`], which no other site can make a browser send.

mod answer;
mod ask;
mod change;
mod openapi;
mod operations;
mod read;
mod reference;
mod schema;
mod table;
mod taken;

pub use answer::ApiError;
pub use openapi::description;

use super::addresses::API;
use super::app::Shared;
use super::error::PageError;
use super::read_on::read_on;
use answer::CLIENT;
use axum::Router;
use axum::extract::Request;
use axum::http::{Method, StatusCode};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Json, Response};
use axum::routing::get;
use operations::operations;

/// The interface, with its own description.
pub fn routes() -> Router<Shared> {
    let described = get(|| async { Json(description()) });
    operations()
        .router()
        .route(&format!("{API}/openapi.json"), described)
        .layer(middleware::from_fn(only_ours))
}

/// A change needs the header that only a program or this page can send.
async fn only_ours(request: Request, next: Next) -> Response {
    let reads = matches!(*request.method(), Method::GET | Method::HEAD);
    if reads || request.headers().get(CLIENT).is_some_and(|client| !client.is_empty()) {
        return next.run(request).await;
    }
    read_on(request.into_body()).await;
    let says = format!("A change needs the header `{CLIENT}` with any value. Nothing was changed.");
    ApiError(PageError::new(StatusCode::FORBIDDEN, "Not from a program of yours", &says)).into_response()
}
