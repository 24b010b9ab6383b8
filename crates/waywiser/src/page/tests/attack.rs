//! Anything at all sent to every operation of the interface: an answer of the interface, never a fault, never a path.

use super::Visitor;
use super::visitor::HOST;
use crate::attack_tests::attack;
use crate::page::addresses::API as PREFIX;
use crate::page::addresses::encoded;
use crate::page::api::description;
use axum::body::Body;
use axum::http::{Request, header};

/// After so many a garage is left for a new one: it grows.
const IN_ONE_GARAGE: u32 = 100;

/// Method and address of every operation.
fn operations(slug: &str) -> Vec<(String, String)> {
    let whole = description();
    let paths = whole["paths"].as_object().unwrap();
    let all = paths.iter().flat_map(|(path, methods)| {
        let path = path.replace("{slug}", slug);
        let methods = methods
            .as_object()
            .unwrap()
            .keys()
            .filter(|word| ["get", "post", "put"].contains(&word.as_str()));
        methods.map(move |method| (method.to_uppercase(), path.clone()))
    });
    all.collect()
}

/// As it may stand in an address: what means something there stays, the rest is escaped.
fn query(bytes: &[u8]) -> String {
    let stays = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~=&%+/".contains(&byte);
    let one = |byte: &u8| if stays(*byte) { char::from(*byte).to_string() } else { format!("%{byte:02X}") };
    bytes.iter().take(2000).map(one).collect()
}

#[test]
fn api() {
    let (mut visitor, mut slug) = Visitor::with_sample();
    let mut all = operations(slug.as_str());
    assert!(all.len() > 30 && all.iter().all(|(_, path)| path.starts_with(PREFIX)), "{all:?}");
    let mut asked = 0;
    attack("api", |bytes| {
        asked += 1;
        if asked % IN_ONE_GARAGE == 0 {
            (visitor, slug) = Visitor::with_sample();
            all = operations(slug.as_str());
        }
        let line = bytes.iter().position(|byte| *byte == b'\n').unwrap_or(bytes.len());
        let (address, body) = (query(&bytes[..line]), bytes.get(line + 1..).unwrap_or_default());
        // Each input goes to three operations, so that every operation meets every kind of body.
        for turn in 0..3 {
            let (method, path) = &all[(asked as usize * 3 + turn) % all.len()];
            let mut request = Request::builder().method(method.as_str()).uri(format!("{path}?{address}"));
            request = request
                .header(header::HOST, HOST)
                .header("waywiser-client", "test")
                .header("if-match", encoded(&address));
            if body.starts_with(b"--x") {
                request = request.header(header::CONTENT_TYPE, "multipart/form-data; boundary=x");
            }
            let said = visitor.send(request.body(Body::from(body.to_vec())).unwrap());
            assert!(!said.status.is_server_error(), "{method} {path}: {}", said.body);
            let folder = visitor.app.garage.folder().display().to_string();
            assert!(!said.body.contains(&folder), "{method} {path} tells a path: {}", said.body);
        }
    });
}
