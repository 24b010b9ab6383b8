//! Codes for a phone's camera.

use crate::paper::code::{self, Code};
use maud::{Markup, html};

/// A code for a phone's camera, and what it says in words.
pub fn scanned(address: &str, says: &str) -> Markup {
    let Some(Code { squares, bars }) = code::of(address) else { return html! {} };
    let path: String = bars.iter().map(|(x, y, length)| format!("M{x} {y}h{length}v1h-{length}z")).collect();
    html! {
        figure class="scanned" {
            svg viewBox={ "0 0 " (squares) " " (squares) } role="img" aria-label=(says) shape-rendering="crispEdges" {
                rect width=(squares) height=(squares) fill="#fff" {}
                path d=(path) fill="#000" {}
            }
        }
    }
}
