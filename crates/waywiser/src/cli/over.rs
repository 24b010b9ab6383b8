//! Writing what a command makes: never over a file that it read, and over one that is there only when that is said.

use crate::world;
use clap::Args;
use std::path::{Path, PathBuf};
use truing::problem::{Problem, Problems};

/// Whether a file that is there may be written over.
#[derive(Args, Clone, Copy, Debug, Default)]
pub struct Over {
    /// Write over a file that is there; one that the command reads is never written over
    #[arg(long)]
    force: bool,
}

impl Over {
    /// Refuses a place that must not be written to, before any work is done for it.
    pub fn may(self, out: &Path, read: &[PathBuf]) -> Result<(), Problems> {
        if out.is_dir() {
            let problem =
                Problem::error("--out", "the name of a file", format!("{}, a folder", out.display()));
            return Err(problem.hint("add the name of the file to it").into());
        }
        if let Some(same) = read.iter().find(|file| same_file(file, out)) {
            let found = format!("{}, which is read here", same.display());
            let problem = Problem::error("--out", "another file than those that are read", found);
            return Err(Problems::from(problem.hint("choose another name; nothing was written")));
        }
        if !self.force && out.is_file() { Err(taken(out).into()) } else { Ok(()) }
    }

    /// The same, and writes: whole or not at all.
    pub fn write(self, out: &Path, read: &[PathBuf], bytes: &[u8]) -> Result<(), Problems> {
        self.may(out, read)?;
        match world::write(out, bytes, self.force) {
            Ok(true) => Ok(()),
            // Another program made it meanwhile.
            Ok(false) => Err(taken(out).into()),
            Err(problem) => Err(problem.into()),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::run_these;
    use crate::work::sample;
    use crate::world::faults::{Fault, arm};
    use crate::world::{clear_away, files_in, folder_for_a_test, read_text};
    use std::process::ExitCode;

    fn sample() -> PathBuf {
        let folder = folder_for_a_test("over");
        for (name, bytes) in sample::FILES {
            world::write(&folder.join(name), bytes, true).unwrap();
        }
        folder
    }

    fn sheet(folder: &Path, out: &str, more: &[&str]) -> ExitCode {
        let path = |name: &str| folder.join(name).display().to_string();
        let (file, out, garage) = (path("truck.toml"), path(out), path("garage"));
        run_these(
            &[&["sheet", file.as_str(), "--out", out.as_str(), "--garage", garage.as_str()], more].concat(),
        )
    }

    #[test]
    fn a_write_that_fails_anywhere_leaves_the_old_file_and_no_other() {
        for fault in [Fault::Full, Fault::Unsynced, Fault::ReadOnly, Fault::Killed] {
            let folder = sample();
            let out = folder.join("sheet.html");
            world::write(&out, b"the old one", true).unwrap();
            let before = files_in(&folder);
            let counted = arm(&folder, fault, None);
            assert_eq!(sheet(&folder, "sheet.html", &["--force"]), ExitCode::SUCCESS);
            let points = counted.met().len();
            drop(counted);
            let new = read_text(&out).unwrap();
            assert!(points > 0 && new.contains("<html"), "{fault:?}");
            for at in 0..points {
                world::write(&out, b"the old one", true).unwrap();
                let armed = arm(&folder, fault, Some(at));
                let came = sheet(&folder, "sheet.html", &["--force"]);
                drop(armed);
                let now = read_text(&out).unwrap();
                assert!(now == "the old one" || now == new, "{fault:?} at {at}: {now:?}");
                assert!(
                    now == new || came != ExitCode::SUCCESS,
                    "{fault:?} at {at}: it was said to be written"
                );
                world::clear_left_behind(&folder);
                assert_eq!(files_in(&folder), before, "{fault:?} at {at}");
            }
            clear_away(&folder);
        }
    }

    #[test]
    fn a_new_name_is_given_to_one_of_two_programs() {
        let folder = folder_for_a_test("new-name");
        let out = folder.join("new.txt");
        let made: Vec<bool> = std::thread::scope(|scope| {
            let one = |number: usize| {
                let out = &out;
                scope.spawn(move || world::write(out, format!("of {number}").as_bytes(), false).unwrap())
            };
            let all: Vec<_> = (0..8).map(one).collect();
            all.into_iter().map(|one| one.join().unwrap()).collect()
        });
        assert_eq!(made.iter().filter(|made| **made).count(), 1, "{made:?}");
        assert_eq!(files_in(&folder), ["new.txt"]);
        clear_away(&folder);
    }
}
