//! `waywiser batch`.

use super::answer::{Answer, Outcome};
use super::over::{Over, same_file};
use crate::work::batch::reading::Reading;
use crate::work::batch::rows;
use crate::work::drive::LogInputs;
use crate::world;
use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::IsTerminal;
use std::path::PathBuf;
use truing::problem::Problem;
use truing::report::answers::batch::BatchReport;
use truing::report::document::Document;
use truing::units::Units;

/// Every drive under a folder, in parallel, into one table.
///
/// A drive is a track with the vehicle's log in the same folder: the only two there, whatever they are called; of several those
/// called alike, drive.gpx with drive.csv or drive-log.csv, drive-track.csv with drive-vehicle.csv; else those of the same time.
/// One CSV file may be both where the vehicle's speed has a column of its own. A zip archive with several logs in it is
/// looked into like a folder. The table has one row for each, with what `measure drive` says; a file that cannot be used gets
/// its row too, with the reason. No coordinate is in it.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser batch drives --out table.csv")]
pub struct Batch {
    /// The folder
    folder: PathBuf,
    /// The table, as CSV
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    over: Over,
    #[command(flatten)]
    logs: LogInputs,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Batch {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let reading = Reading::new(&self.logs)?;
        let (files, problems) = world::files_under(&self.folder)?;
        // The table of an earlier run is no drive; any other file of the folder is one that is read.
        let is_table = |file: &PathBuf| same_file(file, &self.out) && rows::begins_like_a_table(file);
        let files: Vec<PathBuf> = files.into_iter().filter(|file| !is_table(file)).collect();
        self.over.may(&self.out, &files)?;
        let (drives, _) = rows::drives(&files, &reading);
        let progress = progress(drives.len());
        let rows = rows::measured(&self.folder, &drives, &reading, Units::default(), &|| progress.inc(1));
        progress.finish_and_clear();
        let report = BatchReport::new(rows, Vec::new());
        let table = rows::csv(&report)?;
        self.over.write(&self.out, &files, &table)?;
        self.answer(&report, problems)
    }

    fn answer(&self, report: &BatchReport, problems: Vec<Problem>) -> Outcome {
        let out = self.out.display().to_string();
        let json = serde_json::json!({
            "drives": report.drives, "measured": report.measured, "with_problems": report.with_problems, "table": out,
            "problems": problems,
        });
        let mut document = Document::new("A folder of drives");
        document.sentence(format!("{} The table is in {out}.", report.says()));
        Answer::new(&json, document, problems)
    }
}

fn progress(drives: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{wide_bar} {pos} of {len} drives, {eta} to go");
    ProgressBar::new(drives as u64).with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}
