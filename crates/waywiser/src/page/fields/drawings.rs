//! Drawings beside the forms: our own, in the ink of the page. They say nothing that the words beside them do not.

use maud::{Markup, html};

/// A drawing with the words under it.
fn drawn(width: u32, height: u32, says: &str, inside: &Markup) -> Markup {
    html! {
        figure class="drawing" {
            svg viewBox={ "0 0 " (width) " " (height) } aria-hidden="true" fill="none" stroke="currentColor" stroke-width="3"
                stroke-linecap="round" stroke-linejoin="round" { (inside) }
            figcaption { (says) }
        }
    }
}

/// A module: what its display shows, and its buttons.
pub fn module(shows: &str) -> Markup {
    let shows = if shows.is_empty() || shows.chars().count() > LONGEST_SHOWN { "----" } else { shows };
    let says = "The number on the display is what is stored. Look at it with the ignition on, and press nothing yet.";
    drawn(
        320,
        150,
        says,
        &html! {
            rect x="12" y="12" width="296" height="126" rx="14" {}
            rect x="34" y="36" width="156" height="78" rx="6" class="glass" {}
            text x="112" y="88" text-anchor="middle" class="shown" { (shows) }
            circle cx="226" cy="75" r="24" {}
            circle cx="282" cy="75" r="18" class="faint" {}
            path d="M216 80l10-12 10 12" {}
            path d="M275 71l7 9 7-9" class="faint" {}
        },
    )
}

/// More signs than the drawn display has room for.
const LONGEST_SHOWN: usize = 7;

/// A sidewall, and where its size stands.
pub fn sidewall() -> Markup {
    let says = "The size stands on the sidewall in the largest figures: width, shape, R for radial (- or D for bias), rim. The \
                letters before it belong to it.";
    drawn(
        320,
        170,
        says,
        &html! {
            path d="M14 164A146 146 0 0 1 306 164" stroke-width="6" {}
            path d="M22 164A138 138 0 0 1 298 164" stroke-dasharray="7 6" stroke-width="7" stroke-linecap="butt" class="faint" {}
            path d="M84 164A76 76 0 0 1 236 164" {}
            path d="M94 164A66 66 0 0 1 226 164" class="faint" {}
            path id="sidewall-line" d="M57 164A103 103 0 0 1 263 164" stroke="none" {}
            text class="printed" { textPath href="#sidewall-line" startOffset="50%" text-anchor="middle" { "LT275/75R17" } }
            circle cx="160" cy="164" r="20" class="faint" {}
        },
    )
}

/// A driveline from above, front at the top, with a place to pick at each spot where a sensor can sit. The picks come in
/// the order of the spots: output of the transmission, output of the transfer case, ring in the axle, ring at a wheel.
pub fn driveline(picks: &Markup) -> Markup {
    html! {
        div class="driveline" {
            svg viewBox="0 0 170 400" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="3" stroke-linecap="round" stroke-linejoin="round" {
                rect x="46" y="4" width="56" height="46" rx="6" {} path d="M56 16h36 M56 27h36 M56 38h36" class="faint" {}
                path d="M52 50h44l-8 52H60z" {}
                path d="M74 102v42" stroke-width="6" {}
                path d="M54 144h62v42H54z" {} path d="M104 144v42" class="faint" {}
                path d="M74 186v92" stroke-width="6" {}
                circle cx="74" cy="302" r="24" {} circle cx="74" cy="302" r="15" stroke-width="5" stroke-dasharray="4 4" stroke-linecap="butt" {}
                path d="M50 302H30 M98 302h26" stroke-width="6" {}
                rect x="6" y="268" width="24" height="70" rx="8" {} rect x="124" y="268" width="24" height="70" rx="8" {}
                circle cx="114" cy="302" r="10" stroke-width="4" stroke-dasharray="3 3" stroke-linecap="butt" {}
                g class="leads" stroke-width="2" stroke-dasharray="2 5" {
                    path d="M80 118C110 110 120 60 168 50" {}
                    path d="M80 200C110 210 130 160 168 150" {}
                    path d="M94 288C112 250 136 250 168 250" {}
                    path d="M114 314C116 350 140 352 168 350" {}
                }
                g class="spots" stroke="none" fill="currentColor" {
                    circle cx="74" cy="118" r="7" {} circle cx="74" cy="200" r="7" {}
                    circle cx="92" cy="290" r="7" {} circle cx="114" cy="310" r="7" {}
                }
            }
            (picks)
        }
    }
}
