//! Papers from what is loaded.

use super::load::Loaded;
use super::set::{Hands, advised, report};
use crate::paper::pdf::{Laid, Press};
use crate::paper::sheet::About;
use crate::paper::{self, SheetInfo};
use clap::ValueEnum;
use jiff::civil::Date;
use truing::choose::{Advice, Choice};
use truing::describe::adjuster::AdjusterKind;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{VehicleEstimate, each_alone, fuse};
use truing::problem::Problems;
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::evidence::EvidenceReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::Document;
use truing::report::papers::job::JobSheet;
use truing::report::papers::sheet::{SheetParts, sheet};
use truing::units::Units;

/// The program and its version.
pub const SOFTWARE: &str = concat!("waywiser ", env!("CARGO_PKG_VERSION"));

/// The papers there are.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// What to set, why and how
    #[default]
    Job,
    /// What was done when, from the record
    History,
    /// What is set since when, as a label, from the record
    DoorFrame,
    /// How fast it goes for what is shown, for the sun visor
    SpeedCard,
    /// Which of these tires
    Tires,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Job, Self::SpeedCard, Self::Tires, Self::History, Self::DoorFrame];

    /// What its file is called, without the ending.
    pub fn stem(self) -> &'static str {
        match self {
            Self::Job => "job-sheet",
            Self::SpeedCard => "speed-card",
            Self::Tires => "tires",
            Self::History => "history",
            Self::DoorFrame => "door-frame",
        }
    }

    /// What it is called on the paper.
    pub fn name(self) -> &'static str {
        match self {
            Self::Job => paper::JOB_SHEET,
            Self::History => "History",
            Self::DoorFrame => "Door-frame note",
            Self::SpeedCard => "Speed card",
            Self::Tires => "Which of these tires",
        }
    }
}

/// What a paper says about itself.
pub fn about(kind: Kind, title: &str, day: Option<Date>) -> About {
    About {
        title: format!("{title}: {}", kind.name().to_lowercase()),
        kind: kind.name().into(),
        date: day,
        software: SOFTWARE.into(),
        record: None,
    }
}

/// The day it is.
pub fn today() -> String {
    crate::world::now().to_string().chars().take(10).collect()
}

/// A paper as PDF.
pub fn written(laid: impl FnOnce(&Press) -> Laid) -> Result<Vec<u8>, Problems> {
    let press = Press::new()?;
    press.pdf(laid(&press)).map_err(Problems::from)
}

/// The sheet of a vehicle and what was chosen for it.
pub fn sheet_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    units: Units,
) -> Result<Document, Problems> {
    with_parts(loaded, estimate, choice, units, sheet)
}

/// The same as paper lays it out.
pub fn job_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    units: Units,
) -> Result<JobSheet, Problems> {
    let alone = each_alone(&loaded.source, &loaded.vehicle, &estimate.drives);
    let evidence = EvidenceReport::new(&loaded.vehicle, estimate, &alone, units);
    with_parts(loaded, estimate, choice, units, |parts| JobSheet::new(&loaded.vehicle, parts, &evidence))
}

fn with_parts<T>(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    units: Units,
    make: impl FnOnce(&SheetParts) -> T,
) -> Result<T, Problems> {
    let steps = match choice.advice {
        Advice::Write => Some(report(loaded, &advised(loaded, choice, &Hands::default())?, units)),
        _ => None,
    };
    let (described, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
    Ok(make(&SheetParts {
        description: &DescriptionReport::new(&loaded.vehicle, &described, Vec::new(), units),
        estimate: &VehicleReport::new(&loaded.vehicle, estimate, Vec::new(), units),
        choice: &ChoiceReport::new(&loaded.vehicle, choice, Vec::new(), units),
        steps: steps.as_ref(),
    }))
}

/// The sheet as one HTML file.
pub fn html(document: &Document) -> Vec<u8> {
    let info = SheetInfo { made_on: today(), software: SOFTWARE.into(), record: None };
    paper::html(document, &info).into_bytes()
}

/// The sizes of tires that a vehicle file names.
pub fn sizes_of(vehicle: &Vehicle) -> Vec<String> {
    let mut sizes: Vec<String> = vehicle.tires.iter().filter_map(|set| set.size.clone()).collect();
    for adjuster in &vehicle.adjusters {
        if let AdjusterKind::Tires(it) = &adjuster.kind {
            sizes.extend(it.iter().cloned());
        }
    }
    sizes
}

/// A day of a report.
pub fn day_of(text: Option<&str>) -> Option<Date> {
    text.and_then(|text| text.parse().ok())
}
