//! Papers from what is loaded.

use super::load::Loaded;
use super::set::{Hands, advised, not_worse, report, typed, typed_report};
use crate::paper::pdf::{Laid, Press};
use crate::paper::sheet::About;
use crate::world::version::software;
use clap::ValueEnum;
use jiff::civil::Date;
use serde::Serialize;
use truing::choose::{Choice, MeasurementKind, rule_of};
use truing::describe::adjuster::AdjusterKind;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{VehicleEstimate, each_alone, fuse};
use truing::problem::{Problem, Problems};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::evidence::EvidenceReport;
use truing::report::papers::job::{JobSheet, SheetParts};
use truing::report::papers::measuring::MeasuringSheet;
use truing::report::papers::proving::ProofSheet;
use truing::units::Units;

/// The papers there are.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// What to set, why and how
    #[default]
    Job,
    /// How to measure, with a table to fill in
    Measuring,
    /// Speeds to drive for a proof, with lines for shown and true
    Proof,
    /// What was done when, from the record
    History,
    /// What is set since when, as a label, from the record
    DoorFrame,
    /// What the record knows, for a sale
    Sale,
    /// How fast it goes for what is shown, for the sun visor
    SpeedCard,
    /// Which of these tires
    Tires,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Job,
        Self::Measuring,
        Self::Proof,
        Self::SpeedCard,
        Self::Tires,
        Self::History,
        Self::DoorFrame,
        Self::Sale,
    ];

    /// What its file is called, without the ending.
    pub fn stem(self) -> &'static str {
        match self {
            Self::Job => "job-sheet",
            Self::Measuring => "measuring-sheet",
            Self::Proof => "proof-sheet",
            Self::SpeedCard => "speed-card",
            Self::Tires => "tires",
            Self::History => "history",
            Self::DoorFrame => "door-frame",
            Self::Sale => "sale-sheet",
        }
    }

    /// What it is called on the paper.
    pub fn name(self) -> &'static str {
        match self {
            Self::Job => "Job sheet",
            Self::Measuring => "Measuring sheet",
            Self::Proof => "Proof sheet",
            Self::History => "History",
            Self::DoorFrame => "Door-frame note",
            Self::Sale => "Sale sheet",
            Self::SpeedCard => "Speed card",
            Self::Tires => "Which of these tires",
        }
    }

    /// Whether it is one sheet to be written on, so that it has to fit on one page.
    pub fn is_one_page(self) -> bool {
        matches!(self, Self::Measuring | Self::Proof)
    }
}

/// What a paper says about itself.
pub fn about(kind: Kind, title: &str, day: Option<Date>) -> About {
    About {
        title: format!("{title}: {}", kind.name().to_lowercase()),
        kind: kind.name().into(),
        date: day,
        software: software(),
        record: None,
    }
}

/// A paper as PDF.
pub fn written(laid: impl FnOnce(&Press) -> Laid) -> Result<Vec<u8>, Problems> {
    let press = Press::new()?;
    press.pdf(laid(&press)).map_err(Problems::from)
}

/// What of a job is asked for: another value than the advised one, and how the owner sets.
#[derive(Default)]
pub struct JobWish<'a> {
    /// The value to store instead.
    pub to: Option<&'a str>,
    /// Which adjuster it is for.
    pub adjuster: Option<&'a str>,
    /// The value may read worse than now.
    pub even_if_worse: bool,
    /// The owner's routine, what the display shows, how a held button goes on.
    pub hands: Hands<'a>,
}

/// The job sheet: what the steps to a setting say, on paper.
pub fn job_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    wish: &JobWish,
    units: Units,
) -> Result<JobSheet, Problems> {
    let steps = match wish.to {
        Some(to) => {
            let outcome = typed(loaded, to, wish.adjuster, &wish.hands)?;
            let steps = typed_report(loaded, Some(choice), &outcome, units);
            not_worse(&loaded.source, &steps, wish.even_if_worse)?;
            steps
        }
        None => report(loaded, &advised(loaded, choice, &wish.hands)?, units),
    };
    let alone = each_alone(&loaded.source, &loaded.vehicle, &estimate.drives);
    let evidence = EvidenceReport::new(&loaded.vehicle, estimate, &alone, units);
    let (described, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
    let choice = ChoiceReport::new(&loaded.vehicle, choice, Vec::new(), units);
    let parts = SheetParts {
        description: &DescriptionReport::new(&loaded.vehicle, &described, Vec::new(), units),
        choice: &choice,
        steps: Some(&steps),
    };
    let measuring = MeasuringSheet::new(&loaded.vehicle, estimate, &choice, None, units);
    Ok(JobSheet::new(&loaded.vehicle, &parts, &evidence, Some(&measuring)))
}

/// The sheet to measure with: for the measurement of that name, else for the one that the advice asks for.
pub fn measuring_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    measurement: Option<&str>,
    units: Units,
) -> Result<MeasuringSheet, Problems> {
    let kind = measurement.map(MeasurementKind::named).transpose()?;
    let choice = ChoiceReport::new(&loaded.vehicle, choice, Vec::new(), units);
    Ok(MeasuringSheet::new(&loaded.vehicle, estimate, &choice, kind, units))
}

/// The sheet to prove with, for a rule or for that of the file.
pub fn proof_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    rule: Option<&str>,
    units: Units,
) -> Result<ProofSheet, Problems> {
    let rule = rule_of(&loaded.vehicle.usage, rule)?;
    Ok(ProofSheet::new(&loaded.vehicle, estimate, &rule, units))
}

/// What a PDF of these words cannot show, said before anybody prints it.
pub fn letters_lacking(words: &impl Serialize) -> Option<Problem> {
    let words = serde_json::to_string(words).unwrap_or_default();
    let lacking = crate::paper::pdf::lacking(&words);
    let shown: Vec<String> = lacking.iter().take(MOST_LETTERS).map(char::to_string).collect();
    let more = if lacking.len() > MOST_LETTERS { " and more" } else { "" };
    (!lacking.is_empty()).then(|| {
        let found = format!("{}{more}", shown.join(" "));
        Problem::warning("the PDF", "letters that its built-in font has: Latin, Greek, Cyrillic", found)
            .hint("The same paper as a web page shows them, with the fonts of the machine that opens it.")
    })
}

/// Letters named, at most.
const MOST_LETTERS: usize = 12;

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
