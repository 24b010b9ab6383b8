//! Files of the page, all in the binary. An address carries the hash of what it holds, so a browser keeps it for good.

use axum::http::header;
use axum::response::{IntoResponse, Response};
use std::sync::LazyLock;
use truing::record::Hash;

const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
/// Name, type and content.
static FILES: [(&str, &str, &str); 6] = [
    (
        "page.css",
        CSS,
        concat!(
            include_str!("../../static/page.css"),
            include_str!("../../static/blocks.css"),
            include_str!("../../static/round.css"),
            include_str!("../../static/forms.css"),
            include_str!("../chart/chart.css")
        ),
    ),
    ("press.js", SCRIPT, include_str!("../../static/press.js")),
    ("live.js", SCRIPT, include_str!("../../static/live.js")),
    ("print.js", SCRIPT, include_str!("../../static/print.js")),
    ("drop.js", SCRIPT, include_str!("../../static/drop.js")),
    ("mark.svg", "image/svg+xml", include_str!("../../static/mark.svg")),
];
/// Digits of the hash that stand in an address.
const DIGITS: usize = 16;

/// The file under its address.
struct Asset {
    name: &'static str,
    kind: &'static str,
    content: &'static str,
    address: String,
}

static ASSETS: LazyLock<Vec<Asset>> = LazyLock::new(|| {
    let asset = |&(name, kind, content): &(&'static str, &'static str, &'static str)| {
        let hash: String = Hash::new(content.as_bytes()).to_string().chars().take(DIGITS).collect();
        Asset { name, kind, content, address: format!("/static/{hash}-{name}") }
    };
    FILES.iter().map(asset).collect()
});

/// The address of a file of the page.
pub fn address(name: &str) -> &'static str {
    ASSETS.iter().find(|asset| asset.name == name).map_or("", |asset| asset.address.as_str())
}

/// What an address gives out, to be kept for good.
pub fn found(name: &str) -> Option<Response> {
    let asked = format!("/static/{name}");
    let asset = ASSETS.iter().find(|asset| asset.address == asked)?;
    let keep = "public, max-age=31536000, immutable";
    Some(([(header::CONTENT_TYPE, asset.kind), (header::CACHE_CONTROL, keep)], asset.content).into_response())
}

/// What a file of the page holds, for whoever cannot ask for it under its own address.
#[cfg(feature = "lan")]
pub fn content(name: &str) -> &'static str {
    ASSETS.iter().find(|asset| asset.name == name).map_or("", |asset| asset.content)
}
