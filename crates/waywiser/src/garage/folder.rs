//! The folder of a garage, and what is laid into it.

use super::apart::Apart;
use super::kept::{Kept, PATIENCE, Reader};
use super::kind::Kind;
use super::known::Slot;
use super::names::{Slug, TRUCK_FILE, kept_name, numbered, without_folder};
use crate::ledger::Ledger;
use crate::world;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use truing::problem::{Problem, Problems};

/// How many names are tried for a truck or a file before the owner is asked for another.
const MOST_TRIES: usize = 1000;

/// A garage, with what was worked out so far.
pub struct Garage {
    pub(super) folder: PathBuf,
    pub(super) slots: Mutex<BTreeMap<Slug, Arc<Slot>>>,
    pub(super) reader: Mutex<Reader>,
    pub(super) record_names: Mutex<Kept>,
    pub(super) kinds: Mutex<BTreeMap<PathBuf, (world::Stamp, Kind)>>,
    pub(super) apart: Option<Apart>,
}

impl Garage {
    /// The garage in a folder, which need not be there yet.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
            slots: Mutex::default(),
            reader: Mutex::default(),
            record_names: Mutex::default(),
            kinds: Mutex::default(),
            apart: None,
        }
    }

    /// The same with new files read in a process of their own first.
    #[must_use]
    pub fn reading_apart(self, apart: Option<Apart>) -> Self {
        Self { apart, ..self }
    }

    /// Its folder. For commands, not for pages.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The trucks, in the order of their names on disk.
    pub fn slugs(&self) -> Vec<Slug> {
        let named = world::folders_in(&self.folder.join("trucks"));
        let slugs = named.iter().filter_map(|name| Slug::read(name));
        slugs.filter(|slug| self.truck_file(slug).is_file()).collect()
    }

    /// Clears away what was left behind by a program that was killed while files came in.
    pub fn clear_left_behind(&self) {
        world::clear_left_behind(&self.folder);
        let trucks = self.folder.join("trucks");
        world::folders_in(&trucks).iter().for_each(|name| world::clear_left_behind(&trucks.join(name)));
    }

    /// The folder of a truck.
    pub fn truck_folder(&self, slug: &Slug) -> PathBuf {
        self.folder.join("trucks").join(slug.as_str())
    }

    /// The vehicle file of a truck.
    pub(super) fn truck_file(&self, slug: &Slug) -> PathBuf {
        self.truck_folder(slug).join(TRUCK_FILE)
    }

    /// Adds a truck: its vehicle file and the files it names.
    pub fn add(&self, name: &str, text: &str, files: &[(&str, &[u8])]) -> Result<Slug, Problems> {
        // Trucks that are here already go before the new one in the choice of a name in the record.
        self.settle_record_names()?;
        let slug = self.free_slug(name)?;
        let folder = self.truck_folder(&slug);
        let kept = |file: &str, bytes: &[u8]| world::replace(&folder.join(file), bytes);
        // The vehicle file comes last: a folder without it is no truck.
        for (file, bytes) in files {
            kept(&kept_name(file), bytes).map_err(|problem| self.shown(problem))?;
        }
        kept(TRUCK_FILE, text.as_bytes()).map_err(|problem| self.shown(problem))?;
        // The truck is there by now. A name that could not be given is given when something is to be recorded.
        let _ = self.settle_record_names();
        Ok(slug)
    }

    fn free_slug(&self, name: &str) -> Result<Slug, Problems> {
        for number in 1..=MOST_TRIES {
            let slug = Slug::new(name, number);
            match world::make_folder(&self.truck_folder(&slug)) {
                Ok(true) => return Ok(slug),
                Ok(false) => {}
                Err(problem) => return Err(self.shown(problem)),
            }
        }
        Err(Problem::error("the garage", "a name that is free", "very many trucks of that name").into())
    }

    /// Gives an arrived file its place beside a vehicle file, under a name of its own, and tells the name.
    pub fn keep_file(&self, slug: &Slug, name: &str, arrival: world::Arrival) -> Result<String, Problems> {
        let folder = self.truck_folder(slug);
        self.alone(|| {
            let free = (1..=MOST_TRIES).map(|number| numbered(&kept_name(name), number));
            // A link that leads nowhere has its name too.
            let mut free = free.filter(|name| !world::is_there(&folder.join(name)));
            let name = free.next().ok_or_else(|| Problems::from(taken()))?;
            arrival.become_file(&folder.join(&name))?;
            Ok(name)
        })
    }

    /// A file on its way to a truck.
    pub fn arrival(&self, slug: &Slug) -> Result<world::Arrival, Problems> {
        let beside = self.truck_file(slug);
        world::Arrival::beside(&beside).map_err(|problem| self.shown(problem))
    }

    /// The record, made where there is none.
    pub fn ledger(&self) -> Result<Ledger, Problems> {
        Ledger::open(&self.folder, PATIENCE).map_err(|problems| self.shown(problems))
    }

    /// Whether a record was begun here. One that was seen and is gone counts: that is to be told, not passed over.
    pub fn has_record(&self) -> bool {
        !crate::ledger::is_none(&self.folder.join(crate::ledger::FILE))
            || crate::ledger::seen(&self.folder).is_some()
    }

    /// Problems as they may be shown: without the path of the garage.
    pub fn shown(&self, problems: impl Into<Problems>) -> Problems {
        let folder = self.folder.display().to_string();
        let bare = |text: String| match folder.is_empty() {
            true => text,
            false => without_folder(&text, &folder),
        };
        let one = |problem: Problem| Problem {
            source: problem.source.map_text(bare),
            expected: bare(problem.expected),
            found: bare(problem.found),
            hint: problem.hint.map_text(bare),
            ..problem
        };
        problems.into().into_iter().map(one).collect()
    }

    /// Does something while no other program changes the garage's files.
    pub(super) fn alone<T>(&self, act: impl FnOnce() -> Result<T, Problems>) -> Result<T, Problems> {
        let done = world::locked(&self.folder.join(".lock"), "changing files of the garage", act);
        done.unwrap_or_else(|problem| Err(problem.into())).map_err(|problems| self.shown(problems))
    }
}

fn taken() -> Problem {
    Problem::error("the file", "a name that is free", "very many files of that name")
        .hint("Give it another name.")
}
