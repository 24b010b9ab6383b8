//! What answers at which address, behind the guard.

use super::addresses::{API, GARAGE, is_of_the_api};
use super::api::ApiError;
use super::app::Shared;
use super::error::PageError;
use super::{
    add, api, assets, batch, bench, choose, describe, evidence, files, guard, home, look_at, look_up, manual,
    measure, papers, preview, prove, record, run, set,
};
use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

/// Every page, behind the guard.
pub fn router(app: Shared) -> Router {
    let pages = Router::new()
        .route(GARAGE, get(home::show))
        .route("/static/{name}", get(asset))
        .merge(home::routes())
        .merge(add::routes())
        .merge(describe::routes())
        .merge(measure::routes())
        .merge(files::routes())
        .merge(evidence::routes())
        .merge(choose::routes())
        .merge(set::routes())
        .merge(prove::routes())
        .merge(record::routes())
        .merge(papers::routes())
        .merge(batch::routes())
        .merge(look_at::routes())
        .merge(bench::routes())
        .merge(look_up::routes())
        .merge(preview::routes())
        .merge(manual::routes())
        .merge(run::routes())
        .merge(api::routes())
        .fallback(nothing_here);
    #[cfg(feature = "lan")]
    let pages = pages.merge(super::phones::routes());
    guard::guarded(pages, &app).with_state(app)
}

/// Gives a file of the page out.
async fn asset(Path(name): Path<String>) -> Result<Response, PageError> {
    assets::found(&name).ok_or_else(|| {
        PageError::new(
            StatusCode::NOT_FOUND,
            "There is no such file",
            "Load the page again: it may be from an older version.",
        )
    })
}

/// An address that leads nowhere.
async fn nothing_here(address: Uri) -> Response {
    let known = format!("The address may be mistyped or old. All there are stand in {API}/openapi.json.");
    match is_of_the_api(&address) {
        true => ApiError::from(PageError::new(StatusCode::NOT_FOUND, "There is no such address", &known))
            .into_response(),
        false => PageError::new(
            StatusCode::NOT_FOUND,
            "There is no such page",
            "The address may be mistyped or old.",
        )
        .into_response(),
    }
}
