//! The root's certificate, to be taken in by a phone.

use crate::lan::Network;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// Gives it out, and never its key.
pub fn root(network: &Network) -> Response {
    let kind = (header::CONTENT_TYPE, "application/x-x509-ca-cert");
    let name = (header::CONTENT_DISPOSITION, "attachment; filename=\"waywiser-root.crt\"");
    ([kind, name], network.root_certificate().to_vec()).into_response()
}
