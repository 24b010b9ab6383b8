//! `waywiser measure pulses`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::work::pulses::Recording;
use clap::Args;

/// One recording of the sensor's signal.
#[derive(Args)]
pub struct Pulses {
    #[command(flatten)]
    asked: Recording,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Pulses {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let report = self.asked.report(self.owner.units())?;
        Answer::new(&report, report.document(), report.problems.clone())
    }
}
