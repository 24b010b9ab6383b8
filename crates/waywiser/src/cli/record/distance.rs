//! `waywiser record distance`.

use super::super::answer::{Answer, Outcome};
use super::super::owner::Owner;
use super::garage::Garage;
use clap::Args;
use truing::record::Mileage;
use truing::report::answers::mileage::{DistanceReport, End, place};

/// How far a vehicle truly went.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record distance --vehicle \"The grey half-ton\"\n  waywiser record distance --vehicle \"The grey half-ton\" --from 2026-05-01 --to \"130000 mi\""
)]
pub struct Distance {
    /// The vehicle, by its name
    #[arg(long, value_name = "NAME")]
    vehicle: String,
    /// A day, a time or a reading; the first reading when left out
    #[arg(long, value_name = "DAY or READING")]
    from: Option<String>,
    /// A day, a time or a reading; the last reading when left out
    #[arg(long, value_name = "DAY or READING")]
    to: Option<String>,
    #[command(flatten)]
    garage: Garage,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Distance {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let ledger = self.garage.open_to_read()?;
        let entries = self.garage.entries_of(&ledger, &self.vehicle)?;
        let mileage = Mileage::from_entries(&entries);
        let from = place(&mileage, End::Start, self.from.as_deref())?;
        let to = place(&mileage, End::Finish, self.to.as_deref())?;
        let found = from.zip(to).map(|(from, to)| mileage.distance(from, to)).transpose();
        let found = found?;
        let report = DistanceReport::new(&self.vehicle, found.as_ref(), &mileage, self.owner.units());
        Answer::new(&report, report.document(), mileage.problems)
    }
}
