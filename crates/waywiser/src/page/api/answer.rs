//! What the programming interface gives and what it asks of every change.

use crate::page::addresses::API;
use crate::page::app::{App, Shared, work};
use crate::page::error::PageError;
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Json, Response};
use schemars::JsonSchema;
use serde::Serialize;
use truing::problem::Problem;
use truing::record::Hash;

/// What a program says of itself when it changes something; any value.
pub const CLIENT: &str = "waywiser-client";

/// An error as JSON: the same words as the page of it.
pub struct ApiError(pub PageError);

/// What an error says.
#[derive(Serialize, JsonSchema)]
pub struct ErrorAnswer {
    /// What is wrong, in a few words.
    pub error: String,
    /// The same at length.
    pub says: String,
    /// Everything wrong with the input: place, expected, found, hint.
    pub problems: Vec<Problem>,
}

impl<E: Into<PageError>> From<E> for ApiError {
    fn from(error: E) -> Self {
        Self(error.into())
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let PageError { status, title, says, problems, .. } = self.0;
        (status, Json(ErrorAnswer { error: title, says, problems: problems.into() })).into_response()
    }
}

/// An answer of the interface.
pub type Given<T> = Result<Json<T>, ApiError>;

/// Does blocking work and gives what came of it as JSON.
pub async fn given<T: Serialize + Send + 'static>(
    app: &Shared,
    act: impl FnOnce(&App) -> Result<T, PageError> + Send + 'static,
) -> Given<T> {
    Ok(Json(work(app, act).await?))
}

/// The version that a change was made from.
pub fn version(headers: &HeaderMap) -> Result<Hash, PageError> {
    let given =
        headers.get("if-match").and_then(|value| value.to_str().ok()).map(|value| value.trim_matches('"'));
    Hash::read(given.unwrap_or_default()).map_err(|_| {
        let problem = Problem::error("If-Match", "the version of the vehicle file", given.unwrap_or("none"));
        PageError::unusable(problem.hint(format!("Read it from {API}/trucks/{{slug}}.")))
    })
}

/// The key of a request that may be sent again.
pub fn key(headers: &HeaderMap) -> Option<&str> {
    headers.get("idempotency-key")?.to_str().ok().map(str::trim).filter(|key| !key.is_empty())
}
