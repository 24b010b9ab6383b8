//! What each drive of many says: rows, and the table of them.

use super::look;
use super::pairs::{Drive, Nature, is_called_like_a_log, pairs};
use super::reading::Reading;
use crate::work::logs;
use crate::world;
use rayon::prelude::*;
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use truing::measure::drive::{Indicated, estimate};
use truing::problem::Problem;
use truing::record::spreadsheet_cell;
use truing::report::answers::batch::{BatchReport, BatchRow, DriveFigures};
use truing::report::answers::drive::DriveReport;
use truing::units::Units;

/// Columns of the table: name, and where it stands in a row.
const COLUMNS: [(&str, &str); 25] = [
    ("track", "/track"),
    ("vehicle_log", "/vehicle_log"),
    ("reading_ratio", "/drive/reading_ratio/value"),
    ("reading_ratio_standard_uncertainty", "/drive/reading_ratio/standard_uncertainty"),
    ("reading_ratio_low_95", "/drive/reading_ratio/low_95"),
    ("reading_ratio_high_95", "/drive/reading_ratio/high_95"),
    ("ratio_by_distance", "/drive/ratio_by_distance/value"),
    ("ratio_by_distance_standard_uncertainty", "/drive/ratio_by_distance/standard_uncertainty"),
    ("ratio_by_distance_low_95", "/drive/ratio_by_distance/low_95"),
    ("ratio_by_distance_high_95", "/drive/ratio_by_distance/high_95"),
    ("offset_m_per_s", "/drive/offset_m_per_s/value"),
    ("offset_m_per_s_standard_uncertainty", "/drive/offset_m_per_s/standard_uncertainty"),
    ("offset_m_per_s_low_95", "/drive/offset_m_per_s/low_95"),
    ("offset_m_per_s_high_95", "/drive/offset_m_per_s/high_95"),
    ("clock_lag_s", "/drive/clock_lag_s/value"),
    ("clock_lag_s_standard_uncertainty", "/drive/clock_lag_s/standard_uncertainty"),
    ("clock_lag_s_low_95", "/drive/clock_lag_s/low_95"),
    ("clock_lag_s_high_95", "/drive/clock_lag_s/high_95"),
    ("distance_m", "/drive/distance_m/value"),
    ("distance_m_standard_uncertainty", "/drive/distance_m/standard_uncertainty"),
    ("duration_s", "/drive/duration_s"),
    ("points_read", "/drive/points/read"),
    ("points_used", "/drive/points/used"),
    ("points_rejected", "/drive/points/rejected"),
    ("diagnosis", "/drive/diagnosis"),
];

/// The drives in these files, and the files that are not called like logs. An archive that holds several logs is looked
/// into like a folder.
pub fn drives(files: &[PathBuf], reading: &Reading) -> (Vec<Drive>, Vec<PathBuf>) {
    let inside = |file: &PathBuf| {
        let logs = world::logs_in_archive(file);
        if logs.is_empty() { vec![file.clone()] } else { logs }
    };
    let (logs, others): (Vec<PathBuf>, _) =
        files.iter().flat_map(inside).partition(|file| is_called_like_a_log(file));
    // What breaks the program on a first look breaks it again when its drive is measured, and is told there.
    let nature = |log: PathBuf| {
        let nature = unless_it_breaks(|| look::nature(&log, reading)).unwrap_or_default();
        (log, nature)
    };
    let logs: Vec<(PathBuf, Nature)> = logs.into_par_iter().map(nature).collect();
    (pairs(&logs, &|log, part| unless_it_breaks(|| look::span(log, part, reading)).flatten()), others)
}

/// What comes of some work; none where a fault of the program ended it.
fn unless_it_breaks<T>(work: impl FnOnce() -> T) -> Option<T> {
    // Nothing that was half changed is looked at again: the work owns what it changes.
    catch_unwind(AssertUnwindSafe(work)).ok()
}

/// What the drives say, measured in parallel; `done` is called after each. Only rows are kept: what a drive takes up is
/// given back before the next one, and where a fault of the program ends one, its row says so and the others stay. Files are named as they are below `folder`, and what is said in words is in `units`.
pub fn measured(
    folder: &Path,
    drives: &[Drive],
    reading: &Reading,
    units: Units,
    done: &(dyn Fn() + Sync),
) -> Vec<BatchRow> {
    let one = |drive: &Drive| {
        let row = unless_it_breaks(|| row(folder, drive, reading, units));
        done();
        row.unwrap_or_else(|| broken(folder, drive))
    };
    drives.par_iter().map(one).collect()
}

fn row(folder: &Path, drive: &Drive, reading: &Reading, units: Units) -> BatchRow {
    let mut problems: Vec<Problem> = drive.problem.iter().cloned().collect();
    let figures = match &drive.track {
        Some(track) => figures(track, drive.vehicle_log.as_deref(), reading, units, &mut problems),
        None => None,
    };
    row_of(folder, drive, figures, &problems)
}

fn row_of(folder: &Path, drive: &Drive, figures: Option<DriveFigures>, problems: &[Problem]) -> BatchRow {
    let below = |path: &PathBuf| path.strip_prefix(folder).unwrap_or(path).display().to_string();
    BatchRow {
        track: drive.track.as_ref().map(below),
        vehicle_log: drive.vehicle_log.as_ref().map(below),
        drive: figures,
        problems: problems.iter().map(Problem::to_string).collect(),
    }
}

/// The row of a drive that a fault of the program ended. What the fault says of itself is left out: it may quote the file, and
/// so a position.
fn broken(folder: &Path, drive: &Drive) -> BatchRow {
    let file = drive.track.as_ref().or(drive.vehicle_log.as_ref());
    let source = file.map(|file| file.display().to_string()).unwrap_or_default();
    let problem = Problem::error(source, "a drive that can be worked out", "a fault of waywiser itself")
        .hint("the other drives were measured; report it, with the files of this drive if you can");
    row_of(folder, drive, None, &[problem])
}

fn figures(
    track: &Path,
    vehicle_log: Option<&Path>,
    reading: &Reading,
    units: Units,
    problems: &mut Vec<Problem>,
) -> Option<DriveFigures> {
    let read = logs::track(track, reading.track.clone());
    let (track_read, more) = read.map_err(|more| problems.extend(more)).ok()?;
    problems.extend(more);
    let log = vehicle_log.map(|path| logs::vehicle_log(path, reading.vehicle.clone(), reading.can.clone()));
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
    Some(DriveFigures::new(&DriveReport::new(&estimate?, Vec::new(), units)))
}

/// The rows as CSV.
pub fn csv(report: &BatchReport) -> Result<Vec<u8>, Problem> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let names = COLUMNS.iter().map(|(name, _)| *name);
    writer.write_record(names.chain(["problems"])).map_err(|error| unwritable(&error))?;
    for row in &report.rows {
        let json = row.json();
        let mut cells = COLUMNS.map(|(_, place)| cell(json.pointer(place))).to_vec();
        cells.push(spreadsheet_cell(&row.problems.join(" | ")).into_owned());
        writer.write_record(&cells).map_err(|error| unwritable(&error))?;
    }
    writer.into_inner().map_err(|error| unwritable(&error))
}

/// Whether a file is a table of drives, as [`csv`] writes it.
pub fn begins_like_a_table(file: &Path) -> bool {
    let head = COLUMNS.map(|(name, _)| name).join(",");
    let mut bytes = Vec::new();
    let _ = world::feed_some(file, head.len(), |piece| bytes.extend_from_slice(piece));
    bytes == head.as_bytes()
}

fn unwritable(error: &dyn std::fmt::Display) -> Problem {
    Problem::error("the table", "rows that can be written", error.to_string())
}

fn cell(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => spreadsheet_cell(text).into_owned(),
        Some(other) => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::BREAKS;

    #[test]
    fn a_cell_of_text_is_no_formula_and_a_number_stays_one() {
        let check = |value: Value, expected: &str| assert_eq!(cell(Some(&value)), expected);
        check(serde_json::json!("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        check(serde_json::json!("-0.5"), "-0.5");
        check(serde_json::json!(-0.5), "-0.5");
        check(Value::Null, "");
    }

    #[test]
    fn a_fault_in_one_drive_is_its_row_and_the_others_stay() {
        let folder = Path::new("drives");
        let drive = |name: &str| Drive { track: Some(folder.join(name)), ..Drive::default() };
        let drives = [drive("a.gpx"), drive(&format!("{BREAKS}.gpx")), drive("c.gpx")];
        let count = std::sync::atomic::AtomicUsize::new(0);
        let done = || {
            count.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        };
        let rows = measured(folder, &drives, &Reading::default(), Units::default(), &done);
        let names: Vec<&str> = rows.iter().map(BatchRow::name).collect();
        assert_eq!(names, ["a.gpx", &format!("{BREAKS}.gpx"), "c.gpx"]);
        assert_eq!(count.into_inner(), 3, "each is counted");
        let told = &rows[1].problems[0];
        assert!(told.contains(BREAKS) && told.contains("a fault of waywiser itself"), "{told}");
        assert!(!told.contains("a fault for a test"), "what a fault says may quote the file: {told}");
        for row in [&rows[0], &rows[2]] {
            assert!(row.problems[0].contains("no such file"), "{row:?}");
        }
    }
}
