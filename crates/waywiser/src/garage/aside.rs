//! Files that are not read again: one that ended the program, or took too long or too much memory, is set aside until its owner
//! takes it out, changes it, or asks for another try.
//!
//! Files that are new are read once in a process of its own first. A thread cannot be ended, a process can; and as the same
//! files always give the same answer, what went well there goes well here.

use super::apart::fault_in;
use super::folder::Garage;
use super::kept::held;
use super::known::Truck;
use super::names::{Slug, TRUCK_FILE};
use crate::work::load::files_of;
use crate::world::{self, Stamp};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};
use truing::problem::{Problem, Problems};
use truing::record::Hash;

/// Which files of a truck are set aside, beside its vehicle file.
const FILE: &str = ".set-aside.toml";
const HEAD: &str =
    "# Files that are not read, each with the reason. Without its lines a file is read again.\n";

const ENDED: &str = "waywiser was ended while it was read";

/// A file that is not read, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Aside {
    /// Its name beside the vehicle file; the vehicle file itself where all evidence together is meant.
    pub name: String,
    /// Why.
    pub why: String,
    version: String,
}

impl Aside {
    fn problem(&self) -> Problem {
        let hint = match self.name == TRUCK_FILE {
            true => "Nothing of it was changed. Take the last piece of evidence out, or try again",
            false => "It was set aside and nothing of it was changed. Take it out, or try again",
        };
        let hint = format!("{hint}; both stand at Measure. If it can be done, report it with the file.");
        Problem::error(&self.name, "a file that can be read to its end", &self.why).hint(hint)
    }
}

impl Garage {
    /// The files of a truck that are set aside now: those its evidence still names, as they were then.
    pub fn aside(&self, truck: &Truck) -> Vec<Aside> {
        let folder = self.truck_folder(&truck.slug);
        if let Some(names) = world::left_behind(&folder) {
            self.set_aside(truck, &names, ENDED);
        }
        let named: BTreeSet<&str> = truck.vehicle.iter().flat_map(files_of).chain([TRUCK_FILE]).collect();
        let is_meant = |aside: &Aside| {
            named.contains(aside.name.as_str())
                && aside.version == version_of(&folder, truck.hash, &aside.name)
        };
        read(&folder).into_iter().filter(is_meant).collect()
    }

    /// Sets files of a truck aside, the vehicle file where none is named, and says so.
    pub(super) fn set_aside(&self, truck: &Truck, names: &[String], why: &str) -> Vec<Problem> {
        let folder = self.truck_folder(&truck.slug);
        let whole = [TRUCK_FILE.to_string()];
        let names = if names.is_empty() { &whole[..] } else { names };
        let one = |name: &String| {
            let (why, version) = (why.to_string(), version_of(&folder, truck.hash, name));
            Aside { name: name.clone(), why, version }
        };
        let new: Vec<Aside> = names.iter().map(one).collect();
        let mut all: Vec<Aside> =
            read(&folder).into_iter().filter(|one| !names.contains(&one.name)).collect();
        all.extend(new.iter().cloned());
        write(&folder, &all);
        new.iter().map(Aside::problem).collect()
    }

    /// Whether a file is set aside, named by evidence or not.
    pub(super) fn is_aside(&self, slug: &Slug, name: &str) -> bool {
        let folder = self.truck_folder(slug);
        let is_it = |one: &Aside| one.name == name && one.version == version_of(&folder, Hash::NONE, name);
        read(&folder).iter().any(is_it)
    }

    /// Reads what was set aside again the next time.
    pub fn try_again(&self, slug: &Slug) {
        world::remove(&self.truck_folder(slug).join(FILE));
        let slot = self.slot(slug);
        *held(&slot.known) = None;
    }

    /// What stands in the way of reading a truck's files: what is set aside, and what is after a first reading apart.
    pub(super) fn unread(
        &self,
        truck: &Truck,
        proven: &mut BTreeSet<(String, Stamp)>,
    ) -> Result<(), Problems> {
        let before = self.aside(truck);
        if !before.is_empty() {
            return Err(before.iter().map(Aside::problem).collect());
        }
        let folder = self.truck_folder(&truck.slug);
        let names = truck.vehicle.iter().flat_map(files_of);
        let now: BTreeSet<(String, Stamp)> =
            names.filter_map(|name| Some((name.to_string(), world::stamp(&folder.join(name))?))).collect();
        if let Some(apart) = self.apart.as_ref().filter(|_| !now.is_subset(proven)) {
            let noted = || world::noted(&folder).unwrap_or_default();
            let paths = || noted().iter().map(|name| folder.join(name)).collect::<Vec<_>>();
            let vehicle_file = folder.join(TRUCK_FILE);
            let words: [OsString; 5] = [
                "--note".into(),
                folder.clone().into(),
                "measure".into(),
                "vehicle".into(),
                vehicle_file.into(),
            ];
            let end = apart.run(&words, &paths);
            let names = world::left_behind(&folder).unwrap_or_default();
            let files: Vec<PathBuf> = names.iter().map(|name| folder.join(name)).collect();
            if let Some(why) = apart.says(end, &files) {
                return Err(self.set_aside(truck, &names, &why).into());
            }
        }
        *proven = now;
        Ok(())
    }

    /// Whether a command that reads these files comes to its end, tried apart.
    pub fn tried(&self, words: &[OsString], files: &[PathBuf]) -> Result<(), Problems> {
        let Some(apart) = &self.apart else { return Ok(()) };
        match apart.says(apart.run(words, &|| files.to_vec()), files) {
            None => Ok(()),
            Some(why) => {
                let problem = Problem { found: why, ..fault_in(files) };
                Err(self.shown(problem))
            }
        }
    }
}

/// Which version of a file it is: the vehicle file by its text, a log by size and time of change.
fn version_of(folder: &Path, hash: Hash, name: &str) -> String {
    match name == TRUCK_FILE {
        true => hash.to_string(),
        false => world::stamp(&folder.join(name)).map(|stamp| stamp.version()).unwrap_or_default(),
    }
}

fn read(folder: &Path) -> Vec<Aside> {
    let path = folder.join(FILE);
    if !path.is_file() {
        return Vec::new();
    }
    let text = world::read_text(&path).unwrap_or_default();
    let document: DocumentMut = text.parse().unwrap_or_default();
    let tables = document.get("file").and_then(Item::as_array_of_tables);
    let one = |table: &Table| {
        let text = |key: &str| table.get(key).and_then(Item::as_str).map(str::to_string);
        Some(Aside { name: text("name")?, why: text("why")?, version: text("version")? })
    };
    tables.iter().flat_map(|tables| tables.iter()).filter_map(one).collect()
}

/// One that cannot be written is told this time all the same.
fn write(folder: &Path, all: &[Aside]) {
    let mut tables = ArrayOfTables::new();
    for aside in all {
        let mut table = Table::new();
        table.insert("name", value(&aside.name));
        table.insert("why", value(&aside.why));
        table.insert("version", value(&aside.version));
        tables.push(table);
    }
    let mut document = DocumentMut::new();
    document.insert("file", Item::ArrayOfTables(tables));
    let _ = world::replace(&folder.join(FILE), format!("{HEAD}{document}").as_bytes());
}
