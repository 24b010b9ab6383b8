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
    let shows = if shows.is_empty() || shows.chars().count() > LONGEST_SHOWN { "- - - -" } else { shows };
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

/// A wheel that rolls along a tape, from one chalk mark to the next.
pub fn tape() -> Markup {
    let says = "Chalk the tire and the ground where they touch. Roll straight, load and pressure as on the road, until the mark \
                has come down as often as you count. Measure from mark to mark.";
    drawn(
        320,
        150,
        says,
        &html! {
            path d="M8 116H312" {}
            circle cx="62" cy="70" r="46" {} circle cx="62" cy="70" r="17" class="faint" {}
            circle cx="258" cy="70" r="46" stroke-dasharray="6 6" {} circle cx="258" cy="70" r="17" class="faint" {}
            path d="M62 116v-22 M258 116v-22" class="chalk" {}
            path d="M124 56c20-16 52-16 72 0 M196 56l-12-3 M196 56l-3-12" {}
            path d="M62 134H258 M62 128v12 M258 128v12 M101 134v-5 M140 134v-8 M180 134v-5 M219 134v-5" stroke-width="2" {}
        },
    )
}

/// A stopwatch between two posts.
pub fn stopwatch() -> Markup {
    let says = "A second person stops the time from post to post, while the dial is held steady. Twice the same road, once each \
                way, is better.";
    drawn(
        320,
        150,
        says,
        &html! {
            path d="M8 136H312" {}
            path d="M34 136V66 M22 66h24v20H22z M286 136V66 M274 66h24v20H274z" {}
            circle cx="160" cy="76" r="44" {} path d="M160 32v-14 M148 16h24 M192 42l8-8" {}
            path d="M160 76V46 M160 76l20 10" {}
            path d="M66 118H118 M202 118H254 M254 118l-10-6 M254 118l-10 6" class="faint" {}
        },
    )
}

/// The odometer at both ends of a road.
pub fn odometer() -> Markup {
    let says =
        "Read all digits at the first post and at the last one, parked or called out by a second person.";
    let window = |x: u32, last: &str| {
        html! {
            rect x=(x) y="34" width="112" height="44" rx="5" class="glass" {}
            path d={ "M" (x + 28) " 34v44 M" (x + 56) " 34v44 M" (x + 84) " 34v44" } stroke-width="1.5" class="faint" {}
            @for (place, digit) in ["4", "0", last, "3"].iter().enumerate() {
                text x=(x + 14 + 28 * u32::try_from(place).unwrap_or_default()) y="64" text-anchor="middle" class="digit" { (digit) }
            }
        }
    };
    drawn(
        320,
        130,
        says,
        &html! {
            (window(10, "6")) (window(198, "7"))
            path d="M66 96v18H254v-18" class="faint" {}
            path d="M132 56H186 M186 56l-11-7 M186 56l-11 7" {}
        },
    )
}

/// A dial that somebody reads out.
pub fn dial() -> Markup {
    let says = "A second person calls out each speed that the dial holds, ten seconds or longer, while a receiver logs.";
    drawn(
        320,
        150,
        says,
        &html! {
            path d="M32 136a92 92 0 1 1 156 0" {}
            path d="M46 112l10-5 M40 76l12 2 M62 38l8 9 M110 22v12 M158 38l-8 9 M180 76l-12 2 M174 112l-10-5" class="faint" {}
            path d="M110 86L146 46" {} circle cx="110" cy="86" r="7" {}
            path d="M214 40h88v46h-52l-18 16v-16h-18z" {}
            text x="258" y="71" text-anchor="middle" class="digit" { "45" }
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
