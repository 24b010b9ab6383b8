//! `waywiser choose`.

use super::answer::{Answer, Outcome};
use super::extent::{Extent, after_choice, typed};
use super::owner::Owner;
use crate::work::choose::chosen;
use crate::work::load;
use clap::Args;
use std::path::PathBuf;
use truing::choose::Advice;
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
    extent: Extent,
    /// End with a code that tells the answer: 0 write, 3 leave, 4 measure first, 5 check first
    #[arg(long)]
    exit_code: bool,
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
        let again = format!("waywiser choose {}", typed(&self.file));
        let told = self.extent.of(report.document(), &after_choice(report.advice, &self.file), &again);
        let answer = Answer::new(&report, told, loaded.problems)?;
        Ok(if self.exit_code { answer.ending(code(report.advice)) } else { answer })
    }
}

/// What a choice ends with where that is asked; 1 and 2 are taken by input and command line that are wrong.
fn code(advice: Advice) -> u8 {
    match advice {
        Advice::Write => 0,
        Advice::Leave => 3,
        Advice::MeasureFirst => 4,
        Advice::CheckFirst => 5,
    }
}
