//! What is said wherever a truck is opened while the record's last write and its file differ.

use super::addresses::Stage;
use super::app::App;
use super::blocks;
use crate::garage::Truck;
use maud::{Markup, html};
use truing::record::Difference;

/// The difference with a way to its repair; nothing where they agree.
pub fn notice(app: &App, truck: &Truck) -> Option<Markup> {
    // What stands in the way of asking is told where the record itself is shown.
    let differences = app.garage.differences(truck).unwrap_or_default();
    let problems: Vec<_> = differences.iter().map(Difference::problem).collect();
    (!problems.is_empty()).then(|| {
        html! {
            (blocks::problems(&problems))
            p { a class="button" href={ (Stage::Record.of(&truck.slug)) "#difference" } { "Repair it" } }
        }
    })
}
