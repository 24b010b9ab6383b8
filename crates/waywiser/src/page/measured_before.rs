//! Measurements that were taken before anything that can be set was described: whether what is stored now was stored then
//! too. Files of a drive usually come first, and the module after them.

use super::form::Posted;
use super::tables;
use crate::garage::Truck;
use crate::work::asked::YES;
use maud::{Markup, html};
use toml_edit::{DocumentMut, Item, TableLike};
use truing::describe::Section;
use truing::describe::evidence::Evidence;

const NAME: &str = "stored_then";

/// The places of those that show a value and do not say the setting; none unless the part is the first that can be set.
pub fn places(truck: &Truck, (section, index): (&Section, usize)) -> Vec<usize> {
    let is_first = section.name == "adjuster" && index == 0;
    let Some(vehicle) = truck.vehicle.as_ref().filter(|vehicle| is_first && vehicle.adjusters.is_empty())
    else {
        return Vec::new();
    };
    let is_unsaid = |one: &Evidence| one.settings.is_empty() && one.kind.shows_indicated();
    vehicle.evidence.iter().enumerate().filter(|(_, one)| is_unsaid(one)).map(|(place, _)| place).collect()
}

/// The box to tick.
pub fn question(places: &[usize], posted: Option<&Posted>) -> Markup {
    let measured = match places.len() {
        0 => return html! {},
        1 => "What you measured so far was".to_string(),
        count => format!("All {count} measurements so far were"),
    };
    html! {
        label class="pick" {
            input type="checkbox" name=(NAME) value=(YES) checked[posted.is_some_and(is_ticked)];
            " " (measured) " measured with the value that is stored now"
        }
        p class="hint" { "If another value was stored then, leave this empty, and say which at the measurement, on the page Measure." }
    }
}

fn is_ticked(posted: &Posted) -> bool {
    posted.text(NAME) == YES
}

/// Says so in the file of the measurements, where it was ticked: what is stored now is that of a part.
pub fn say(
    document: &mut DocumentMut,
    (section, index): (&Section, usize),
    evidence: &Section,
    (places, posted): (&[usize], &Posted),
) {
    let present = |table: &dyn TableLike| table.get("present").cloned();
    let stored: Option<Item> = tables::table(document, section, index).and_then(present);
    let Some(stored) = stored.filter(|_| is_ticked(posted)) else { return };
    for place in places {
        if let Some(table) = tables::table_mut(document, evidence, *place) {
            table.insert("setting", stored.clone());
        }
    }
}
