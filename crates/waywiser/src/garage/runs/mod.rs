//! Drives with marks that are handed over record by record, each record exactly once: `runs/<slug>/<run>.jsonl` while they come in,
//! a file of their truck once they are whole, and then `<run>.done` says so.
//!
//! The garage decides. The same records again are looked at and passed over, others in their place are refused, and so is a
//! hole. Nothing is confirmed that has not reached the disk.

#[cfg(test)]
mod tests;

use super::folder::Garage;
use super::names::Slug;
use crate::world;
use std::path::{Path, PathBuf};
use truing::problem::{Problem, Problems};

/// Bytes of one drive at most: a day and a night at one fix a second.
const LARGEST_RUN_BYTES: u64 = 16 << 20;
/// Drives of a truck that are not whole, at most.
const MOST_OPEN: usize = 50;
/// Digits of a run's name that stand in the name of its file.
const DIGITS: usize = 12;

/// The name of a drive that is handed over: 32 hexadecimal digits, made by chance where it was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunId(String);

impl RunId {
    /// Reads one from an address.
    pub fn read(text: &str) -> Option<Self> {
        let is_digit = |c: char| c.is_ascii_digit() || ('a'..='f').contains(&c);
        (text.len() == 32 && text.chars().all(is_digit)).then(|| Self(text.to_string()))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Why records were not taken. Nothing was changed then.
#[derive(Debug)]
pub enum NotTaken {
    /// The record of this number is another one here.
    Different(usize),
    /// Records are missing before the first that was sent, or at the end; this is the next.
    Hole(usize),
    /// More is here than there is said to be, or more was sent to a drive that is whole; so many are here.
    Whole(usize),
    /// The drive belongs to another truck.
    OtherTruck,
    /// There is no such drive.
    Unknown,
    /// It would be larger than is taken.
    TooLarge,
    /// Too many drives are open.
    TooMany,
    /// The disk refused.
    Problems(Problems),
}

impl From<Problems> for NotTaken {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl From<Box<Problem>> for NotTaken {
    fn from(problem: Box<Problem>) -> Self {
        Self::Problems(problem.into())
    }
}

/// A drive that is whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ended {
    /// Its records.
    pub records: usize,
    /// The name of its file beside the vehicle file.
    pub file: String,
}

/// What is here of a drive.
struct Here {
    truck: Slug,
    /// Its file, which the owner may have deleted since it was whole.
    path: PathBuf,
    text: String,
    done: Option<Ended>,
}

impl Here {
    fn records(&self) -> usize {
        self.done.as_ref().map_or_else(|| self.text.lines().count(), |done| done.records)
    }
}

impl Garage {
    /// The number of the record that is awaited next; of a drive that nobody knows, the first.
    pub fn next_record(&self, run: &RunId) -> Result<usize, NotTaken> {
        self.taking(|| match self.run_here(run)? {
            Some(here) => {
                if here.done.is_none() {
                    // What a program that was killed had written may not have reached the disk.
                    world::grow(&here.path, here.text.len() as u64, b"")?;
                }
                Ok(here.records())
            }
            None => Ok(0),
        })
    }

    /// Takes records in, the first of which has the number `first`; the number that is awaited then.
    pub fn take_records(
        &self,
        run: &RunId,
        truck: &Slug,
        first: usize,
        records: &[String],
    ) -> Result<usize, NotTaken> {
        self.taking(|| {
            let here = match self.run_here(run)? {
                Some(here) if here.truck != *truck => return Err(NotTaken::OtherTruck),
                Some(here) => here,
                None => self.new_run(run, truck)?,
            };
            let known = here.records();
            if first > known {
                return Err(NotTaken::Hole(known));
            }
            let again = || here.text.lines().skip(first).zip(records);
            if let Some(at) = again().position(|(here, sent)| here != sent) {
                return Err(NotTaken::Different(first + at));
            }
            let new = records.get(known - first..).unwrap_or_default();
            if new.is_empty() && here.done.is_some() {
                return Ok(known);
            }
            if here.done.is_some() {
                return Err(NotTaken::Whole(known));
            }
            let more: String = new.iter().flat_map(|record| [record.as_str(), "\n"]).collect();
            let kept_bytes = here.text.len() as u64;
            if kept_bytes + more.len() as u64 > LARGEST_RUN_BYTES {
                return Err(NotTaken::TooLarge);
            }
            world::grow(&here.path, kept_bytes, more.as_bytes())?;
            Ok(known + new.len())
        })
    }

    /// Makes a drive of so many records a file of its truck.
    pub fn end_run(&self, run: &RunId, truck: &Slug, records: usize) -> Result<Ended, NotTaken> {
        self.taking(|| {
            let here = self.run_here(run)?.ok_or(NotTaken::Unknown)?;
            if here.truck != *truck {
                return Err(NotTaken::OtherTruck);
            }
            match here.records() {
                known if known < records => return Err(NotTaken::Hole(known)),
                known if known > records => return Err(NotTaken::Whole(known)),
                _ => {}
            }
            if let Some(done) = here.done {
                return Ok(done);
            }
            // What a program that was killed had written may not have reached the disk.
            world::grow(&here.path, here.text.len() as u64, b"")?;
            let ended = Ended { records, file: file_name(run, &here.text) };
            // A name that is taken is that of an earlier try: the digits in it are those of this drive.
            world::give_name(&here.path, &self.truck_folder(truck).join(&ended.file))?;
            world::replace(&self.done_file(truck, run), format!("{records} {}\n", ended.file).as_bytes())?;
            world::remove(&here.path);
            Ok(ended)
        })
    }

    /// The drives of a truck that are not whole, with their records.
    pub fn open_runs(&self, truck: &Slug) -> Vec<(RunId, usize)> {
        let run = |name: &String| RunId::read(name.strip_suffix(".jsonl")?);
        let names = world::files_in(&self.runs_folder(truck));
        let count = |run: RunId| Some((self.run_here(&run).ok()??.records(), run));
        names.iter().filter_map(run).filter_map(count).map(|(records, run)| (run, records)).collect()
    }

    /// Does something while no other program changes the garage's files; problems without the path of the garage.
    fn taking<T>(&self, act: impl FnOnce() -> Result<T, NotTaken>) -> Result<T, NotTaken> {
        self.alone(|| Ok(act()))?.map_err(|wrong| match wrong {
            NotTaken::Problems(problems) => NotTaken::Problems(self.shown(problems)),
            other => other,
        })
    }

    fn runs_folder(&self, truck: &Slug) -> PathBuf {
        self.folder().join("runs").join(truck.as_str())
    }

    fn run_file(&self, truck: &Slug, run: &RunId) -> PathBuf {
        self.runs_folder(truck).join(format!("{}.jsonl", run.as_str()))
    }

    fn done_file(&self, truck: &Slug, run: &RunId) -> PathBuf {
        self.runs_folder(truck).join(format!("{}.done", run.as_str()))
    }

    fn run_here(&self, run: &RunId) -> Result<Option<Here>, NotTaken> {
        let trucks = world::folders_in(&self.folder().join("runs"));
        let has = |truck: &Slug| {
            world::is_there(&self.done_file(truck, run)) || world::is_there(&self.run_file(truck, run))
        };
        let Some(truck) = trucks.iter().filter_map(|name| Slug::read(name)).find(has) else {
            return Ok(None);
        };
        let done = done(&world::whole_lines(&self.done_file(&truck, run), LARGEST_RUN_BYTES)?);
        let path = match &done {
            Some(done) => self.truck_folder(&truck).join(&done.file),
            None => self.run_file(&truck, run),
        };
        let text = world::whole_lines(&path, LARGEST_RUN_BYTES)?;
        Ok(Some(Here { truck, path, text, done }))
    }

    fn new_run(&self, run: &RunId, truck: &Slug) -> Result<Here, NotTaken> {
        let is_open = |name: &String| Path::new(name).extension().is_some_and(|ending| ending == "jsonl");
        if world::files_in(&self.runs_folder(truck)).iter().filter(|name| is_open(name)).count() >= MOST_OPEN
        {
            return Err(NotTaken::TooMany);
        }
        let path = self.run_file(truck, run);
        Ok(Here { truck: truck.clone(), path, text: String::new(), done: None })
    }
}

/// What the note of a whole drive says.
fn done(note: &str) -> Option<Ended> {
    let (records, file) = note.trim_end().split_once(' ')?;
    Some(Ended { records: records.parse().ok()?, file: file.to_string() })
}

/// The name of its file: the day of its first fix, and enough of the run's own name that no other has it.
fn file_name(run: &RunId, text: &str) -> String {
    let time = |line: &str| -> Option<String> {
        let record: serde_json::Value = serde_json::from_str(line).ok()?;
        let day = record.get("time")?.as_str()?.get(..10)?;
        day.parse::<jiff::civil::Date>().ok().map(|day| format!("{day}-"))
    };
    let day = text.lines().find_map(time).unwrap_or_default();
    format!("run-{day}{}.jsonl", run.as_str().get(..DIGITS).unwrap_or_default())
}
