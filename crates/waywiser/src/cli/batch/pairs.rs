//! Which files under a folder make one drive.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use truing::problem::Problem;

/// How the names of tracks end.
const TRACK_ENDINGS: [&str; 2] = ["gpx", "nmea"];
/// How the names of other logs end: CSV may be either.
const OTHER_ENDINGS: [&str; 5] = ["csv", "tsv", "log", "candump", "txt"];
/// How packed files end.
const PACKED_ENDINGS: [&str; 2] = ["gz", "zip"];
/// Last words of a name that say it is the track.
const TRACK_WORDS: [&str; 3] = ["track", "gps", "gnss"];
/// Last words of a name that say it is the vehicle's log.
const VEHICLE_WORDS: [&str; 5] = ["log", "vehicle", "obd", "can", "bus"];

/// One drive of the table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drive {
    /// Where and how fast.
    pub track: Option<PathBuf>,
    /// What the vehicle indicated; the same file where one holds both.
    pub vehicle_log: Option<PathBuf>,
    /// Why it is not complete.
    pub problem: Option<Problem>,
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Part {
    Track,
    Vehicle,
    Either,
}

/// The drives in these files, in the order of their names. Files that are called otherwise are no logs.
pub fn pairs(files: &[PathBuf]) -> Vec<Drive> {
    let mut groups: BTreeMap<(PathBuf, String), Vec<(Part, &PathBuf)>> = BTreeMap::new();
    for file in files {
        if let Some((stem, part)) = part_of(file) {
            let folder = file.parent().map(Path::to_path_buf).unwrap_or_default();
            groups.entry((folder, stem)).or_default().push((part, file));
        }
    }
    groups.into_values().map(|group| drive(&group)).collect()
}

/// Whether a file can be part of a drive by its name.
pub fn is_called_like_a_log(file: &Path) -> bool {
    part_of(file).is_some()
}

/// The name of the drive, and which part of it the file is by its name.
fn part_of(file: &Path) -> Option<(String, Part)> {
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
        Some((before, word)) if TRACK_WORDS.contains(&word) => (before, Part::Track),
        Some((before, word)) if VEHICLE_WORDS.contains(&word) => (before, Part::Vehicle),
        _ => (stem, Part::Either),
    };
    Some((stem.to_owned(), if is_track { Part::Track } else { said }))
}

fn drive(group: &[(Part, &PathBuf)]) -> Drive {
    let of = |wanted: Part| -> Vec<&PathBuf> {
        group.iter().filter(|(part, _)| *part == wanted).map(|(_, file)| *file).collect()
    };
    let of_both = |track: &PathBuf, vehicle_log: &PathBuf| Drive {
        track: Some(track.clone()),
        vehicle_log: Some(vehicle_log.clone()),
        problem: None,
    };
    match (of(Part::Track).as_slice(), of(Part::Vehicle).as_slice(), of(Part::Either).as_slice()) {
        ([track], [log], []) | ([track], [], [log]) | ([], [log], [track]) => of_both(track, log),
        ([], [], [both]) => of_both(both, both),
        ([track], [], []) => Drive {
            track: Some((*track).clone()),
            vehicle_log: None,
            problem: Some(lacks(track, "a vehicle log of the same name beside it")),
        },
        ([], [log], []) => Drive {
            track: None,
            vehicle_log: Some((*log).clone()),
            problem: Some(lacks(log, "a track of the same name beside it")),
        },
        _ => {
            let names: Vec<String> = group
                .iter()
                .filter_map(|(_, file)| Some(file.file_name()?.to_string_lossy().into_owned()))
                .collect();
            let first = group.first().map(|(_, file)| (*file).clone());
            let source = first.as_ref().map(|file| file.display().to_string()).unwrap_or_default();
            let problem =
                Problem::error(source, "one track and one vehicle log of that name", names.join(", "));
            let hint = "call them NAME-track and NAME-vehicle, or move the others into another folder";
            Drive { track: None, vehicle_log: first, problem: Some(problem.hint(hint)) }
        }
    }
}

fn lacks(file: &Path, expected: &str) -> Problem {
    Problem::note(file.display().to_string(), expected, "none")
        .hint("call it alike, for example drive.gpx and drive-log.csv")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Drives as `track + log`, a question mark for what is missing.
    fn check(files: &[&str], expected: &[&str]) {
        let files: Vec<PathBuf> = files.iter().map(PathBuf::from).collect();
        let shown =
            |path: &Option<PathBuf>| path.as_ref().map_or("?".to_owned(), |path| path.display().to_string());
        let found: Vec<String> = pairs(&files)
            .iter()
            .map(|drive| format!("{} + {}", shown(&drive.track), shown(&drive.vehicle_log)))
            .collect();
        assert_eq!(found, expected, "{files:?}");
    }

    #[test]
    fn files_of_one_drive() {
        check(&["a.gpx", "a.csv"], &["a.gpx + a.csv"]);
        check(&["in/A.GPX", "in/a-log.csv.gz", "a.csv"], &["a.csv + a.csv", "in/A.GPX + in/a-log.csv.gz"]);
        check(&["a-track.csv", "a-vehicle.csv"], &["a-track.csv + a-vehicle.csv"]);
        check(&["a.csv", "a_obd.csv", "b.nmea", "b.candump"], &["a.csv + a_obd.csv", "b.nmea + b.candump"]);
        check(&["both.csv", "SOURCES.md", "a.LICENSE", ".a.gpx"], &["both.csv + both.csv"]);
        check(&["a.gpx", "b-log.csv"], &["a.gpx + ?", "? + b-log.csv"]);
        check(&["a-log.csv", "a.csv", "a.gpx"], &["? + a-log.csv"]);
        check(&[], &[]);
    }
}
