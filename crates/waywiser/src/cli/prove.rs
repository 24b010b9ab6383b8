//! `waywiser prove`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::work::choose::state_line;
use crate::work::drive::DriveInputs;
use crate::work::load;
use clap::Args;
use std::path::PathBuf;
use truing::choose::rule_of;
use truing::prove::prove;
use truing::report::answers::proof::ProofReport;
use truing::rules::Verdict;

/// Whether a drive shows that a rule is kept.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser prove truck.toml --track after.gpx --vehicle-log after.csv --rule us-393.82\n  waywiser prove truck.toml --track after.gpx --holds 30,45,60mph --rule un-r39"
)]
pub struct Prove {
    /// The vehicle file
    file: PathBuf,
    #[command(flatten)]
    inputs: DriveInputs,
    /// The rule; the file's own when left out; see `describe rules`
    #[arg(long)]
    rule: Option<String>,
    /// End with a code that tells the answer: 0 conforms, 3 does not conform, 4 undecided
    #[arg(long)]
    exit_code: bool,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Prove {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let mut loaded = load::vehicle(&self.file)?;
        let rule = rule_of(&loaded.vehicle.usage, self.rule.as_deref())?;
        let (drive, more) = self.inputs.drive()?;
        let mut problems = loaded.problems.clone();
        problems.extend(more);
        let proof = prove(&loaded.vehicle, &drive, rule)?;
        let units = self.owner.units();
        let mut report = ProofReport::new(&loaded.vehicle, &drive, &proof, problems.clone(), units);
        // What was measured before only asks a question here; where it cannot be used, the drive is judged all the same.
        if let Ok(estimate) = loaded.fused() {
            report =
                report.beside(&loaded.vehicle, &estimate, &drive).standing(&state_line(&loaded, &estimate));
        }
        let answer = Answer::new(&report, report.document(), problems)?;
        Ok(if self.exit_code { answer.ending(code(report.verdict)) } else { answer })
    }
}

/// What a proof ends with where that is asked; 1 and 2 are taken by input and command line that are wrong.
fn code(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Conforms => 0,
        Verdict::DoesNotConform => 3,
        Verdict::Undecided => 4,
    }
}
