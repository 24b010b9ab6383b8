//! The job sheet of a vehicle file, through all stages of the library: for what is made from the sample truck.

use std::path::{Path, PathBuf};
use truing::choose::{Advice, Choice, MeasurementKind, choose, rule_of};
use truing::describe::evidence::EvidenceKind;
use truing::describe::vehicle::Vehicle;
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::measure::drive::{DriveEstimate, Indicated, estimate};
use truing::measure::fusion::{VehicleEstimate, each_alone, fuse};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::evidence::EvidenceReport;
use truing::report::answers::steps::StepsReport;
use truing::report::document::Document;
use truing::report::papers::job::{JobSheet, SheetParts};
use truing::report::papers::measuring::MeasuringSheet;
use truing::report::papers::proving::ProofSheet;
use truing::set::{Order, job};
use truing::units::Units;

/// The folder of the sample truck.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo")
}

/// The sample truck's vehicle file.
pub fn text() -> String {
    std::fs::read_to_string(folder().join("truck.toml")).unwrap()
}

/// The vehicle of a file whose drives lie in the folder of the sample truck, what is known of it and what to set.
fn chosen(text: &str) -> (Vehicle, VehicleEstimate, Choice) {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
    let (estimate, _) = fuse("truck.toml", &vehicle, drives(&vehicle));
    let choice = choose("truck.toml", &vehicle, &estimate, None, None).unwrap();
    (vehicle, estimate, choice)
}

/// The sheet of such a file.
pub fn sheet(text: &str, units: Units) -> JobSheet {
    let (vehicle, estimate, choice) = chosen(text);
    let alone = each_alone("truck.toml", &vehicle, &estimate.drives);
    let (described, _) = fuse("truck.toml", &vehicle, Vec::new());
    let steps = steps(&vehicle, &choice, units);
    let choice = ChoiceReport::new(&vehicle, &choice, Vec::new(), units);
    let parts = SheetParts {
        description: &DescriptionReport::new(&vehicle, &described, Vec::new(), units),
        choice: &choice,
        steps: steps.as_ref(),
    };
    let measuring = MeasuringSheet::new(&vehicle, &estimate, &choice, None, units);
    let evidence = EvidenceReport::new(&vehicle, &estimate, &alone, units);
    JobSheet::new(&vehicle, &parts, &evidence, Some(&measuring))
}

/// Every sheet that is to be written on.
#[allow(dead_code, reason = "not every test that shares this asks for it")]
pub fn to_write_on(text: &str, units: Units) -> Vec<Document> {
    let (vehicle, estimate, choice) = chosen(text);
    let choice = ChoiceReport::new(&vehicle, &choice, Vec::new(), units);
    let measuring = |kind| MeasuringSheet::new(&vehicle, &estimate, &choice, Some(kind), units).document();
    let mut all: Vec<Document> = MeasurementKind::ALL.map(measuring).to_vec();
    let rule = rule_of(&vehicle.usage, None).unwrap();
    all.push(ProofSheet::new(&vehicle, &estimate, &rule, units).document());
    all
}

fn steps(vehicle: &Vehicle, choice: &Choice, units: Units) -> Option<StepsReport> {
    let best = choice.best.as_ref().filter(|_| choice.advice == Advice::Write)?;
    let (place, target) = best.settings.first()?;
    let order = Order::new(&vehicle.adjusters[*place], target.clone());
    // As the command line does: the check reading is that of the setting chosen.
    let planned = job("truck.toml", vehicle, &order).unwrap().expecting(best.expected_ratio);
    Some(StepsReport::new(vehicle, &planned, Vec::new(), units))
}

fn drives(vehicle: &Vehicle) -> Vec<(usize, DriveEstimate)> {
    let drive = |(index, evidence): (usize, &truing::describe::evidence::Evidence)| {
        let EvidenceKind::Drive { track, shown, .. } = &evidence.kind else { return None };
        let mut reader = TrackReader::new(track.clone(), CsvOptions::default());
        reader.feed(&std::fs::read(folder().join(track)).unwrap());
        let log = shown.vehicle_log.as_ref().unwrap();
        let mut log_reader = VehicleLogReader::new(log.clone(), CsvOptions::default());
        log_reader.feed(&std::fs::read(folder().join(log)).unwrap());
        let (estimate, _) = estimate(track, &reader.finish().0, &Indicated::Log(log_reader.finish().0));
        Some((index, estimate.unwrap()))
    };
    vehicle.evidence.iter().enumerate().filter_map(drive).collect()
}
