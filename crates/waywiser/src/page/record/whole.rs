//! The record of the whole garage: its vehicles, whether it is whole, and what goes out of it and in.

use super::checking::{self, Checking};
use super::{carry, signing};
use crate::garage::Truck;
use crate::ledger::Ledger;
use crate::page::addresses::{GARAGE, Stage, WHOLE_RECORD, encoded};
use crate::page::app::{Answer, App, Shared, work};
use crate::page::error::PageError;
use crate::page::form::{self, Posted, form};
use crate::page::frame::{Head, html};
use crate::page::rename::objection;
use crate::page::{answers, blocks, fields, files};
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html as markup};
use schemars::JsonSchema;
use serde::Deserialize;
use std::sync::Arc;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, Problems, any_error};
use truing::record::Entry;
use truing::report::answers::record::ImportReport;
use truing::report::papers::history::{StateReport, StatesReport};

/// What stands in the address.
#[derive(Deserialize)]
pub struct WholeQuery {
    backup: Option<String>,
    imported: Option<usize>,
    of: Option<usize>,
    #[serde(flatten)]
    checking: Checking,
}

impl WholeQuery {
    fn says(&self) -> Option<String> {
        let imported = self.imported.zip(self.of);
        let imported = imported.map(|(added, in_file)| ImportReport { added, in_file }.says());
        imported.or(self
            .backup
            .as_ref()
            .map(|_| "A backup was made in the folder `backups` of the garage.".into()))
    }
}

/// A vehicle of the record, the truck it is where this garage has it, and whether its file was taken in.
struct VehicleRow {
    state: StateReport,
    truck: Option<Arc<Truck>>,
    has_file: bool,
}

/// The page.
pub async fn show(State(app): State<Shared>, Query(asked): Query<WholeQuery>) -> Answer {
    work(&app, move |app| {
        let lines = answers::ledger(app).and_then(|ledger| ledger.map_or(Ok(Vec::new()), |ledger| lines(app, &ledger)));
        let head = answers::ledger(app).and_then(|ledger| ledger.map_or(Ok(None), |ledger| ledger.head()));
        let (lines, problems) = match lines.and_then(|lines| Ok((lines, head?))) {
            Ok(found) => (Some(found), Problems::default()),
            Err(problems) => (None, app.garage.shown(problems)),
        };
        let lost = answers::ledger(app).ok().flatten().and_then(|ledger| ledger.lost().ok().flatten());
        let check = asked.checking.report(app)?;
        let body = markup! {
            @if let Some(said) = asked.says() { p class="told" role="status" { (said) } }
            (blocks::problems(&problems))
            @if let Some((lines, head)) = &lines {
                (vehicles(app, lines))
                (checking::section(WHOLE_RECORD, head.map(|head| head.to_string()).as_deref(), check.as_ref()))
                (out(app, head.is_some()))
            }
            @if let Some(lost) = &lost { (another(app, lost)) }
            (signing::section(app))
            (import(app))
            (rescue(app, !problems.is_empty()))
            p { a href=(GARAGE) { "Back to the garage" } }
        };
        let lead = "One record for all trucks of this garage: what was done when, in a chain that shows any change.";
        Ok(html(Head::new("The whole record").leading(lead).with_scripts(&["drop.js"]).frame(&body)))
    })
    .await
}

/// The record lacks what was seen of it on this machine.
fn another(app: &App, lost: &Problem) -> Markup {
    markup! {
        section id="another" {
            h2 { "Not the record that was seen here" }
            (blocks::problems(std::slice::from_ref(lost)))
            (form(app, &format!("{WHOLE_RECORD}/as-it-is"), &markup! { button class="plain" { "It is meant to be so: take the record as it is" } }))
        }
    }
}

fn lines(app: &App, ledger: &Ledger) -> Result<Vec<VehicleRow>, Problems> {
    let slugs = app.garage.slugs();
    let trucks: Vec<Arc<Truck>> = slugs.iter().filter_map(|slug| app.garage.truck(slug).ok()).collect();
    let line = |name: String| {
        let entries = ledger.that_matter(&name)?;
        Ok(VehicleRow {
            truck: trucks.iter().find(|truck| app.garage.recorded_as(truck) == name).cloned(),
            has_file: file_of(&entries).is_some(),
            state: StateReport::new(&name, &entries, app.garage.settings().units),
        })
    };
    ledger.vehicles()?.into_iter().map(line).collect()
}

/// The state of every vehicle of the record, for programs.
pub fn states(app: &App) -> Result<StatesReport, PageError> {
    let lines = answers::ledger(app)?.map_or(Ok(Vec::new()), |ledger| lines(app, &ledger))?;
    Ok(StatesReport { vehicles: lines.into_iter().map(|line| line.state).collect() })
}

/// The vehicle file that was taken in last.
fn file_of(entries: &[Entry]) -> Option<&String> {
    entries.iter().rev().find_map(|entry| entry.event.fields.get("file"))
}

fn vehicles(app: &App, lines: &[VehicleRow]) -> Markup {
    markup! {
        section {
            h2 { "Vehicles" }
            @if lines.is_empty() { p { "Nothing is recorded yet." } }
            ul class="pieces" {
                @for line in lines {
                    @let name = &line.state.vehicle;
                    li class="piece" {
                        p { strong { (name) } @if let Some(truck) = line.truck.as_ref().filter(|truck| truck.name != *name) { span class="said" { " (called " (truck.name) " now)" } } }
                        p { (fields::capitalised(&line.state.line)) }
                        p class="ways-on" {
                            @if let Some(truck) = &line.truck { a class="button plain" href=(Stage::Record.of(&truck.slug)) { "Its record" } }
                            @if line.has_file { a class="button plain" href={ (WHOLE_RECORD) "/vehicle-file?vehicle=" (encoded(name)) } download="truck.toml" { "Its vehicle file, as last taken in" } }
                        }
                        @if line.truck.is_none() {
                            @if line.has_file {
                                (form(app, &format!("{WHOLE_RECORD}/bring"), &markup! {
                                    input type="hidden" name="vehicle" value=(name);
                                    button class="plain" { "Add it to this garage" span class="unseen" { ": " (name) } }
                                }))
                            }
                            p class="hint" { "No truck of this garage." @if !line.has_file { " Its vehicle file was never taken in." } }
                        }
                    }
                }
            }
        }
    }
}

fn out(app: &App, is_any: bool) -> Markup {
    markup! {
        @if is_any {
            section {
                h2 { "To keep elsewhere" }
                ul class="ways" {
                    li { a class="button plain" href="/record.jsonl" download="record.jsonl" { "JSON Lines" } }
                    li { a class="button plain" href="/record.csv" download="record.csv" { "A table (CSV)" } }
                    li { a class="button plain" href="/record.sqlite" download { "A copy of its file" } }
                }
                p class="hint" { "JSON Lines can be taken in again, here or elsewhere. The copy is the record's own file (SQLite) as it is at this moment." }
                (form(app, &format!("{WHOLE_RECORD}/backup"), &markup! { button class="plain" { "Make a backup in the garage's folder" } }))
            }
        }
    }
}

fn import(app: &App) -> Markup {
    markup! {
        section id="import" {
            h2 { "Take in another record" }
            p { "One that goes on from this one, as it was exported elsewhere (JSON Lines). Entries that are here already are compared; all of it is taken in, or nothing. Where the two went different ways it is refused, and you are told at which entry." }
            form class="drop sends" method="post" enctype="multipart/form-data" action={ (WHOLE_RECORD) "/import" } {
                (form::token(app))
                label for="exported" { "The exported file" }
                input type="file" id="exported" name="exported" required accept=".jsonl,.ndjson,.gz,.zip";
                label { input type="checkbox" name="any_times" value="yes"; " Entries too that are dated before the entry before them, or in the future" }
                (files::under_way())
                button { "Take it in" }
            }
        }
    }
}

fn rescue(app: &App, is_damaged: bool) -> Markup {
    markup! {
        section {
            h2 { "Should it be damaged" }
            @let body = markup! {
                p { "Sets a copy of the damaged file aside and reads from it what can still be read. The file itself is not changed." }
                (form(app, &format!("{WHOLE_RECORD}/rescue"), &markup! { button class="plain" { "Set a copy aside and read it" } }))
            };
            @if is_damaged { (body) } @else { (blocks::opens("Read what is left of it", &body)) }
        }
    }
}

/// Which vehicle of the record.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Named {
    /// The name under which the record keeps it.
    pub vehicle: String,
}

/// The vehicle file that the record holds of a vehicle.
pub fn vehicle_file(app: &App, vehicle: &str) -> Result<String, PageError> {
    let entries = answers::ledger(app)?.map_or(Ok(Vec::new()), |ledger| ledger.that_matter(vehicle))?;
    file_of(&entries).cloned().ok_or_else(|| {
        let says = "The record holds no vehicle file of that name.";
        PageError::new(StatusCode::NOT_FOUND, "There is no such file", says)
            .or("The whole record", WHOLE_RECORD)
    })
}

/// The same as a file.
pub async fn give(State(app): State<Shared>, Query(named): Query<Named>) -> Answer {
    work(&app, move |app| {
        let text = vehicle_file(app, &named.vehicle)?;
        Ok(carry::file("application/toml", "truck.toml", text.into_bytes()))
    })
    .await
}

/// Adds a vehicle of the record to the garage, with the file that was taken in last.
pub async fn bring(State(app): State<Shared>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let name = posted.text("vehicle");
        let text = vehicle_file(app, name)?;
        let (vehicle, problems) = Vehicle::read("the vehicle file in the record", &text);
        if vehicle.is_none() || any_error(&problems) {
            return Err(PageError::unusable(problems).or("The whole record", WHOLE_RECORD));
        }
        let called = vehicle.map_or_else(String::new, |vehicle| vehicle.name);
        if let Some(problem) = objection(app, &called, None) {
            return Err(PageError::unusable(problem).or("The whole record", WHOLE_RECORD));
        }
        let slug = app.garage.add_recorded(name, &called, &text)?;
        Ok(Redirect::to(&Stage::Describe.of(&slug)).into_response())
    })
    .await
}
