//! Small drawings of our own, one for each way to measure: line and one tone, in the colour of the text around them.

use crate::chart;
use maud::{Markup, PreEscaped, html};
use truing::report::document::Drawing;
use truing::report::words::ways::MeasureWay;

/// A drawing of a way; what it shows is said by the words beside it.
pub fn of(way: MeasureWay) -> Markup {
    drawn(shapes(way))
}

/// How the way is done, where a larger drawing says more than the small one.
pub fn how(way: MeasureWay) -> Markup {
    match way {
        MeasureWay::Tape => chart::drawing(Drawing::Rollout),
        _ => of(way),
    }
}

fn drawn(shapes: &str) -> Markup {
    html! { svg class="sketched" viewBox="0 0 120 72" aria-hidden="true" { (PreEscaped(shapes)) } }
}

fn shapes(way: MeasureWay) -> &'static str {
    match way {
        MeasureWay::Files => FILES,
        MeasureWay::CalledOut => CALLED_OUT,
        MeasureWay::Odometer => ODOMETER,
        MeasureWay::Tape => TAPE,
        MeasureWay::Stopwatch => STOPWATCH,
        MeasureWay::Wire => WIRE,
    }
}

/// A phone with a road on it, and a sheet with speeds.
const FILES: &str = r#"<rect x="16" y="5" width="36" height="62" rx="6"/><path class="tone" d="M26 56C26 44 44 46 42 34S27 28 32 16"/><circle class="full" cx="26" cy="56" r="3"/><path d="M70 14h26l10 10v43H70z"/><path d="M96 14v10h10"/><path class="tone" d="M76 56l6-14 6 5 6-16 6 8"/><path d="M76 60h24"/>"#;
/// A dial, and what somebody says.
const CALLED_OUT: &str = r#"<path d="M10 58a30 30 0 0 1 60 0z"/><path d="M17 58h5M58 58h5M40 35v-5M24 42l-4-4M56 42l4-4"/><path class="tone" d="M40 58L55 41"/><circle class="full" cx="40" cy="58" r="3"/><path d="M76 8h36v24H94l-9 9v-9h-9z"/><path class="tone" d="M83 16h22M83 24h14"/>"#;
/// The odometer at one post and at another.
const ODOMETER: &str = r#"<path d="M8 64h104"/><path class="tone" d="M18 64V44M102 64V44"/><path class="tone" d="M18 44h10v-7H18zM102 44H92v-7h10z"/><rect x="6" y="8" width="46" height="18" rx="3"/><rect x="68" y="8" width="46" height="18" rx="3"/><path d="M17.5 8v18M29 8v18M40.5 8v18M79.5 8v18M91 8v18M102.5 8v18"/><path d="M38 54h40M72 49l7 5-7 5"/>"#;
/// A tire that rolls from a mark to a mark.
const TAPE: &str = r#"<path d="M4 60h112"/><circle cx="28" cy="38" r="22"/><circle cx="28" cy="38" r="10"/><path class="tone" d="M28 48v12"/><circle cx="92" cy="38" r="22" stroke-dasharray="4 4"/><path class="tone" d="M92 48v12"/><path class="tone" d="M28 60v8M92 60v8M28 67h64"/>"#;
/// A watch between two posts.
const STOPWATCH: &str = r#"<path d="M6 64h108"/><path d="M18 64V36M102 64V36"/><path class="tone" d="M18 36l12 5-12 5M102 36l-12 5 12 5"/><circle cx="60" cy="36" r="22"/><path d="M60 14V7M53 6h14M77 20l4-4"/><path class="tone" d="M60 36V22"/><path d="M60 36l8 6"/><circle class="full" cx="60" cy="36" r="2.5"/>"#;
/// A toothed ring, its sensor, and what comes down the wire.
const WIRE: &str = r#"<circle cx="32" cy="36" r="9"/><path d="M27 17l2-7h6l2 7 5 2 6-4 4 4-4 6 2 5 7 2v6l-7 2-2 5 4 6-4 4-6-4-5 2-2 7h-6l-2-7-5-2-6 4-4-4 4-6-2-5-7-2v-6l7-2 2-5-4-6 4-4 6 4z"/><path class="tone" d="M60 32h8v8h-8z"/><path class="tone" d="M68 36h6V26h9v20h9V26h9v20h9V36h6"/>"#;
