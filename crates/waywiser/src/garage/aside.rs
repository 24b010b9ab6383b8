//! Files that are not read again: one that ended the program, or took too long or too much memory, is set aside until its owner
//! takes it out, changes it, or asks for another try.
//!
//! Files that are new are read once in a process of its own first. A thread cannot be ended, a process can; and as the same
//! files always give the same answer, what went well there goes well here.

use super::known::Truck;
use super::{Garage, Slug, TRUCK_FILE, held};
use crate::work::load::files_of;
use crate::world::{self, End, Stamp};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};
use truing::problem::{Problem, Problems};
use truing::record::Hash;

/// Which files of a truck are set aside, beside its vehicle file.
const FILE: &str = ".set-aside.toml";
const HEAD: &str =
    "# Files that are not read, each with the reason. Without its lines a file is read again.\n";

/// How files are read for the first time in a process of its own.
pub struct Apart {
    /// The program, and its words before those that say what to read.
    pub program: (PathBuf, Vec<OsString>),
    /// How long one file may take, and how much longer for each megabyte of it.
    pub time: (Duration, Duration),
    /// How much memory all of it may take at once (bytes).
    pub memory_bytes: u64,
}

impl Apart {
    /// This program. A day's drive of some megabytes takes a second or two; on a machine a tenth as fast a minute is patient
    /// still (judgement).
    pub fn usual() -> Option<Self> {
        let program = (world::own_program()?, vec!["apart".into()]);
        Some(Self { program, time: (Duration::from_secs(60), Duration::from_secs(1)), memory_bytes: 1 << 30 })
    }

    /// Does what these words say; for how long each file may take, `working_on` tells which it is at.
    fn run(&self, words: &[OsString], working_on: &dyn Fn() -> Vec<PathBuf>) -> End {
        let mut command = Command::new(&self.program.0);
        command.args(&self.program.1).args(words);
        let (mut files, mut since) = (Vec::new(), world::now());
        world::run_apart(&mut command, self.memory_bytes, &mut || {
            let now = working_on();
            if now != files {
                (files, since) = (now, world::now());
            }
            world::now().duration_since(since).unsigned_abs() > self.time_for(&files)
        })
    }

    fn time_for(&self, files: &[PathBuf]) -> Duration {
        let bytes: u64 = files.iter().filter_map(|file| world::stamp(file)).map(|stamp| stamp.bytes()).sum();
        let megabytes = u32::try_from(bytes >> 20).unwrap_or(u32::MAX);
        self.time.0.saturating_add(self.time.1.saturating_mul(megabytes))
    }

    fn says(&self, end: End, files: &[PathBuf]) -> Option<String> {
        match end {
            End::Whole | End::NotBegun => None,
            End::Fault => Some(FAULT.to_string()),
            End::TooLong => Some(format!("no end within {} s", self.time_for(files).as_secs())),
            End::TooLarge => Some(format!("more than {} MB of memory taken up", self.memory_bytes >> 20)),
        }
    }
}

/// What ended the reading, where it was the program itself.
pub const FAULT: &str = "a fault of waywiser itself";
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

/// A file that ended the program where nothing sets it aside.
pub fn fault_in(files: &[PathBuf]) -> Problem {
    let names: Vec<String> = files.iter().map(|file| file.display().to_string()).collect();
    let source = if names.is_empty() { "what was asked".to_string() } else { names.join(" and ") };
    Problem::error(source, "a file that can be read to its end", FAULT)
        .hint("Take it out. Nothing else is lost. If it can be done, report it with the file.")
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
