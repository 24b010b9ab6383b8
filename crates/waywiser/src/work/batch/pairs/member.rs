//! A file of a folder with drives in it, and the drives that one or two of them make.

use std::path::{Path, PathBuf};
use truing::problem::Problem;

/// What a file can be by what stands in it, whatever it is called.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Nature {
    /// A track only.
    Track,
    /// A log of what the vehicle showed only.
    Vehicle,
    /// A track, and in a column of its own what the vehicle showed.
    Whole,
    /// Speeds in one column, which may be either.
    Either,
    /// Nothing that can be read.
    #[default]
    Unknown,
}

/// Which side of a drive a file is.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Side {
    /// Where and how fast.
    Track,
    /// What the vehicle indicated.
    Vehicle,
    /// Neither name nor content tells.
    Either,
}

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

/// A file that is called like a log.
pub struct Member<'a> {
    /// Where it is.
    pub path: &'a Path,
    /// The name of the drive, as far as the file's name tells.
    pub stem: String,
    /// Which side it is.
    pub part: Side,
    /// What stands in it.
    pub nature: Nature,
}

/// A drive of two files.
pub fn of_both(track: &Member<'_>, log: &Member<'_>) -> Drive {
    Drive { track: Some(track.path.to_path_buf()), vehicle_log: Some(log.path.to_path_buf()), problem: None }
}

/// A file to which no other belongs.
pub fn by_itself(member: &Member<'_>) -> Drive {
    let file = Some(member.path.to_path_buf());
    match (member.nature, member.part) {
        (Nature::Whole, _) => of_both(member, member),
        // What is wrong with it is told when it is read.
        (Nature::Unknown, Side::Either) => Drive { track: file, ..Drive::default() },
        (_, Side::Track) => {
            Drive { track: file, vehicle_log: None, problem: Some(member.lacks("a vehicle log")) }
        }
        (_, Side::Vehicle | Side::Either) => {
            Drive { track: None, vehicle_log: file, problem: Some(member.lacks("a track")) }
        }
    }
}

impl Member<'_> {
    /// Its name in its folder.
    pub fn name(&self) -> String {
        self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }

    fn lacks(&self, other: &str) -> Problem {
        let expected = format!("{other} of the same drive beside it");
        Problem::note(self.path.display().to_string(), expected, "none").hint(
            "call the two alike, for example drive.gpx and drive-log.csv, or give the drive a folder of its own",
        )
    }
}
