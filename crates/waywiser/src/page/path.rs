//! The path of a truck: how its stages stand, and the one way on.

use super::addresses::{Stage, truck as under};
use super::app::App;
use super::frame::Head;
use crate::garage::{State, Truck};
use maud::{Markup, html};
use truing::record::VehicleState;
use truing::report::answers::path::{NextStep, PathFacts};

/// Where a truck stands, as far as its files are read.
pub fn of(app: &App, truck: &Truck) -> PathFacts {
    let entries = app.garage.entries_that_matter(truck).unwrap_or_default();
    let state = VehicleState::from_entries(&entries);
    match (app.garage.state(&truck.slug), &truck.vehicle) {
        (State::Known(known), _) => {
            let over_all = &known.estimate.over_all;
            let reads = over_all.distance_ratio.is_some() || over_all.needle_ratio.is_some();
            let is_chosen = reads && !known.loaded.vehicle.adjusters.is_empty();
            let choice = is_chosen.then(|| known.choice().as_ref().ok()).flatten();
            PathFacts::new(&known.loaded.vehicle, reads, choice.map(|choice| choice.advice), &state)
        }
        (_, Some(vehicle)) => PathFacts::new(vehicle, false, None, &state),
        (_, None) => PathFacts::default(),
    }
}

/// What stands around a page of a truck at a stage.
pub fn head<'a>(app: &App, truck: &'a Truck, stage: Stage) -> Head<'a> {
    Head::of(truck, stage).standing(of(app, truck))
}

/// What comes next, and the button that leads there.
pub fn way_on(app: &App, truck: &Truck) -> Markup {
    let next = of(app, truck).next();
    let (address, says) = leads(truck, next);
    html! {
        nav class="way-on" aria-label="The way on" {
            p { (next.says()) }
            a class="button" href=(address) { (says) }
        }
    }
}

fn leads(truck: &Truck, next: NextStep) -> (String, &'static str) {
    let stage = |stage: Stage| stage.of(&truck.slug);
    match next {
        NextStep::WhatCanBeSet => (under(&truck.slug, "describe#adjuster"), "Say what can be set"),
        NextStep::HowFarOff => (stage(Stage::Measure), "Measure it"),
        NextStep::MeasureMore => (stage(Stage::Choose), "See which, and why"),
        NextStep::LookAtEvidence => (stage(Stage::Choose), "See what does not fit"),
        NextStep::Store => (stage(Stage::Choose), "What to store"),
        NextStep::Prove => (stage(Stage::Prove), "Prove it"),
        NextStep::Repair => (under(&truck.slug, "describe#fault"), "See the open faults"),
        NextStep::Nothing => (stage(Stage::Record), "See the record"),
    }
}
