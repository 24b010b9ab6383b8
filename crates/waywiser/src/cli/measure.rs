//! `waywiser measure`.

use super::answer::{Answer, Outcome};
use super::extent::{Extent, typed};
use super::owner::Owner;
use super::pulses::Pulses;
use crate::work::drive::DriveInputs;
use crate::work::load;
use clap::{Args, Subcommand};
use std::path::PathBuf;
use truing::report::answers::drive::DriveReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::units::Units;

/// How far it truly goes for what it shows.
#[derive(Subcommand)]
pub enum Measure {
    /// One drive: a track beside the vehicle's log, called-out speeds or odometer readings
    #[command(
        after_help = "Example:\n  waywiser measure drive --track drive.gpx --vehicle-log log.csv\n  waywiser measure drive --track drive.gpx --holds 30,45,60mph\n  waywiser measure drive --track drive.gpx --odometer-start \"81204.3 mi\" --odometer-end \"81221.0 mi\""
    )]
    Drive(Box<Drive>),
    /// One recording of the sensor's signal: counts, frequency, the ring and its faults
    #[command(
        after_help = "Example:\n  waywiser measure pulses ten-turns.wav --turns 10\n  waywiser measure pulses mile.vcd --distance \"1 mi\" --channel sensor\n  waywiser measure pulses drive.wav --track drive.gpx"
    )]
    Pulses(Pulses),
    /// A drive as it happens: a receiver's fixes, and what a passenger types
    #[cfg(feature = "live")]
    #[command(
        after_help = "Example:\n  waywiser measure live --gpsd localhost:2947 --out drive.jsonl\n  waywiser measure live --serial /dev/ttyUSB0 --baud 4800 --out drive.jsonl"
    )]
    Live(super::measure_live::Live),
    /// All evidence in a vehicle file, fused
    #[command(
        after_help = "Example:\n  waywiser measure vehicle truck.toml\n  waywiser measure vehicle truck.toml --all"
    )]
    Vehicle {
        /// The vehicle file
        file: PathBuf,
        #[command(flatten)]
        extent: Extent,
        #[command(flatten)]
        owner: Owner,
        /// One JSON object on standard output
        #[arg(long)]
        json: bool,
    },
}

/// One drive.
#[derive(Args)]
pub struct Drive {
    #[command(flatten)]
    inputs: DriveInputs,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    json: bool,
}

impl Measure {
    /// Runs it.
    pub fn run(&self) -> (Outcome, bool) {
        match self {
            Measure::Drive(drive) => (measure_drive(drive), drive.json),
            #[cfg(feature = "live")]
            Measure::Live(live) => (live.run(), live.json),
            Measure::Pulses(pulses) => (pulses.run(), pulses.json),
            Measure::Vehicle { file, extent, owner, json } => {
                (measure_vehicle(file, *extent, owner.units()), *json)
            }
        }
    }
}

fn measure_drive(drive: &Drive) -> Outcome {
    let (estimate, problems) = drive.inputs.drive()?;
    let report = DriveReport::new(&estimate, problems.clone(), drive.owner.units());
    Answer::new(&report, report.document(), problems)
}

fn measure_vehicle(file: &std::path::Path, extent: Extent, units: Units) -> Outcome {
    let mut loaded = load::vehicle(file)?;
    let estimate = loaded.fused()?;
    let report = VehicleReport::new(&loaded.vehicle, &estimate, loaded.problems.clone(), units);
    let next = [format!("waywiser choose {}", typed(file))];
    let told = extent.of(report.document(), &next, &format!("waywiser measure vehicle {}", typed(file)));
    Answer::new(&report, told, loaded.problems)
}
