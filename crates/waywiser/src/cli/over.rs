//! Writing what a command makes: never over a file that it read, and over one that is there only when that is said.

use crate::world;
use clap::Args;
use std::path::{Path, PathBuf};
use truing::problem::Problem;

/// Whether a file that is there may be written over.
#[derive(Args, Clone, Copy, Debug, Default)]
pub struct Over {
    /// Write over a file that is there; one that the command reads is never written over
    #[arg(long)]
    force: bool,
}

impl Over {
    /// Refuses a place that must not be written to, before any work is done for it.
    pub fn may(self, out: &Path, read: &[PathBuf]) -> Result<(), Vec<Problem>> {
        if out.is_dir() {
            let problem =
                Problem::error("--out", "the name of a file", format!("{}, a folder", out.display()));
            return Err(vec![problem.hint("add the name of the file to it")]);
        }
        if let Some(same) = read.iter().find(|file| same_file(file, out)) {
            let found = format!("{}, which is read here", same.display());
            let problem = Problem::error("--out", "another file than those that are read", found);
            return Err(vec![problem.hint("choose another name; nothing was written")]);
        }
        if !self.force && out.is_file() { Err(vec![taken(out)]) } else { Ok(()) }
    }

    /// The same, and writes: whole or not at all.
    pub fn write(self, out: &Path, read: &[PathBuf], bytes: &[u8]) -> Result<(), Vec<Problem>> {
        self.may(out, read)?;
        match world::write(out, bytes, self.force) {
            Ok(true) => Ok(()),
            // Another program made it meanwhile.
            Ok(false) => Err(vec![taken(out)]),
            Err(problem) => Err(vec![*problem]),
        }
    }
}

fn taken(out: &Path) -> Problem {
    Problem::error("--out", "a name that is free", format!("{}, which is there", out.display()))
        .hint("choose another name, or write over it with --force; nothing was written")
}

/// Whether two paths lead to one file.
pub fn same_file(one: &Path, other: &Path) -> bool {
    one == other
        || one.canonicalize().ok().zip(other.canonicalize().ok()).is_some_and(|(one, other)| one == other)
}
