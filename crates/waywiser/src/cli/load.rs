//! From the paths on the command line to a vehicle and its drives.

use super::pulses;
use crate::world;
use std::path::{Path, PathBuf};
use truing::describe::evidence::{Evidence, EvidenceKind, Shown};
use truing::describe::vehicle::Vehicle;
use truing::logs::can::CanOptions;
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Track, VehicleLog};
use truing::measure::drive::{DriveEstimate, Indicated, estimate};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::{Problem, any_error};

/// A vehicle file as read.
pub struct Loaded {
    /// Its name on the command line.
    pub source: String,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// What is to be looked at in it.
    pub problems: Vec<Problem>,
    folder: PathBuf,
}

/// Reads a vehicle file; its errors end the command.
pub fn vehicle(path: &Path) -> Result<Loaded, Vec<Problem>> {
    let text = world::read_text(path).map_err(|problem| vec![*problem])?;
    vehicle_of(&path.display().to_string(), &text, path.parent().unwrap_or(Path::new("")))
}

/// Reads the text of a vehicle file whose drives and recordings are in `folder`.
pub fn vehicle_of(source: &str, text: &str, folder: &Path) -> Result<Loaded, Vec<Problem>> {
    let (vehicle, problems) = Vehicle::read(source, text);
    match vehicle {
        Some(vehicle) if !any_error(&problems) => {
            let (source, folder) = (source.to_string(), folder.to_path_buf());
            Ok(Loaded { source, vehicle, problems, folder })
        }
        _ => Err(problems),
    }
}

/// Reads a track; what cannot be read ends the command.
pub fn track(path: &Path, options: CsvOptions) -> Result<(Track, Vec<Problem>), Vec<Problem>> {
    let mut reader = TrackReader::new(path.display().to_string(), options);
    let damage = world::feed(path, |bytes| reader.feed(bytes)).map_err(|problem| vec![*problem])?;
    let (track, mut problems) = reader.finish();
    problems.extend(damage);
    if any_error(&problems) && track.fixes.is_empty() { Err(problems) } else { Ok((track, problems)) }
}

/// Reads a vehicle's own log; what cannot be read ends the command.
pub fn vehicle_log(
    path: &Path,
    options: CsvOptions,
    can_options: CanOptions,
) -> Result<(VehicleLog, Vec<Problem>), Vec<Problem>> {
    let reader = VehicleLogReader::new(path.display().to_string(), options);
    let mut reader = reader.with_can_options(can_options);
    let damage = world::feed(path, |bytes| reader.feed(bytes)).map_err(|problem| vec![*problem])?;
    let (log, mut problems) = reader.finish();
    problems.extend(damage);
    if any_error(&problems) && log.samples.is_empty() { Err(problems) } else { Ok((log, problems)) }
}

impl Loaded {
    /// Reads the drives among the evidence and fuses all of it. A drive whose files cannot be read ends the command: an
    /// answer without it would be another answer.
    pub fn fused(&mut self) -> Result<VehicleEstimate, Vec<Problem>> {
        let counted = pulses::count_recordings(&mut self.vehicle, &self.folder)?;
        self.problems.extend(counted);
        let mut drives = Vec::new();
        for (index, evidence) in self.vehicle.evidence.iter().enumerate() {
            if let EvidenceKind::Drive { track, shown } = &evidence.kind {
                let (drive, problems) = self.drive(evidence, track, shown)?;
                self.problems.extend(problems);
                drives.extend(drive.map(|drive| (index, drive)));
            }
        }
        let (estimate, problems) = fuse(&self.source, &self.vehicle, drives);
        self.problems.extend(problems);
        Ok(estimate)
    }

    fn drive(
        &self,
        evidence: &Evidence,
        track_name: &str,
        shown: &Shown,
    ) -> Result<(Option<DriveEstimate>, Vec<Problem>), Vec<Problem>> {
        let at_line = |problems: Vec<Problem>| -> Vec<Problem> {
            let line = evidence.line;
            problems
                .into_iter()
                .map(|p| if p.line.is_none() { p.in_part(format!("[[evidence]] at line {line}")) } else { p })
                .collect()
        };
        let (track, mut problems) =
            track(&self.folder.join(track_name), CsvOptions::default()).map_err(at_line)?;
        let indicated = match (&shown.vehicle_log, &shown.odometer) {
            (Some(name), _) => {
                let (log, more) =
                    vehicle_log(&self.folder.join(name), CsvOptions::default(), CanOptions::default())
                        .map_err(at_line)?;
                problems.extend(more);
                Indicated::Log(log)
            }
            (None, Some((start, end))) => {
                let coarser = if start.resolution.m() > end.resolution.m() { start } else { end };
                Indicated::Odometer { start: start.value, end: end.value, resolution: coarser.resolution }
            }
            (None, None) => Indicated::Holds(shown.holds.iter().map(|hold| hold.value).collect()),
        };
        let (drive, more) = estimate(track_name, &track, &indicated);
        problems.extend(more);
        Ok((drive, problems))
    }
}
