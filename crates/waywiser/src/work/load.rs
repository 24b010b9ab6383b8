//! From the path of a vehicle file to the vehicle and its drives.

use super::{logs, pulses};
use crate::world;
use std::path::{Path, PathBuf};
use truing::describe::evidence::{Evidence, EvidenceKind, LogReading, PulseSource, PulseSpan, Shown, Signal};
use truing::describe::vehicle::Vehicle;
use truing::logs::can::{CanOptions, CanSignal};
use truing::measure::drive::{DriveConditions, DriveEstimate, Indicated, estimate_under};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::{Problem, Problems, any_error};

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
pub fn vehicle(path: &Path) -> Result<Loaded, Problems> {
    let text = world::read_text(path)?;
    vehicle_of(&path.display().to_string(), &text, path.parent().unwrap_or(Path::new("")))
}

/// Reads the text of a vehicle file whose drives and recordings are in `folder`.
pub fn vehicle_of(source: &str, text: &str, folder: &Path) -> Result<Loaded, Problems> {
    let (vehicle, problems) = Vehicle::read(source, text);
    match vehicle {
        Some(vehicle) if !any_error(&problems) => {
            let (source, folder) = (source.to_string(), folder.to_path_buf());
            Ok(Loaded { source, vehicle, problems, folder })
        }
        _ => Err(problems.into()),
    }
}

impl Loaded {
    /// Reads the drives among the evidence and fuses all of it. A drive whose files cannot be read ends the command: an
    /// answer without it would be another answer.
    pub fn fused(&mut self) -> Result<VehicleEstimate, Problems> {
        let counted = pulses::count_recordings(&mut self.vehicle, &self.folder)?;
        self.problems.extend(counted);
        let mut drives = Vec::new();
        for (index, evidence) in self.vehicle.evidence.iter().enumerate() {
            if let EvidenceKind::Drive { track, shown, reading } = &evidence.kind {
                let conditions = DriveConditions::new(&self.vehicle, evidence);
                let read = self.drive(&conditions, track, shown, reading);
                let (drive, problems) =
                    read.map_err(|problems| at_evidence(evidence.line, problems.into()))?;
                self.problems.extend(problems.into_iter().map(Problem::by_keys));
                drives.extend(drive.map(|drive| (index, drive)));
            }
        }
        // From here on it is all of them together.
        world::works_on(&[PathBuf::from(&self.source)]);
        let (estimate, problems) = fuse(&self.source, &self.vehicle, drives);
        self.problems.extend(problems);
        Ok(estimate)
    }

    fn drive(
        &self,
        conditions: &DriveConditions,
        track_name: &str,
        shown: &Shown,
        reading: &LogReading,
    ) -> Result<(Option<DriveEstimate>, Vec<Problem>), Problems> {
        let (track, mut problems) =
            logs::track(&self.folder.join(track_name), reading.track_columns.clone())?;
        let indicated = match (&shown.vehicle_log, &shown.odometer) {
            (None, None) if let Some(marked) = shown.marked => Indicated::Marks(marked.into()),
            (Some(name), _) => {
                let can = CanOptions { signal: self.signal(reading)? };
                let (log, more) =
                    logs::vehicle_log(&self.folder.join(name), reading.vehicle_columns.clone(), can)?;
                problems.extend(more);
                Indicated::Log(log)
            }
            (None, Some(readings)) => Indicated::Odometer(*readings),
            (None, None) => Indicated::Holds(shown.holds.iter().map(|hold| hold.value).collect()),
        };
        let named = [Some(track_name), shown.vehicle_log.as_deref()].into_iter().flatten();
        world::works_on(&named.map(|name| self.folder.join(name)).collect::<Vec<_>>());
        let (drive, more) = estimate_under(conditions, track_name, &track, &indicated);
        problems.extend(more);
        Ok((drive, problems))
    }

    fn signal(&self, reading: &LogReading) -> Result<Option<CanSignal>, Problems> {
        match &reading.signal {
            None => Ok(None),
            Some(Signal::Described(signal)) => Ok(Some(signal.clone())),
            Some(Signal::InDbc { file, name }) => {
                logs::signal_in(&self.folder.join(file), name.as_deref()).map(Some)
            }
        }
    }
}

/// What is wrong with a file that evidence names, with the line where it does.
fn at_evidence(line: usize, problems: Vec<Problem>) -> Vec<Problem> {
    let named = |problem: Problem| match problem.line {
        None => problem.in_part(format!("[[evidence]] at line {line}")),
        Some(_) => problem,
    };
    problems.into_iter().map(named).map(Problem::by_keys).collect()
}

/// The file of the track beside a recording, where it has one.
fn track_of(span: &PulseSpan) -> Option<&str> {
    match span {
        PulseSpan::Track(file) => Some(file),
        _ => None,
    }
}

/// The files that the evidence of a vehicle names.
pub fn files_of(vehicle: &Vehicle) -> impl Iterator<Item = &str> {
    vehicle.evidence.iter().flat_map(files_in)
}

/// The files that a piece of evidence names.
pub fn files_in(evidence: &Evidence) -> impl Iterator<Item = &str> {
    let named = match &evidence.kind {
        EvidenceKind::Drive { track, shown, reading } => {
            [Some(track.as_str()), shown.vehicle_log.as_deref(), reading.dbc()]
        }
        EvidenceKind::Pulses { source: PulseSource::File { name, .. }, span, .. } => {
            [Some(name.as_str()), track_of(span), None]
        }
        _ => [None, None, None],
    };
    named.into_iter().flatten()
}
