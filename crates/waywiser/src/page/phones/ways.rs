//! The three ways to take the page into the truck, the best first.

use super::super::addresses::{DEVICES, ROOT, RUN};
use super::scanned::scanned;
use crate::lan::{Network, PORT};
use maud::{Markup, html};

/// How a phone reaches the run page, with what to start, or with the code to scan.
pub fn ways(network: Option<&Network>) -> Markup {
    html! {
        @match network {
            Some(network) => { (reached(network)) }
            None => {
                p {
                    "A passenger's phone can record the drive and what the dial shows. Stop waywiser, and start it so that phones in the same network reach the page for it: "
                    a href="/manual/phone" { "how it is started" } "."
                }
            }
        }
        ol {
            li {
                strong { "Root installed." }
                " The phone takes this machine's certificate in, once. Then the page opens without a warning, and again on the road, without a network."
            }
            li {
                strong { "Open once, and keep the page open." }
                " The phone warns, and you go past the warning. Location and storage work. A page that was closed cannot be opened again on the road."
            }
            li {
                strong { "The laptop rides along." }
                " The passenger has it on the knees, with a receiver of its own. No phone, no network: " a href=(RUN) { "the page for the drive" } "."
            }
        }
        p class="hint" { "Only a passenger touches phone or laptop. Port " (PORT) " is used unless another one is named at the start." }
    }
}

fn reached(network: &Network) -> Markup {
    let address = format!("{}{RUN}", network.origin());
    html! {
        p { "A phone that was let in opens " strong { (address) } ":" }
        (scanned(&address, &format!("A code for the phone's camera: {address}")))
        p class="ways-on" {
            a class="button" href=(DEVICES) { "Let a phone in" }
            a class="button plain" href=(ROOT) { "This machine's root" }
        }
    }
}
