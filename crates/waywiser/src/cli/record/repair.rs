//! `waywiser record repair`.

use super::super::answer::{Answer, Outcome};
use super::garage::Garage;
use crate::garage::{Garage as Trucks, Refused, Side};
use clap::Args;
use truing::problem::{Problem, Problems};
use truing::report::answers::record::RepairedReport;

/// Repair a difference between the record's last write and the vehicle file in the garage.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record repair --vehicle \"The grey half-ton\" --right record\n  waywiser record repair --vehicle \"The grey half-ton\" --right file"
)]
pub struct Repair {
    /// The vehicle, by its name
    #[arg(long, value_name = "NAME")]
    vehicle: String,
    /// Which one agrees with what the module shows: `record`, and the file follows it, or `file`, and an entry says so
    #[arg(long, value_name = "SIDE")]
    right: String,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Repair {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let right = Side::read(&self.right)?;
        let ledger = self.garage.open_to_read()?;
        let recorded = self.garage.recorded(&ledger, &self.vehicle)?;
        drop(ledger);
        let trucks = Trucks::at(self.garage.folder()?);
        let truck = trucks.truck_recorded_as(&recorded).ok_or_else(|| {
            let problem =
                Problem::error("--vehicle", "a truck of this garage", format!("`{}`", self.vehicle));
            Problems::from(
                problem.hint("The record has no vehicle file beside it here that could differ from it."),
            )
        })?;
        let found = trucks.differences(&truck)?;
        let added = trucks.repair(&truck, right).map_err(|refused| match refused {
            Refused::Problems(problems) => problems,
            Refused::Stale { .. } => Problems::from(Problem::error(
                "the vehicle file",
                "the version that was just read",
                "another",
            )),
        })?;
        let report = RepairedReport::new(&found, &added);
        Answer::new(&report, report.document(), Vec::new())
    }
}
