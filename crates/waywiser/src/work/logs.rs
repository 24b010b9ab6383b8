//! One file each: tracks, vehicle logs and the signals that DBC files describe, as the readers of `truing` give them.

use crate::world;
use std::path::Path;
use truing::logs::can::{CanOptions, CanSignal, dbc};
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Track, VehicleLog};
use truing::problem::{Problem, Problems, any_error};

/// Reads a track; what cannot be read ends the command.
pub fn track(path: &Path, options: CsvOptions) -> Result<(Track, Vec<Problem>), Problems> {
    let mut reader = TrackReader::new(path.display().to_string(), options);
    let damage = world::feed(path, |bytes| reader.feed(bytes))?;
    let (track, mut problems) = reader.finish();
    problems.extend(damage);
    if any_error(&problems) && track.fixes.is_empty() { Err(problems.into()) } else { Ok((track, problems)) }
}

/// Reads a vehicle's own log; what cannot be read ends the command.
pub fn vehicle_log(
    path: &Path,
    options: CsvOptions,
    can_options: CanOptions,
) -> Result<(VehicleLog, Vec<Problem>), Problems> {
    let reader = VehicleLogReader::new(path.display().to_string(), options);
    let mut reader = reader.with_can_options(can_options);
    let damage = world::feed(path, |bytes| reader.feed(bytes))?;
    let (log, mut problems) = reader.finish();
    problems.extend(damage);
    if any_error(&problems) && log.samples.is_empty() { Err(problems.into()) } else { Ok((log, problems)) }
}

/// Keeps a chunk of a DBC file, up to one byte more than any such file has: the reader then says that it is too large.
fn keep(bytes: &mut Vec<u8>, chunk: &[u8]) {
    let room = (dbc::LARGEST_BYTES + 1).saturating_sub(bytes.len());
    bytes.extend_from_slice(&chunk[..chunk.len().min(room)]);
}

/// The signal of this name in a DBC file, or its only speed.
pub fn signal_in(path: &Path, name: Option<&str>) -> Result<CanSignal, Problems> {
    let mut bytes = Vec::new();
    let damage = world::feed(path, |chunk| keep(&mut bytes, chunk))?;
    match damage {
        Some(damage) => Err(damage.into()),
        None => dbc::signal(&path.display().to_string(), &bytes, name).map_err(Problems::from),
    }
}
