//! One file each: tracks, vehicle logs and the signals that DBC files describe, as the readers of `truing` give them.

use crate::world;
use std::path::Path;
use truing::logs::can::{CanOptions, CanSignal, dbc};
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Track, VehicleLog};
use truing::problem::{Problem, any_error};

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

/// Keeps a chunk of a DBC file, up to one byte more than any such file has: the reader then says that it is too large.
fn keep(bytes: &mut Vec<u8>, chunk: &[u8]) {
    let room = (dbc::LARGEST_BYTES + 1).saturating_sub(bytes.len());
    bytes.extend_from_slice(&chunk[..chunk.len().min(room)]);
}

/// The signal of this name in a DBC file, or its only speed.
pub fn signal_in(path: &Path, name: Option<&str>) -> Result<CanSignal, Vec<Problem>> {
    let mut bytes = Vec::new();
    let damage = world::feed(path, |chunk| keep(&mut bytes, chunk)).map_err(|problem| vec![*problem])?;
    match damage {
        Some(damage) => Err(vec![damage]),
        None => dbc::signal(&path.display().to_string(), &bytes, name).map_err(|problem| vec![problem]),
    }
}
