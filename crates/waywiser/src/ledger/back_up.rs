//! A copy of the whole record, made while others may write, and checked before it gets its name.

use super::check::Finding;
use super::disk::{may, synced};
use super::read;
use super::store::{FILE, Ledger, no_folder};
use crate::world::faults::Operation;
use crate::world::{self, Scratch};
use std::path::Path;
use std::time::Duration;
use truing::problem::{Problem, Problems};
use truing::record::{Entry, Expected};

impl Ledger {
    /// Copies the whole record into a new file, whatever others write meanwhile: checked before it gets its name, and never
    /// over a file that is there. What fails leaves nothing.
    pub fn back_up(&self, to: &Path) -> Result<(), Problems> {
        if to.exists() {
            return Err(name_taken(to).into());
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        // It has no name of its own before it is whole; what a killed program left of one is cleared away.
        world::clear_left_behind(folder);
        let apart = Scratch::inside(folder)?;
        let copy = apart.path().join(FILE);
        let before = read::head(&self.connection).map_err(|fault| fault.problems(&self.path))?;
        let copied = may(Operation::Create, &copy)
            .and_then(|()| Ok(self.connection.execute("VACUUM INTO ?1", [copy.display().to_string()])?));
        copied.map_err(|fault| fault.problems(&self.path))?;
        self.compare(&copy, before.as_ref())?;
        synced(&copy).map_err(|error| no_folder(to, &error))?;
        match world::give_name(&copy, to)? {
            true => Ok(()),
            false => Err(name_taken(to).into()),
        }
    }

    /// Refuses a copy that is not whole, or that lacks what the record held before it was copied.
    fn compare(&self, copy: &Path, before: Option<&Entry>) -> Result<(), Problems> {
        let folder = copy.parent().unwrap_or(Path::new(""));
        let found = Ledger::open_to_read(folder, Duration::ZERO)?;
        let checked = found.check(&Expected::default());
        if checked.finding != Finding::Whole {
            let problem = Problem::error("the copy", "a record that is in order", "one that is not")
                .hint("Nothing was written. See what `waywiser record check` says of the record itself.");
            return Err(checked.problems.into_iter().chain([problem]).collect());
        }
        let last = before.map(|last| read::entry(&found.connection, last.sequence)).transpose();
        if last.map_err(|fault| fault.problems(copy))?.flatten().as_ref() == before {
            return Ok(());
        }
        let problem = Problem::error("the copy", "every entry of the record", "fewer or others");
        Err(problem.hint("Nothing was written. Try again, on another disk if it happens again.").into())
    }
}

fn name_taken(to: &Path) -> Problem {
    Problem::error(to.display().to_string(), "a name that is free", "a file")
        .hint("Choose another name: a backup is never written over.")
}
