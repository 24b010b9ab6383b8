//! `waywiser record papers`.

use super::super::answer::{Answer, Outcome};
use super::super::owner::Owner;
use super::garage::Garage;
use clap::Args;
use truing::problem::{Problem, Problems};
use truing::report::papers::odometer::PapersReport;

/// Facts for the door frame and for a sale.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record papers --vehicle \"The grey half-ton\" --model-year 1994 --transfer 2026-11-25"
)]
pub struct Papers {
    /// The vehicle, by its name
    #[arg(long, value_name = "NAME")]
    vehicle: String,
    /// Its model year
    #[arg(long, value_name = "YEAR")]
    model_year: Option<i16>,
    /// The day of the transfer; today when left out
    #[arg(long, value_name = "DAY")]
    transfer: Option<String>,
    /// Its gross vehicle weight rating in pounds
    #[arg(long, value_name = "LB")]
    gvwr_lb: Option<u32>,
    #[command(flatten)]
    garage: Garage,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Papers {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let today = || crate::world::now().to_string().chars().take(10).collect();
        let day: String = self.transfer.clone().unwrap_or_else(today);
        let day = day.parse().map_err(|_| {
            let problem = Problem::error("--transfer", "a day such as 2026-11-25", format!("`{day}`"));
            Problems::from(problem.hint("Write year, month and day."))
        })?;
        let ledger = self.garage.open_to_read()?;
        let entries = self.garage.entries_of(&ledger, &self.vehicle)?;
        let units = self.owner.units();
        let report =
            PapersReport::new(&self.vehicle, &entries, self.model_year, Some(day), self.gvwr_lb, units);
        let report = report.with_record(ledger.reaches()?);
        Answer::new(&report, report.document(), Vec::new())
    }
}
