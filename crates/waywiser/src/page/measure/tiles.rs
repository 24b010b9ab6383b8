//! Measure by pictures: the six ways that everybody has, and the rest of them folded.

use crate::garage::Truck;
use crate::page::addresses::MANY_DRIVES;
use crate::page::fields::{self, section};
use crate::page::parts::new_address;
use crate::page::{blocks, drawings};
use maud::{Markup, html};
use truing::describe::vehicle::Vehicle;
use truing::report::words::ways::MeasureWay;

/// The six, each with what it needs, how long it takes and what it leaves.
pub fn all(truck: &Truck, vehicle: &Vehicle) -> Markup {
    html! {
        ul class="tiles" { @for way in MeasureWay::ALL { li { (tile(truck, vehicle, way)) } } }
    }
}

fn tile(truck: &Truck, vehicle: &Vehicle, way: MeasureWay) -> Markup {
    let held = way.held_back_by(&vehicle.faults);
    let inside = html! {
        (drawings::of(way))
        strong { (way.name()) }
        " " span class="needs" { (way.needs()) }
        " " span class="price" { (way.price(vehicle.usage.make_true)) }
        @if !held.is_empty() { " " span class="mark" { "Not now: " (held.join(", ")) } }
    };
    match way {
        // The whole tile chooses files; the field it belongs to stands under the tiles.
        MeasureWay::Files => html! { label class="tile" for="files" { (inside) } },
        _ => html! { a class="tile" href=(address(truck, way)) { (inside) } },
    }
}

fn address(truck: &Truck, way: MeasureWay) -> String {
    new_address(truck, "evidence", way.kind())
}

/// Everything else that can be measured by hand or typed in.
pub fn rest(truck: &Truck) -> Markup {
    let kinds = section("evidence").map_or(&[][..], |section| section.variants);
    let is_tile = |word: &str| MeasureWay::ALL.into_iter().any(|way| way.kind() == word);
    let list = html! {
        ul class="kinds" {
            @for kind in kinds.iter().filter(|kind| !is_tile(kind.word)) {
                li {
                    a href=(new_address(truck, "evidence", kind.word)) {
                        strong { (fields::kind(kind.word)) } " " span { (kind.about) }
                    }
                }
            }
            li { a href=(MANY_DRIVES) { strong { "Many drives at once" } " " span { "Of many trucks, or of years: a table of them." } } }
        }
    };
    blocks::opens("More ways to measure", &list)
}
