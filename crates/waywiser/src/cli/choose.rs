//! `waywiser choose`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::work::choose::chosen;
use crate::work::load;
use clap::Args;
use std::path::PathBuf;
use truing::report::answers::choice::ChoiceReport;

/// What to store, or to leave it, or to measure first.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser choose truck.toml\n  waywiser choose truck.toml --rule un-r39 --json"
)]
pub struct Choose {
    /// The vehicle file
    file: PathBuf,
    /// A rule to keep instead of the file's own; see `describe rules`
    #[arg(long)]
    rule: Option<String>,
    /// Writes to keep in reserve
    #[arg(long)]
    reserve: Option<u32>,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Choose {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let mut loaded = load::vehicle(&self.file)?;
        let (_, choice) = chosen(&mut loaded, self.rule.as_deref(), self.reserve)?;
        let report = ChoiceReport::new(&loaded.vehicle, &choice, loaded.problems.clone(), self.owner.units());
        Answer::new(&report, report.document(), loaded.problems)
    }
}
