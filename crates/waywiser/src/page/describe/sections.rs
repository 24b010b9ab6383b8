//! Everything else in the file, section by section: what can be set, who reads the signal, tires, use, plans, faults.

use super::super::app::App;
use super::super::fields::{self, section, text_of, variant};
use super::super::parts::{Ask, Part, count, new_address, part_form, remove_form, table};
use crate::garage::Truck;
use maud::{Markup, html};
use toml_edit::{DocumentMut, TableLike};
use truing::describe::vehicle::Vehicle;
use truing::describe::{Repeat, Section};

/// Sections with their headings, in the order in which they are asked about.
const SHOWN: [(&str, &str, &str); 9] = [
    (
        "adjuster",
        "What can be set",
        "A constant, gears, a ring, the tires: with it you are told what to store.",
    ),
    (
        "reader",
        "What reads the signal",
        "The dial, the odometer, a computer: each with the counts it takes for a mile.",
    ),
    ("head", "One instrument for speed and miles", "A dial and odometer in one, by cable or by wire."),
    (
        "chain",
        "Everything between tire and wire",
        "Where the sensor sits, and the ring, gears and axle before it.",
    ),
    ("tire", "Sets of tires", "Each set with its size, and which one is mounted."),
    (
        "use",
        "What it is used for",
        "The speeds it is driven at, and what shall be true: the needle or the miles.",
    ),
    (
        "plan",
        "Tires and miles to come",
        "Winter and summer sets, wear, another axle: which setting serves them all.",
    ),
    (
        "written",
        "Writes already made",
        "Values that were stored before, with their days: readings belong to one of them.",
    ),
    ("fault", "Faults", "What is broken, so that no test drive is advised before it is mended."),
];

/// All that the file says, and links to what it could say.
pub fn all(app: &App, truck: &Truck, vehicle: &Vehicle) -> Markup {
    let document: DocumentMut = truck.text.parse().unwrap_or_default();
    let is_said = |name: &str| document.contains_key(name) || name == "adjuster";
    let (said, more): (Vec<_>, Vec<_>) = SHOWN.iter().partition(|(name, ..)| is_said(name));
    // One instrument for both, or readers one by one: never both.
    let fits = |name: &str| !(name == "head" && document.contains_key("reader"));
    html! {
        @for (name, heading, _) in said {
            @if let Some(section) = section(name) {
                section class="part" id=(name) {
                    h2 { (heading) }
                    (one(app, truck, &document, section))
                    @if name == "fault" && vehicle.faults.iter().all(|fault| fault.mended) { p class="hint" { "No fault is open." } }
                }
            }
        }
        @if !more.is_empty() {
            section class="part" {
                h2 { "More that can be said" }
                ul class="kinds" {
                    @for (name, heading, says) in more.into_iter().filter(|(name, ..)| fits(name)) {
                        li id=(name) { a href=(new_address(truck, name, "-")) { strong { (heading) } " " span { (says) } } }
                    }
                }
            }
        }
    }
}

fn one(app: &App, truck: &Truck, document: &DocumentMut, section: &'static Section) -> Markup {
    let there = count(document, section);
    let units = app.garage.settings().units;
    html! {
        @for index in 0..there {
            @let part = Part { section, index };
            @let now = table(document, &part);
            @let kind = now.and_then(|now| now.get("kind")).and_then(|kind| variant(section, &text_of(kind)));
            div class="piece" id={ (section.name) "-" (index) } {
                details {
                    summary { (summary(section, now)) }
                    (part_form(app, truck, &Ask::all(&part, kind), units))
                    (remove_form(app, truck, &part))
                }
            }
        }
        @if there == 0 || section.repeat != Repeat::Once { (add(truck, section, there)) }
    }
}

/// Every value in one line, as far as it goes.
fn summary(section: &Section, now: Option<&dyn TableLike>) -> Markup {
    let said = |(name, item): (&str, &toml_edit::Item)| {
        let text = text_of(item);
        (!text.is_empty() && name != "kind" && name != "name")
            .then(|| format!("{} {text}", fields::words(name).to_lowercase()))
    };
    let parts: Vec<String> = now.map(|now| now.iter().filter_map(said).take(6).collect()).unwrap_or_default();
    let called = now.and_then(|now| now.get("name").or(now.get("kind"))).map(text_of);
    html! {
        span {
            strong { (called.map_or(fields::capitalised(section.about), |called| fields::kind(&called))) }
            " " span class="said" { (parts.join(", ")) }
        }
    }
}

fn add(truck: &Truck, section: &'static Section, there: usize) -> Markup {
    if section.variants.is_empty() {
        let words = if there == 0 { "Add " } else { "Add another: " };
        return html! { p { a class="button plain" href=(new_address(truck, section.name, "-")) { (words) (section.about) } } };
    }
    let list = html! {
        ul class="kinds" {
            @for kind in section.variants {
                li {
                    a href=(new_address(truck, section.name, kind.word)) {
                        strong { (fields::kind(kind.word)) } " " span { (kind.about) }
                    }
                }
            }
        }
    };
    html! {
        details class="adding" open[there == 0] {
            summary { @if there == 0 { "Which kind is it?" } @else { "Add another" } }
            (list)
        }
    }
}
