//! `waywiser record add`.

use super::super::answer::{Answer, Outcome};
use super::garage::Garage;
use crate::work::entry::fields::{Given, fields, held_against, recorded_vehicle, split};
use crate::work::entry::source::source_of;
use clap::Args;
use std::path::PathBuf;
use truing::record::{ADJUSTER, CHANGES_SIGNAL, DONE_ON, Draft, ENTERED_LATE, EventKind, FROM_REASON, SURE};
use truing::report::answers::record::AddedReport;

/// Add one entry.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record add odometer --vehicle \"The grey half-ton\" --odometer \"128406.3 mi\"\n  waywiser record add estimate --vehicle \"The grey half-ton\" --value \"0.970 +/- 0.003\"\n  waywiser record add write --vehicle \"The grey half-ton\" --value 1416 --odometer \"128411.0 mi\"\n  waywiser record add service --vehicle \"The grey half-ton\" --text \"engine oil\" --value \"5000 mi\" --odometer \"128420 mi\""
)]
pub struct Add {
    /// vehicle, equipment, odometer, evidence, estimate, choice, write, proof, fault-opened, fault-mended, roll-over,
    /// service, fuel, note or correction
    kind: String,
    /// The vehicle, by its name
    #[arg(long, value_name = "NAME")]
    vehicle: String,
    /// What the odometer shows, such as "128406.3 mi"
    #[arg(long, value_name = "X", allow_hyphen_values = true)]
    odometer: Option<String>,
    /// What the odometer showed last that was replaced, such as "99120 mi"
    #[arg(long, value_name = "X", allow_hyphen_values = true)]
    odometer_before: Option<String>,
    /// What it is about: a note, a part, a rule, a service
    #[arg(long, value_name = "T")]
    text: Option<String>,
    /// The value stored, fitted, estimated or found
    #[arg(long, value_name = "V", allow_hyphen_values = true)]
    value: Option<String>,
    /// A file it rests on: its name and its hash are kept, nothing of what stands in it
    #[arg(long, value_name = "FILE")]
    source: Option<PathBuf>,
    /// What was set, by its name in the vehicle file, where there are several
    #[arg(long, value_name = "NAME")]
    adjuster: Option<String>,
    /// What was set are gears, a ring, an adapter or a conditioner: what changes the signal itself
    #[arg(long)]
    changes_signal: bool,
    /// Any other field, as name=value; may be given several times
    #[arg(long = "field", value_name = "NAME=VALUE")]
    more: Vec<String>,
    /// The day on which it was done, where that was earlier, such as 2026-05-02
    #[arg(long, value_name = "DAY")]
    done_on: Option<String>,
    /// Why it is right though it looks odd: the reason goes into the record
    #[arg(long, value_name = "WHY")]
    sure: Option<String>,
    /// The record does not hold the vehicle yet
    #[arg(long)]
    new_vehicle: bool,
    /// Why a write begins from another value than the stored one
    #[arg(long, value_name = "WHY")]
    from_reason: Option<String>,
    /// Why the time is before that of the entry before
    #[arg(long, value_name = "WHY")]
    entered_late: Option<String>,
    /// A key of your own: the same request under it again is answered with the same entry
    #[arg(long, value_name = "KEY")]
    request: Option<String>,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Add {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let kind = EventKind::read(&self.kind)?;
        let mut more: Vec<(&str, &str)> =
            self.more.iter().map(|pair| split(pair)).collect::<Result<_, _>>()?;
        let own = [
            (FROM_REASON, &self.from_reason),
            (ENTERED_LATE, &self.entered_late),
            (DONE_ON, &self.done_on),
            (SURE, &self.sure),
            ("odometer_before", &self.odometer_before),
            (ADJUSTER, &self.adjuster),
        ];
        more.extend(own.iter().filter_map(|(name, value)| Some((*name, value.as_deref()?))));
        more.extend(self.changes_signal.then_some(CHANGES_SIGNAL));
        let (odometer, text, value) = (self.odometer.as_deref(), self.text.as_deref(), self.value.as_deref());
        let given = Given { odometer, text, value, more };
        let source = self.source.as_deref().map(source_of).transpose()?;
        let source: Vec<(String, String)> = source.into_iter().flatten().collect();
        let mut ledger = self.garage.open()?;
        let is_new = self.new_vehicle || kind == EventKind::Vehicle;
        let vehicle = self.garage.recorded_or_new(&ledger, &self.vehicle, is_new)?;
        let request = given.request(self.request.as_deref(), kind, &vehicle, &source);
        let entry = ledger.append_made(request.as_ref(), |look| {
            let earlier = look.of_vehicle(&vehicle)?;
            let mut fields = fields(kind, &given, &earlier)?;
            fields.extend(source);
            let draft = Draft { time: crate::world::now(), vehicle: vehicle.clone(), kind, fields };
            held_against(&earlier, draft, recorded_vehicle(&earlier).as_ref())
        })?;
        let report = AddedReport::new(&entry);
        Answer::new(&report, report.document(), self.garage.differences(&vehicle)?)
    }
}
