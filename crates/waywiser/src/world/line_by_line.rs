//! A file that is written line by line while something happens: each line goes to the system at once, so that it outlives this
//! program, and to the disk every few seconds, so that a power cut costs no more than those.

use super::faults::{self, Operation};
use super::steady_s;
use std::path::{Path, PathBuf};
use truing::problem::{Field, Problem, Wording};

/// A power cut costs at most so many seconds.
const REACHES_DISK_EACH_S: f64 = 3.0;

/// A file that grows.
pub struct LineByLine {
    file: std::fs::File,
    path: PathBuf,
    reached_disk_s: f64,
}

impl LineByLine {
    /// A new file, for its owner alone; one that is there is left.
    pub fn new(path: &Path) -> Result<Self, Box<Problem>> {
        let mut options = std::fs::OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let opened = faults::before(Operation::Create, path).and_then(|()| options.open(path));
        let file = opened.map_err(|error| {
            let problem = Problem::error(
                path.display().to_string(),
                "a new file that can be written to",
                error.to_string(),
            );
            Box::new(problem.hint(Wording::from("choose another name with ").field(Field::Out)))
        })?;
        Ok(Self { file, path: path.to_path_buf(), reached_disk_s: steady_s() })
    }

    /// One line more.
    pub fn line(&mut self, line: &str) -> Result<(), Box<Problem>> {
        let written = faults::write(&mut self.file, &self.path, format!("{line}\n").as_bytes());
        written.map_err(|error| self.told(&error))?;
        if steady_s() - self.reached_disk_s >= REACHES_DISK_EACH_S {
            self.reach_disk()?;
        }
        Ok(())
    }

    /// Waits until all of it has reached the disk.
    pub fn reach_disk(&mut self) -> Result<(), Box<Problem>> {
        let synced = faults::before(Operation::Sync, &self.path).and_then(|()| self.file.sync_data());
        self.reached_disk_s = steady_s();
        synced.map_err(|error| self.told(&error))
    }

    fn told(&self, error: &std::io::Error) -> Box<Problem> {
        let place = self.path.display().to_string();
        let problem = Problem::error(place, "room for one line more", error.to_string());
        Box::new(problem.hint("What was recorded before is in the file. See whether the disk is full."))
    }
}
