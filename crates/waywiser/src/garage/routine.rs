//! An owner's own routine for the module, one step a line, kept beside the vehicle file.

use super::folder::Garage;
use super::names::{ROUTINE_FILE, Slug};
use crate::world;
use truing::problem::{Problem, Problems, any_error};
use truing::record::Hash;
use truing::set::Procedure;

/// Why a routine was not kept.
pub enum NotKept {
    /// What is wrong with it.
    Problems(Problems),
    /// It was changed since the form was loaded; this is how it stands now.
    Stale(String),
}

impl From<Problems> for NotKept {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl From<Problem> for NotKept {
    fn from(problem: Problem) -> Self {
        Self::Problems(problem.into())
    }
}

impl From<Box<Problem>> for NotKept {
    fn from(problem: Box<Problem>) -> Self {
        Self::Problems(problem.into())
    }
}

impl Garage {
    /// The text of a truck's own routine; empty where there is none.
    pub fn routine(&self, slug: &Slug) -> Result<String, Problems> {
        let path = self.truck_folder(slug).join(ROUTINE_FILE);
        match world::stamp(&path) {
            None => Ok(String::new()),
            Some(_) => world::read_text(&path).map_err(|problem| self.shown(problem)),
        }
    }

    /// The routine as it is read, with what is to be looked at in it; nothing where there is none.
    pub fn procedure(&self, slug: &Slug) -> Result<(Option<Procedure>, Vec<Problem>), Problems> {
        let text = self.routine(slug)?;
        if text.is_empty() {
            return Ok((None, Vec::new()));
        }
        let (procedure, problems) = Procedure::read(ROUTINE_FILE, &text);
        if any_error(&problems) { Err(problems.into()) } else { Ok((Some(procedure), problems)) }
    }

    /// Keeps another routine in the place of the version with hash `from`; an empty one takes it away.
    pub fn keep_routine(&self, slug: &Slug, from: Hash, text: &str) -> Result<(), NotKept> {
        let is_none = text.trim().is_empty();
        if !is_none {
            let (_, problems) = Procedure::read(ROUTINE_FILE, text);
            if any_error(&problems) {
                return Err(Problems::from(problems).into());
            }
        }
        let path = self.truck_folder(slug).join(ROUTINE_FILE);
        self.alone(|| {
            let now = self.routine(slug)?;
            if Hash::new(now.as_bytes()) != from {
                return Ok(Err(NotKept::Stale(now)));
            }
            if is_none {
                world::remove(&path);
                return Ok(Ok(()));
            }
            world::replace(&path, text.as_bytes()).map(Ok).map_err(Problems::from)
        })?
    }
}
