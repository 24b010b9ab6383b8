//! What can be read.

use super::{Given, ask, given};
use crate::garage::{State as Reading, Truck};
use crate::page::answers::{self, Steps};
use crate::page::{App, PageError, Shared};
use axum::extract::{Path, Query, State};
use schemars::JsonSchema;
use serde::Serialize;
use truing::describe::tire::TireSize;
use truing::describe::tire::circumference::RollingConditions;
use truing::problem::Problem;
use truing::record::{Expected, Hash};
use truing::report::choice::ChoiceReport;
use truing::report::description::DescriptionReport;
use truing::report::garage::GarageLine;
use truing::report::history::HistoryReport;
use truing::report::mileage::DistanceReport;
use truing::report::papers::PapersReport;
use truing::report::proof::ProofReport;
use truing::report::record::CheckReport;
use truing::report::rules::RulesReport;
use truing::report::steps::StepsReport;
use truing::report::tire::TireReport;
use truing::report::vehicle::VehicleReport;

/// A truck of the garage.
#[derive(Serialize, JsonSchema)]
pub struct TruckLine {
    /// What it is called in addresses.
    slug: String,
    /// What its owner calls it.
    name: String,
    /// Its state, once its files were read.
    state: Option<GarageLine>,
}

/// A vehicle file.
#[derive(Serialize, JsonSchema)]
pub struct VehicleFile {
    /// What the truck is called in addresses.
    slug: String,
    /// What its owner calls it.
    name: String,
    /// The version of the file, for `If-Match`.
    version: String,
    /// The file (TOML).
    file: String,
    /// What is to be looked at in it.
    problems: Vec<Problem>,
}

/// The trucks.
pub async fn trucks(State(app): State<Shared>) -> Given<Vec<TruckLine>> {
    given(&app, |app| {
        let slugs = app.garage.slugs();
        Ok(slugs
            .iter()
            .filter_map(|slug| app.garage.truck(slug).ok())
            .map(|truck| line(app, &truck))
            .collect())
    })
    .await
}

fn line(app: &App, truck: &Truck) -> TruckLine {
    let state = match app.garage.state(&truck.slug) {
        Reading::Known(known) => app
            .garage
            .entries_that_matter(&truck.name)
            .ok()
            .map(|entries| GarageLine::new(&known.loaded.vehicle, &known.estimate, &entries)),
        _ => None,
    };
    TruckLine { slug: truck.slug.to_string(), name: truck.name.clone(), state }
}

/// A vehicle file.
pub async fn file(State(app): State<Shared>, Path(slug): Path<String>) -> Given<VehicleFile> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        Ok(VehicleFile {
            slug: truck.slug.to_string(),
            name: truck.name.clone(),
            version: truck.hash.to_string(),
            file: truck.text.clone(),
            problems: truck.problems.clone(),
        })
    })
    .await
}

/// What is on the truck.
pub async fn describe(State(app): State<Shared>, Path(slug): Path<String>) -> Given<DescriptionReport> {
    given(&app, move |app| {
        let known = app.known(&slug)?;
        let problems = known.loaded.problems.clone();
        Ok(DescriptionReport::new(
            &known.loaded.vehicle,
            &known.described,
            problems,
            app.garage.settings().units,
        ))
    })
    .await
}

/// What all evidence comes to.
pub async fn measure(State(app): State<Shared>, Path(slug): Path<String>) -> Given<VehicleReport> {
    given(&app, move |app| {
        let known = app.known(&slug)?;
        let (loaded, units) = (&known.loaded, app.garage.settings().units);
        Ok(VehicleReport::new(&loaded.vehicle, &known.estimate, loaded.problems.clone(), units))
    })
    .await
}

/// What to store.
pub async fn choose(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<ask::Wished>,
) -> Given<ChoiceReport> {
    given(&app, move |app| {
        let units = app.garage.settings().units;
        Ok(answers::choice_report(&*app.known(&slug)?, &asked.wish(), units)?)
    })
    .await
}

/// The steps.
pub async fn set(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<ask::StepsAsked>,
) -> Given<StepsReport> {
    given(&app, move |app| {
        let steps = Steps {
            to: ask::said(&asked.to),
            adjuster: ask::said(&asked.adjuster),
            shows: ask::said(&asked.shows),
        };
        Ok(answers::steps_report(&*app.known(&slug)?, &steps, app.garage.settings().units)?)
    })
    .await
}

/// A drive judged.
pub async fn prove(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<ask::TrialAsked>,
) -> Given<ProofReport> {
    given(&app, move |app| {
        let known = app.known(&slug)?;
        Ok(answers::proof_report(app, &known.truck.slug, &known, &asked.trial()?)?)
    })
    .await
}

/// What was done.
pub async fn record(State(app): State<Shared>, Path(slug): Path<String>) -> Given<HistoryReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = answers::entries(app, &truck.name)?;
        Ok(answers::history_report(&truck.name, &entries, app.garage.settings().units))
    })
    .await
}

/// True distance.
pub async fn distance(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(way): Query<ask::WayAsked>,
) -> Given<DistanceReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = answers::entries(app, &truck.name)?;
        let (from, to, units) = (ask::said(&way.from), ask::said(&way.to), app.garage.settings().units);
        Ok(answers::distance_report(&truck.name, &entries, from, to, units)?)
    })
    .await
}

/// Facts for papers.
pub async fn papers(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<ask::PapersAsked>,
) -> Given<PapersReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = answers::entries(app, &truck.name)?;
        Ok(answers::papers_report(&truck.name, &entries, asked.model_year, app.garage.settings().units))
    })
    .await
}

/// The check of the whole record.
pub async fn check(State(app): State<Shared>, Query(asked): Query<ask::CheckAsked>) -> Given<CheckReport> {
    given(&app, move |app| {
        let head = ask::said(&asked.head).map(Hash::read).transpose().map_err(|problem| vec![problem])?;
        Ok(answers::check_report(app, &Expected { head, entries: asked.entries })?)
    })
    .await
}

/// The rules.
pub async fn rules(State(app): State<Shared>) -> Given<RulesReport> {
    given(&app, |_| Ok(RulesReport::new())).await
}

/// A size of tire.
pub async fn tire(State(app): State<Shared>, Query(asked): Query<ask::TireAsked>) -> Given<TireReport> {
    given(&app, move |app| {
        let unusable = |problem| PageError::unusable(vec![problem]);
        let tire = TireSize::parse(&asked.size).map_err(unusable)?;
        TireReport::new(&tire, &RollingConditions::default(), app.garage.settings().units).map_err(unusable)
    })
    .await
}
