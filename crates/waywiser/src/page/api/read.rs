//! What can be read.

use super::answer::{ApiError, Given, given};
use super::ask;
use super::taken::Asked;
use crate::garage::{PATIENCE, State as Reading, Truck};
use crate::ledger::Ledger;
use crate::page::answers::{self, PapersAsked, Steps, Wish};
use crate::page::app::{App, Shared, work};
use crate::page::error::PageError;
use crate::page::look_up::tire_report;
use crate::page::record::{carry, signing, whole};
use crate::page::{bench, papers as on_paper};
use crate::work::bench::{Format, Wanted};
use crate::work::entry::head::head_on_paper;
use crate::work::set::{REPEAT_AFTER_S, held_down, not_worse};
use crate::work::trial::Trial;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use truing::describe::thresholds::Thresholds;
use truing::problem::Problem;
use truing::record::{Expected, Hash};
use truing::report::answers::bench::BenchReport;
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::decision::DecisionReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::garage::GarageLine;
use truing::report::answers::mileage::DistanceReport;
use truing::report::answers::proof::ProofReport;
use truing::report::answers::record::CheckReport;
use truing::report::answers::record_head::KeyReport;
use truing::report::answers::rules::RulesReport;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::tire::TireReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::papers::history::{HistoryReport, StatesReport};
use truing::report::papers::odometer::PapersReport;

/// A truck of the garage.
#[derive(Serialize, JsonSchema)]
pub struct TruckLine {
    /// What it is called in addresses.
    slug: String,
    /// What its owner calls it.
    name: String,
    /// The name under which the record keeps it, which stays when it is called something else.
    recorded_as: String,
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
    /// Where the record's last write and the file do not say the same.
    differences: Vec<Problem>,
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
        Reading::Known(known) => {
            app.garage.entries_that_matter(truck).ok().map(|entries| known.line(&entries).as_ref().clone())
        }
        _ => None,
    };
    TruckLine {
        slug: truck.slug.to_string(),
        name: truck.name.clone(),
        recorded_as: app.garage.recorded_as(truck),
        state,
    }
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
            differences: app.garage.differences(&truck)?.iter().map(|one| one.problem()).collect(),
        })
    })
    .await
}

/// What is on the truck.
pub async fn describe(State(app): State<Shared>, Path(slug): Path<String>) -> Given<DescriptionReport> {
    given(&app, move |app| {
        let known = app.known(&slug)?;
        let (loaded, units) = (&known.loaded, app.garage.settings().units);
        let line = known.line(&app.garage.entries_that_matter(&known.truck)?);
        let problems = loaded.problems.clone();
        Ok(DescriptionReport::new(&loaded.vehicle, &known.described, problems, units).standing(&line.line))
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
    Asked(asked): Asked<ask::Wished>,
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
    Asked(asked): Asked<ask::StepsAsked>,
) -> Given<StepsReport> {
    given(&app, move |app| {
        let steps = Steps {
            to: ask::said(&asked.to),
            adjuster: ask::said(&asked.adjuster),
            shows: ask::said(&asked.shows),
            repeat: asked
                .repeat
                .map(|per_second| held_down(per_second, asked.repeat_after.unwrap_or(REPEAT_AFTER_S))),
            despite: ask::said(&asked.despite),
            wish: Wish { rule: ask::said(&asked.rule).map(str::to_string), reserve: asked.reserve },
        };
        let known = app.known(&slug)?;
        let report = answers::steps_report(app, &known, &steps)?;
        not_worse(&known.loaded.source, &report, asked.even_if_worse)?;
        Ok(report)
    })
    .await
}

/// The owner's own routine.
#[derive(Serialize, JsonSchema)]
pub struct Routine {
    /// One step a line; empty where none was written.
    text: String,
    /// Its version, for a change.
    version: String,
}

/// The routine.
pub async fn routine(State(app): State<Shared>, Path(slug): Path<String>) -> Given<Routine> {
    given(&app, move |app| routine_of(app, &slug)).await
}

/// The routine as it stands.
pub fn routine_of(app: &App, slug: &str) -> Result<Routine, PageError> {
    let text = app.garage.routine(&app.truck(slug)?.slug)?;
    Ok(Routine { version: Hash::new(text.as_bytes()).to_string(), text })
}

/// A drive judged.
pub async fn prove(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(asked): Asked<Trial>,
) -> Given<ProofReport> {
    given(&app, move |app| {
        let known = app.known(&slug)?;
        let line = known.line(&app.garage.entries_that_matter(&known.truck)?);
        Ok(answers::proof_report(app, &known.truck.slug, &known, &asked.told()?)?.standing(&line.line))
    })
    .await
}

/// What was done.
pub async fn record(State(app): State<Shared>, Path(slug): Path<String>) -> Given<HistoryReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        Ok(answers::history_report(&truck.name, &answers::entries(app, &truck)?, app.garage.settings().units))
    })
    .await
}

/// True distance.
pub async fn distance(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(way): Asked<ask::WayAsked>,
) -> Given<DistanceReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = answers::entries(app, &truck)?;
        let (from, to, units) = (ask::said(&way.from), ask::said(&way.to), app.garage.settings().units);
        Ok(answers::distance_report(&truck.name, &entries, from, to, units)?)
    })
    .await
}

/// Facts for papers.
pub async fn papers(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(asked): Asked<PapersAsked>,
) -> Given<PapersReport> {
    given(&app, move |app| {
        let truck = app.truck(&slug)?;
        let entries = answers::entries(app, &truck)?;
        Ok(answers::papers_report(app, &truck.name, &entries, &asked, app.garage.settings().units)?)
    })
    .await
}

/// The check of the whole record.
pub async fn check(State(app): State<Shared>, Asked(asked): Asked<ask::CheckAsked>) -> Given<CheckReport> {
    given(&app, move |app| {
        let reads = || Ledger::open_to_read(app.garage.folder(), PATIENCE);
        let head = ask::said(&asked.head).map(|text| head_on_paper(text, reads)).transpose();
        let head = head.map_err(|problems| app.garage.shown(problems))?;
        Ok(answers::check_report(
            app,
            &Expected { head, entries: asked.entries, now: None },
            asked.recompute,
        )?)
    })
    .await
}

/// The key of the record, as far as others may know it.
pub async fn record_key(State(app): State<Shared>) -> Given<KeyReport> {
    given(&app, signing::key_report).await
}

/// The rules.
pub async fn rules(State(app): State<Shared>) -> Given<RulesReport> {
    given(&app, |_| Ok(RulesReport::new())).await
}

/// The numbers a choice is made by.
pub async fn decision(State(app): State<Shared>) -> Given<DecisionReport> {
    given(&app, |_| Ok(DecisionReport::new(&Thresholds::default()))).await
}

/// What the owner chose.
#[derive(Serialize, JsonSchema)]
pub struct Chosen {
    /// `us`, `metric` or `mixed`.
    units: &'static str,
}

/// The owner's choices.
pub async fn settings(State(app): State<Shared>) -> Given<Chosen> {
    given(&app, |app| Ok(chosen(app))).await
}

/// The choices as they are now.
pub fn chosen(app: &App) -> Chosen {
    Chosen { units: app.garage.settings().units.word() }
}

/// A size of tire.
pub async fn tire(State(app): State<Shared>, Asked(asked): Asked<ask::TireAsked>) -> Given<TireReport> {
    given(&app, move |app| Ok(tire_report(app, &asked.size)?)).await
}

/// A signal for the bench.
pub async fn bench(State(app): State<Shared>, Asked(wanted): Asked<Wanted>) -> Given<BenchReport> {
    given(&app, move |_| Ok(BenchReport::new(&wanted.signal()?, "signal.wav"))).await
}

/// The same as sound.
pub async fn bench_sound(
    State(app): State<Shared>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, ApiError> {
    Ok(work(&app, move |_| bench::file(&wanted, Format::Wav)).await?)
}

/// The same as edges.
pub async fn bench_edges(
    State(app): State<Shared>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, ApiError> {
    Ok(work(&app, move |_| bench::file(&wanted, Format::Csv)).await?)
}

/// The vehicles of the record.
pub async fn states(State(app): State<Shared>) -> Given<StatesReport> {
    given(&app, whole::states).await
}

/// Every entry, as an import takes it.
pub async fn lines(app: State<Shared>) -> Result<Response, ApiError> {
    Ok(carry::lines(app).await?)
}

/// Every entry as a table.
pub async fn table(app: State<Shared>) -> Result<Response, ApiError> {
    Ok(carry::table(app).await?)
}

/// A copy of the record's own file.
pub async fn copy(app: State<Shared>) -> Result<Response, ApiError> {
    Ok(carry::copy(app).await?)
}

/// A vehicle file of the record.
pub async fn vehicle_file(
    app: State<Shared>,
    Asked(named): Asked<whole::Named>,
) -> Result<Response, ApiError> {
    Ok(whole::give(app, Query(named)).await?)
}

/// A paper to print.
pub async fn paper(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(wanted): Asked<on_paper::Wanted>,
) -> Result<Response, ApiError> {
    Ok(work(&app, move |app| on_paper::made(app, &slug, &wanted)).await?)
}

/// The same as one HTML file.
pub async fn paper_as_html(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Asked(wanted): Asked<on_paper::Wanted>,
) -> Result<Response, ApiError> {
    Ok(work(&app, move |app| on_paper::made_as_html(app, &slug, &wanted)).await?)
}
