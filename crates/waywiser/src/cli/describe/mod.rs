//! `waywiser describe`.

mod file;

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::work::choose::state_line;
use crate::work::load;
use clap::Subcommand;
use std::path::PathBuf;
use truing::describe::file::schema::vehicle_schema;
use truing::describe::thresholds::Thresholds;
use truing::describe::tire::TireSize;
use truing::describe::tire::circumference::RollingConditions;
use truing::measure::fusion::fuse;
use truing::report::answers::decision::DecisionReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::keys::KeysReport;
use truing::report::answers::rules::RulesReport;
use truing::report::answers::tire::TireReport;
use truing::units::Units;

/// What is on the truck.
#[derive(Subcommand)]
pub enum Describe {
    /// Diameter, rolling circumference and revolutions per mile of a tire size
    #[command(
        after_help = "Example:\n  waywiser describe tire LT275/75R17\n  waywiser describe tire \"31.2 in\" --json"
    )]
    Tire {
        /// The size as printed on the tire, or a diameter
        size: String,
        #[command(flatten)]
        owner: Owner,
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
    /// Check a vehicle file and show its chain from the road to the needle
    #[command(
        after_help = "Example:\n  waywiser describe vehicle truck.toml\n  waywiser describe vehicle --schema > vehicle.schema.json"
    )]
    Vehicle {
        /// The vehicle file
        #[arg(required_unless_present = "schema")]
        file: Option<PathBuf>,
        /// The JSON Schema of vehicle files instead, for editors and programs
        #[arg(long, conflicts_with = "file")]
        schema: bool,
        #[command(flatten)]
        owner: Owner,
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
    /// A vehicle file to start from, for what can be set on the truck
    File(file::StartFile),
    /// Every section and key of the vehicle file: what it says, what it takes, an example
    #[command(after_help = "Example:\n  waywiser describe keys\n  waywiser describe keys evidence")]
    Keys {
        /// One section: tire, chain, head, reader, adjuster, use, evidence, written, plan, fault or rule
        section: Option<String>,
        #[command(flatten)]
        owner: Owner,
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
    /// The numbers by which a setting is chosen, what each means and how it is changed
    #[command(after_help = "Example:\n  waywiser describe decision\n  waywiser describe decision truck.toml")]
    Decision {
        /// The vehicle file, for the numbers as it has them
        file: Option<PathBuf>,
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
    /// Every rule with what it permits, where it stands and how it is known
    #[command(after_help = "Example:\n  waywiser describe rules")]
    Rules {
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
}

impl Describe {
    /// Runs it.
    pub fn run(&self) -> (Outcome, bool) {
        match self {
            Describe::Tire { size, owner, json } => (tire(size, owner.units()), *json),
            Describe::Vehicle { file: Some(file), owner, json, .. } => (vehicle(file, owner.units()), *json),
            Describe::Vehicle { json, .. } => (schema(), *json),
            Describe::File(it) => (it.run(), it.json),
            Describe::Keys { section, owner, json } => (keys(section.as_deref(), owner.units()), *json),
            Describe::Decision { file, json } => (decision(file.as_deref()), *json),
            Describe::Rules { json } => {
                let report = RulesReport::new();
                (Answer::new(&report, report.document(), Vec::new()), *json)
            }
        }
    }
}

fn tire(size: &str, units: Units) -> Outcome {
    let tire = TireSize::parse(size)?;
    let report = TireReport::new(&tire, &RollingConditions::default(), units);
    let report = report?;
    Answer::new(&report, report.document(), Vec::new())
}

fn schema() -> Outcome {
    let schema = vehicle_schema();
    Ok(Answer::kept(schema.clone(), format!("{schema:#}\n")))
}

fn keys(section: Option<&str>, units: Units) -> Outcome {
    let report = KeysReport::new(section, units)?;
    Answer::new(&report, report.document(), Vec::new())
}

fn decision(file: Option<&std::path::Path>) -> Outcome {
    let loaded = file.map(load::vehicle).transpose()?;
    let thresholds =
        loaded.as_ref().map_or_else(Thresholds::default, |loaded| loaded.vehicle.usage.thresholds);
    let report = DecisionReport::new(&thresholds);
    Answer::new(&report, report.document(), loaded.map_or_else(Vec::new, |loaded| loaded.problems))
}

fn vehicle(file: &std::path::Path, units: Units) -> Outcome {
    let mut loaded = load::vehicle(file)?;
    let problems = loaded.problems.clone();
    // The chain needs no drives: their want is no problem here, and leaves the state untold.
    let (estimate, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
    let mut report = DescriptionReport::new(&loaded.vehicle, &estimate, problems.clone(), units);
    if let Ok(estimate) = loaded.fused() {
        report = report.standing(&state_line(&loaded, &estimate));
    }
    Answer::new(&report, report.document(), problems)
}
