//! `waywiser record key` and `verify`.

use super::super::answer::{self, Answer, Outcome};
use super::garage::Garage;
use crate::ledger::{key, make_key};
use crate::work::entry::carry::verified;
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;
use truing::report::answers::record_head::KeyReport;

/// The key with which papers are signed.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record key --make\n  waywiser record key")]
pub struct Key {
    /// Make one where there is none; one that is there stays
    #[arg(long)]
    make: bool,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Key {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let folder = self.garage.private_folder()?;
        let key = if self.make { Some(make_key(&folder)?) } else { key(&folder)? };
        let report = KeyReport::new(key.as_ref());
        Answer::new(&report, report.document(), Vec::new())
    }
}

/// Hold an exported record against a signed paper of it.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record verify record.jsonl --sheet-code \"04G0 0008 ...\"\n\nThe sheet code stands on the history and on the facts for papers, eight rows of six groups. Blanks, dashes, line ends and\nsmall letters do not matter."
)]
pub struct Verify {
    /// JSON Lines, as `record export` writes them
    file: PathBuf,
    /// What stands on the sheet, all rows in their order
    #[arg(long, value_name = "CODE")]
    sheet_code: String,
    /// One JSON object on standard output
    #[arg(long)]
    json: bool,
}

impl Verify {
    /// Runs it: 1 also where the export does not hold what the sheet says.
    pub fn run(&self) -> ExitCode {
        match verified(&self.file, &self.sheet_code) {
            Ok(report) => {
                let problems = report.problems.clone();
                let code = answer::print(Answer::new(&report, report.document(), problems), self.json);
                if report.ok { code } else { ExitCode::from(1) }
            }
            Err(problems) => answer::print(Err(problems), self.json),
        }
    }
}
