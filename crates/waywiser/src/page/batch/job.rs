//! Measuring many drives, beside the server or while the sender waits.

use super::kept::Job;
use crate::garage::fault_in;
use crate::page::app::{App, Shared, unlike_any};
use crate::page::error::PageError;
use crate::page::upload::{Place, Received};
use crate::work::batch::pairs::Drive;
use crate::work::batch::reading::Reading;
use crate::work::batch::rows;
use crate::work::drive::LogInputs;
use crate::world::{self, Scratch};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};
use truing::report::answers::batch::BatchReport;
use truing::units::Units;

/// What is to be measured: the folder that is gone afterwards, its drives, and how they are read.
struct Sent {
    scratch: Arc<Scratch>,
    drives: Vec<Drive>,
    left_out: Vec<PathBuf>,
    reading: Reading,
    units: Units,
}

impl Sent {
    fn new(app: &App, place: &Place, received: &Received) -> Result<Self, PageError> {
        let Place::Apart(scratch) = place else { return Err(PageError::unexpected()) };
        let folder = scratch.path();
        let logs: LogInputs = received.asked(folder)?;
        let reading = Reading::new(&logs).map_err(|problems| app.garage.shown(problems))?;
        let (files, _) = world::files_under(folder).map_err(|problem| app.garage.shown(problem))?;
        let files: Vec<PathBuf> = files.into_iter().filter(|file| Some(file) != logs.dbc.as_ref()).collect();
        let (drives, left_out) = rows::drives(&files, &reading);
        Ok(Self { scratch: scratch.clone(), drives, left_out, reading, units: app.garage.settings().units })
    }

    /// The folder is of no use to anybody: files are named as they were sent.
    fn bare(&self, text: &str) -> String {
        text.replace(&format!("{}{}", self.scratch.path().display(), std::path::MAIN_SEPARATOR), "")
    }

    fn measured(&self, done: &(dyn Fn() + Sync)) -> BatchReport {
        let folder = self.scratch.path();
        let mut rows = rows::measured(folder, &self.drives, &self.reading, self.units, done);
        for row in &mut rows {
            row.problems = row.problems.iter().map(|text| self.bare(text)).collect();
        }
        let left_out = self.left_out.iter().map(|file| not_a_log(folder, file)).collect();
        BatchReport::new(rows, left_out)
    }
}

fn not_a_log(folder: &Path, file: &Path) -> String {
    let name = file.strip_prefix(folder).unwrap_or(file).display();
    format!(
        "{name}: left out, as it is not called like a track or a log (gpx, nmea, kml, tcx, fit, igc, srt, csv, json, log, candump, asc, trc, txt and the like; gz or zip)"
    )
}

/// Begins to measure; tells the job's place in addresses.
pub fn begin(app: &Shared, place: &Place, received: Received) -> Result<String, PageError> {
    let turn = app.batches.turn()?;
    let sent = Sent::new(app, place, &received)?;
    let id = unlike_any()?;
    let job = Job {
        id: id.clone(),
        drives: sent.drives.len(),
        done: AtomicUsize::new(0),
        outcome: OnceLock::new(),
    };
    let job = Arc::new(job);
    app.batches.keep(&job);
    tokio::task::spawn_blocking(move || {
        let count = || {
            job.done.fetch_add(1, Ordering::Relaxed);
        };
        // Faults of single drives are rows; whatever else breaks is told, too, or the page would wait for ever.
        let report = world::caught(|| sent.measured(&count)).unwrap_or_else(|files| {
            BatchReport::new(Vec::new(), vec![sent.bare(&fault_in(&files).to_string())])
        });
        let _ = job.outcome.set(report);
        drop(turn);
    });
    Ok(id)
}

/// Measures while the sender waits.
pub fn measured_now(app: &App, place: &Place, received: &Received) -> Result<BatchReport, PageError> {
    let turn = app.batches.turn()?;
    let report = Sent::new(app, place, received)?.measured(&|| ());
    drop(turn);
    Ok(report)
}
