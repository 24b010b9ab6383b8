//! How to do a measurement well: a few steps with a drawing, beside the form that asks for it.

use super::drawings;
use maud::{Markup, html};
use truing::report::words::ways::MeasureWay;

/// The guide to a kind of evidence where it is one of the six ways, with a drawing where the form brings none.
pub fn to(kind: &str, is_drawn: bool) -> Option<Markup> {
    let way = MeasureWay::of_kind(kind)?;
    Some(html! {
        section class="guide" aria-labelledby="well" {
            h2 id="well" { "How to do it well" }
            @if !is_drawn { (drawings::how(way)) }
            ol class="well" { @for step in way.done_well() { li { (step) } } }
        }
    })
}
