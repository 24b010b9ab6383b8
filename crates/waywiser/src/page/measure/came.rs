//! What just came in, and with what it counts: said before anything else.

use crate::garage::{Kind, Known, LooseFile, Truck};
use crate::page::addresses::piece;
use crate::page::app::App;
use crate::page::{files, run};
use crate::work::asked::Inputs;
use crate::work::drive::MEASURE_DRIVE;
use crate::work::load::files_in;
use crate::work::trial::Trial;
use maud::{Markup, html};
use truing::describe::evidence::Evidence;
use truing::describe::vehicle::Vehicle;
use truing::problem::Problems;
use truing::report::answers::drive::DriveReport;
use truing::report::words::came as words;

/// What came in under these names.
pub fn all(app: &App, known: &Known, names: &[String]) -> Markup {
    if names.is_empty() {
        return html! {};
    }
    let truck = &known.truck;
    let vehicle = truck.vehicle.as_ref().unwrap_or(&known.loaded.vehicle);
    let is_new = |name: &str| names.iter().any(|came| came == name);
    let loose = app.garage.loose_files(&truck.slug, vehicle);
    let pieces: Vec<(usize, &Evidence)> =
        vehicle.evidence.iter().enumerate().filter(|(_, evidence)| files_in(evidence).any(is_new)).collect();
    let open: Vec<&LooseFile> = loose.iter().filter(|file| is_new(&file.name)).collect();
    html! {
        @if !(pieces.is_empty() && open.is_empty()) {
            section class="told came" aria-label="What came in" {
                @for (index, evidence) in pieces { (counted(truck, vehicle, index, evidence)) }
                @for file in open { (asked(app, truck, file)) }
            }
        }
    }
}

/// A piece that counts already: of which files, and what was set and mounted when it was taken.
fn counted(truck: &Truck, vehicle: &Vehicle, index: usize, evidence: &Evidence) -> Markup {
    let names: Vec<&str> = files_in(evidence).collect();
    let set: Vec<String> = vehicle
        .adjusters
        .iter()
        .filter_map(|adjuster| vehicle.setting_then(evidence, adjuster))
        .map(|setting| setting.to_string())
        .collect();
    let mounted = vehicle.mounted().and_then(|tires| tires.name.clone().or(tires.size.clone()));
    html! {
        p { strong { (names.join(" and ")) } " came in and counts." }
        @if let Some(sentence) = words::taken_with(&set, mounted.as_deref()) { p { (sentence) } }
        p { a href=(piece(&truck.slug, index)) { "Look at it" } " or say there that it was taken with something else." }
    }
}

/// A file that asks for more before it counts.
fn asked(app: &App, truck: &Truck, file: &LooseFile) -> Markup {
    html! {
        @if let Some(report) = track(app, truck, file) {
            @if report.reading_ratio.is_some() {
                p { "A drive recorded with marks came in: " strong { (file.name) } ". What does it tell?" }
                (run::of_file(app, truck, &file.name, Some(&report)))
            } @else {
                p { strong { (file.name) } " came in: " (file.kind.says()) "." }
                p { (report.track_alone()) }
                (files::uses(app, truck, file))
            }
        } @else {
            p { strong { (file.name) } " came in: " (file.kind.says()) "." }
            (files::uses(app, truck, file))
        }
    }
}

/// What a track says by itself, or by the marks in it.
fn track(app: &App, truck: &Truck, file: &LooseFile) -> Option<DriveReport> {
    let is_track = matches!(file.kind, Kind::Track | Kind::Marked);
    is_track.then(|| measured(app, truck, &file.name).ok()).flatten()
}

fn measured(app: &App, truck: &Truck, name: &str) -> Result<DriveReport, Problems> {
    let trial = Trial::from_fields(|field| (field == "track").then_some(name)).and_then(Trial::told)?;
    let folder = app.garage.truck_folder(&truck.slug);
    let inputs = trial.drive.lying(|name| folder.join(name));
    app.garage.tried(&inputs.words(&MEASURE_DRIVE), &inputs.files())?;
    let (drive, _) = inputs.drive()?;
    Ok(DriveReport::new(&drive, Vec::new(), app.garage.settings().units))
}
