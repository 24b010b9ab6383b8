//! `waywiser record show` and `check`.

use super::super::answer::{self, Answer, Outcome};
use super::super::owner::Owner;
use super::garage::Garage;
use crate::garage::{Garage as Trucks, checked};
use crate::work::entry::head::head_on_paper;
use clap::Args;
use std::process::ExitCode;
use truing::problem::Problems;
use truing::record::Expected;
use truing::report::answers::record::CheckReport;
use truing::report::papers::history::{HistoryReport, StatesReport};

/// The state of the vehicles and what was done to them.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record show\n  waywiser record show --vehicle \"The grey half-ton\""
)]
pub struct Show {
    /// One vehicle, with every entry
    #[arg(long, value_name = "NAME")]
    vehicle: Option<String>,
    #[command(flatten)]
    garage: Garage,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Show {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let ledger = self.garage.open_to_read()?;
        if let Some(vehicle) = &self.vehicle {
            let entries = self.garage.entries_of(&ledger, vehicle)?;
            let report = HistoryReport::new(vehicle, &entries, self.owner.units());
            let differences = self.garage.differences(&self.garage.recorded(&ledger, vehicle)?)?;
            return Answer::new(&report, report.document(), [report.problems.clone(), differences].concat());
        }
        let mut states = Vec::new();
        for vehicle in ledger.vehicles()? {
            states.push((ledger.that_matter(&vehicle)?, vehicle));
        }
        let report = StatesReport::new(&states, self.owner.units());
        Answer::new(&report, report.document(), Vec::new())
    }
}

/// Whether the record is whole.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record check\n  waywiser record check --expect-entries 42 --expect-head 5f0c..."
)]
pub struct Check {
    /// The hash of the last entry as it was written down on paper
    #[arg(long, value_name = "HASH")]
    expect_head: Option<String>,
    /// How many entries there were then
    #[arg(long, value_name = "N")]
    expect_entries: Option<u64>,
    /// Compute again what the program computed, where the files it rests on are in the garage
    #[arg(long)]
    recompute: bool,
    /// Take the record as it is from now on, though it is not the one that was seen on this machine before
    #[arg(long)]
    as_it_is: bool,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    json: bool,
}

impl Check {
    /// Runs it: 1 also where the record can be read but is not in order.
    pub fn run(&self) -> ExitCode {
        match self.report() {
            Ok(report) => {
                let code = answer::print(
                    Answer::new(&report, report.document(), report.problems.clone()),
                    self.json,
                );
                if report.ok { code } else { ExitCode::from(1) }
            }
            Err(problems) => answer::print_problems(&problems),
        }
    }

    fn report(&self) -> Result<CheckReport, Problems> {
        let reads = || self.garage.open_to_read();
        let head = self.expect_head.as_deref().map(|text| head_on_paper(text, reads)).transpose()?;
        let expected = Expected { head, entries: self.expect_entries, now: None };
        if self.as_it_is {
            self.garage.open_to_read()?.take_as_it_is()?;
        }
        let garage = Trucks::at(self.garage.folder()?);
        checked(&garage, &expected, self.garage.patience(), self.recompute)
    }
}
