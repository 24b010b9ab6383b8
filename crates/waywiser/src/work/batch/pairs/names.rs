//! What the name of a file tells of the drive it belongs to.

use super::member::Side;
use std::path::Path;

/// How the names of tracks end.
const TRACK_ENDINGS: [&str; 10] = ["gpx", "nmea", "kml", "kmz", "tcx", "fit", "igc", "geojson", "srt", "vtt"];
/// How the names of other logs end: CSV may be either.
const OTHER_ENDINGS: [&str; 9] = ["csv", "tsv", "log", "candump", "txt", "json", "jsonl", "asc", "trc"];
/// How packed files end.
const PACKED_ENDINGS: [&str; 2] = ["gz", "zip"];
/// Last words of a name that say it is the track.
const TRACK_WORDS: [&str; 3] = ["track", "gps", "gnss"];
/// Last words of a name that say it is the vehicle's log.
const VEHICLE_WORDS: [&str; 5] = ["log", "vehicle", "obd", "can", "bus"];

/// Whether a file can be part of a drive by its name.
pub fn is_called_like_a_log(file: &Path) -> bool {
    part_of(file).is_some()
}

/// The name of the drive, and which part of it the file is by its name.
pub(super) fn part_of(file: &Path) -> Option<(String, Side)> {
    let name = file.file_name()?.to_str()?.to_lowercase();
    if name.starts_with('.') {
        return None;
    }
    let (stem, ending) = name.rsplit_once('.')?;
    let (stem, ending) = if PACKED_ENDINGS.contains(&ending) {
        stem.rsplit_once('.').unwrap_or((stem, "csv"))
    } else {
        (stem, ending)
    };
    let is_track = TRACK_ENDINGS.contains(&ending);
    if !is_track && !OTHER_ENDINGS.contains(&ending) {
        return None;
    }
    let last = stem.rsplit_once(['-', '_', ' ', '.']);
    let (stem, said) = match last {
        Some((before, word)) if TRACK_WORDS.contains(&word) => (before, Side::Track),
        Some((before, word)) if VEHICLE_WORDS.contains(&word) => (before, Side::Vehicle),
        _ => (stem, Side::Either),
    };
    Some((stem.to_owned(), if is_track { Side::Track } else { said }))
}
