//! Answers packed on their way (RFC 9110, 8.4.1.3) for whoever takes them so: a page with its pictures is a third as heavy.

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::Write;

/// What is text, and is made whole before it is sent.
const TEXTS: [&str; 5] = ["text/html", "text/css", "text/javascript", "image/svg+xml", "application/json"];
/// Less is not worth it.
const LEAST_BYTES: usize = 1_000;

/// Packs what an address gives out.
pub async fn packed(request: Request, next: Next) -> Response {
    let takes = takes_packed(request.headers());
    let answer = next.run(request).await;
    if !takes || !is_text(answer.headers()) {
        return answer;
    }
    let (mut head, body) = answer.into_parts();
    // It lies in memory whole already.
    let Ok(whole) = to_bytes(body, usize::MAX).await else {
        return Response::from_parts(head, Body::empty());
    };
    let small = if whole.len() < LEAST_BYTES { None } else { gzip(&whole) };
    let Some(small) = small else { return Response::from_parts(head, Body::from(whole)) };
    head.headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
    head.headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    head.headers.remove(header::CONTENT_LENGTH);
    Response::from_parts(head, Body::from(small))
}

/// Whether whoever asks takes it packed: `gzip` is named, and not with a weight of zero.
fn takes_packed(headers: &HeaderMap) -> bool {
    let named =
        headers.get(header::ACCEPT_ENCODING).and_then(|named| named.to_str().ok()).unwrap_or_default();
    named.split(',').any(|one| {
        let (name, weight) = one.split_once(';').unwrap_or((one, ""));
        let weight = weight.trim().strip_prefix("q=").and_then(|weight| weight.trim().parse::<f64>().ok());
        name.trim().eq_ignore_ascii_case("gzip") && weight != Some(0.0)
    })
}

fn is_text(headers: &HeaderMap) -> bool {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    TEXTS.iter().any(|text| kind.starts_with(text)) && !headers.contains_key(header::CONTENT_ENCODING)
}

fn gzip(whole: &[u8]) -> Option<Vec<u8>> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(whole).ok()?;
    packer.finish().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_who_names_it_gets_it() {
        let check = |named: &str, expected: bool| {
            let mut headers = HeaderMap::new();
            headers.insert(header::ACCEPT_ENCODING, HeaderValue::from_str(named).unwrap());
            assert_eq!(takes_packed(&headers), expected, "{named}");
        };
        check("gzip, deflate, br", true);
        check("deflate, GZIP;q=0.5", true);
        check("gzip;q=0", false);
        check("identity", false);
        assert!(!takes_packed(&HeaderMap::new()));
    }
}
