//! `waywiser batch`.

pub(crate) mod pairs;

use super::drive_inputs::{CanInputs, columns};
use super::{Answer, Outcome, load};
use crate::world;
use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use pairs::{Drive, pairs};
use rayon::prelude::*;
use serde_json::Value;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use truing::logs::can::CanOptions;
use truing::logs::csv::CsvOptions;
use truing::measure::drive::{Indicated, estimate};
use truing::problem::Problem;
use truing::report::document::Document;
use truing::report::drive::DriveReport;
use truing::units::Units;

/// Every drive under a folder, in parallel, into one table.
///
/// A drive is a track with the vehicle's log beside it in the same folder: drive.gpx with drive.csv or drive-log.csv,
/// drive-track.csv with drive-vehicle.csv; or one CSV file with both. The table has one row for each, with what `measure
/// drive` says; a file that cannot be used gets its row too, with the reason. No coordinate is in it.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser batch drives --out table.csv")]
pub struct Batch {
    /// The folder
    folder: PathBuf,
    /// The table, as CSV
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Which columns of CSV tracks to take, with units: "time=t s, speed=v m/s"
    #[arg(long, value_name = "COLUMNS")]
    track_columns: Option<String>,
    /// Which columns of CSV vehicle logs to take, with units
    #[arg(long, value_name = "COLUMNS")]
    vehicle_columns: Option<String>,
    #[command(flatten)]
    can: CanInputs,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

/// The column that says how far off the vehicle reads.
const RATIO: &str = "reading_ratio";
/// Columns of the table: name, and where it stands in the answer of `measure drive`.
const COLUMNS: [(&str, &str); 23] = [
    (RATIO, "/reading_ratio/value"),
    ("reading_ratio_standard_uncertainty", "/reading_ratio/standard_uncertainty"),
    ("reading_ratio_low_95", "/reading_ratio/low_95"),
    ("reading_ratio_high_95", "/reading_ratio/high_95"),
    ("ratio_by_distance", "/ratio_by_distance/value"),
    ("ratio_by_distance_standard_uncertainty", "/ratio_by_distance/standard_uncertainty"),
    ("ratio_by_distance_low_95", "/ratio_by_distance/low_95"),
    ("ratio_by_distance_high_95", "/ratio_by_distance/high_95"),
    ("offset_m_per_s", "/offset_m_per_s/value"),
    ("offset_m_per_s_standard_uncertainty", "/offset_m_per_s/standard_uncertainty"),
    ("offset_m_per_s_low_95", "/offset_m_per_s/low_95"),
    ("offset_m_per_s_high_95", "/offset_m_per_s/high_95"),
    ("clock_lag_s", "/clock_lag_s/value"),
    ("clock_lag_s_standard_uncertainty", "/clock_lag_s/standard_uncertainty"),
    ("clock_lag_s_low_95", "/clock_lag_s/low_95"),
    ("clock_lag_s_high_95", "/clock_lag_s/high_95"),
    ("distance_m", "/distance_m/value"),
    ("distance_m_standard_uncertainty", "/distance_m/standard_uncertainty"),
    ("duration_s", "/duration_s"),
    ("points_read", "/points/read"),
    ("points_used", "/points/used"),
    ("points_rejected", "/points/rejected"),
    ("diagnosis", "/diagnosis"),
];

/// How the files are to be read.
struct Options {
    track: CsvOptions,
    vehicle: CsvOptions,
    can: CanOptions,
}

/// What is in one row: words only, so that a folder of any size takes up no more than its table.
struct Row {
    cells: [String; COLUMNS.len()],
    problems: Vec<String>,
}

impl Batch {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let options = Options {
            track: columns(self.track_columns.as_deref())?,
            vehicle: columns(self.vehicle_columns.as_deref())?,
            can: self.can.options()?,
        };
        let (files, problems) = world::files_under(&self.folder).map_err(|problem| vec![*problem])?;
        // The table of an earlier run is no drive.
        let files: Vec<PathBuf> = files.into_iter().filter(|file| !same_file(file, &self.out)).collect();
        let drives = pairs(&files);
        let progress = progress(drives.len());
        // Only rows are kept: what a drive takes up is given back before the next one.
        let rows: Vec<Row> = drives
            .par_iter()
            .map(|drive| {
                let row = row(drive, &options);
                progress.inc(1);
                row
            })
            .collect();
        progress.finish_and_clear();
        let table = table(&self.folder, &drives, &rows).map_err(|problem| vec![problem])?;
        world::write(&self.out, &table).map_err(|problem| vec![*problem])?;
        self.answer(&rows, problems)
    }

    fn answer(&self, rows: &[Row], problems: Vec<Problem>) -> Outcome {
        let measured = rows.iter().filter(|row| row.has_ratio()).count();
        let with_problems = rows.iter().filter(|row| !row.problems.is_empty()).count();
        let out = self.out.display().to_string();
        let json = serde_json::json!({
            "drives": rows.len(), "measured": measured, "with_problems": with_problems, "table": out, "problems": problems,
        });
        let mut document = Document::new("A folder of drives");
        document.sentence(format!(
            "{} drives were found; {measured} of them say how far off the vehicle reads, {with_problems} came with problems. The table is in {out}.",
            rows.len()
        ));
        Ok(Answer { json, document, problems })
    }
}

fn same_file(one: &Path, other: &Path) -> bool {
    one == other
        || one.canonicalize().ok().zip(other.canonicalize().ok()).is_some_and(|(one, other)| one == other)
}

fn progress(drives: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{wide_bar} {pos} of {len} drives, {eta} to go");
    ProgressBar::new(drives as u64).with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

impl Row {
    fn has_ratio(&self) -> bool {
        COLUMNS.iter().zip(&self.cells).any(|((name, _), cell)| *name == RATIO && !cell.is_empty())
    }
}

fn row(drive: &Drive, options: &Options) -> Row {
    let mut problems: Vec<Problem> = drive.problem.iter().cloned().collect();
    let answer = match &drive.track {
        Some(track) => measure(track, drive.vehicle_log.as_deref(), options, &mut problems),
        None => None,
    };
    let cells = COLUMNS.map(|(_, place)| cell(answer.as_ref().and_then(|answer| answer.pointer(place))));
    Row { cells, problems: problems.iter().map(Problem::to_string).collect() }
}

fn measure(
    track: &Path,
    vehicle_log: Option<&Path>,
    options: &Options,
    problems: &mut Vec<Problem>,
) -> Option<Value> {
    let read = load::track(track, options.track.clone());
    let (track_read, more) = read.map_err(|more| problems.extend(more)).ok()?;
    problems.extend(more);
    let log = vehicle_log.map(|path| load::vehicle_log(path, options.vehicle.clone(), options.can.clone()));
    let indicated = match log {
        Some(Ok((log, more))) => {
            problems.extend(more);
            Indicated::Log(log)
        }
        Some(Err(more)) => {
            problems.extend(more);
            Indicated::Nothing
        }
        None => Indicated::Nothing,
    };
    let (estimate, more) = estimate(&track.display().to_string(), &track_read, &indicated);
    problems.extend(more);
    let report = DriveReport::new(&estimate?, Vec::new(), Units::default());
    serde_json::to_value(&report).ok()
}

fn table(folder: &Path, drives: &[Drive], rows: &[Row]) -> Result<Vec<u8>, Problem> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let names = COLUMNS.iter().map(|(name, _)| *name);
    let failed =
        |error: csv::Error| Problem::error("the table", "rows that can be written", error.to_string());
    writer
        .write_record(["track", "vehicle_log"].into_iter().chain(names).chain(["problems"]))
        .map_err(failed)?;
    let shown = |path: &Option<PathBuf>| {
        path.as_ref()
            .map(|path| path.strip_prefix(folder).unwrap_or(path).display().to_string())
            .unwrap_or_default()
    };
    for (drive, row) in drives.iter().zip(rows) {
        let mut cells = vec![shown(&drive.track), shown(&drive.vehicle_log)];
        cells.extend_from_slice(&row.cells);
        cells.push(row.problems.join(" | "));
        writer.write_record(&cells).map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| Problem::error("the table", "rows that can be written", error.to_string()))
}

fn cell(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    }
}
