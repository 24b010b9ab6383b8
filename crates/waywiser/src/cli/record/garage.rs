//! Where the ledger is.

use super::super::answer;
use crate::garage::Garage as Trucks;
use crate::ledger::Ledger;
use crate::world;
use clap::Args;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::nearest::nearest;
use truing::problem::{Field, Problem, Problems, Severity, Wording};
use truing::record::{Difference, Entry};

/// The folder of the record.
#[derive(Args, Default)]
pub struct Garage {
    /// The folder that holds the record; the platform's data folder when left out
    #[arg(long, value_name = "DIR")]
    garage: Option<PathBuf>,
    /// How long another program that is writing is waited for, in seconds
    #[arg(long, value_name = "SECONDS", default_value_t = 10)]
    wait: u64,
}

impl Garage {
    /// The folder.
    pub fn folder(&self) -> Result<PathBuf, Problems> {
        let variable = |name: &str| std::env::var_os(name).map(PathBuf::from);
        self.garage.clone().or_else(|| default_folder(&variable)).ok_or_else(|| {
            let problem = Problem::error("--garage", "a folder for the record", "none, and no home folder");
            Problems::from(problem.hint("Say where the record is with --garage DIR."))
        })
    }

    /// How long another program that is writing is waited for.
    pub fn patience(&self) -> Duration {
        Duration::from_secs(self.wait)
    }

    /// The folder, for its owner alone from now on; where that was otherwise it is told.
    pub fn private_folder(&self) -> Result<PathBuf, Problems> {
        let folder = self.folder()?;
        world::crash::keep_in(&folder);
        let _ = answer::print_problems(&world::narrow(&folder));
        Ok(folder)
    }

    /// The record, made where there is none.
    pub fn open(&self) -> Result<Ledger, Problems> {
        Ledger::open(&self.private_folder()?, self.patience())
    }

    /// The record where there is one, to be read and left as it is.
    pub fn open_to_read(&self) -> Result<Ledger, Problems> {
        Ledger::open_to_read(&self.private_folder()?, self.patience())
    }

    /// The name under which the record keeps a vehicle. A truck of the garage that is called something else by now is found
    /// under its new name too.
    pub fn recorded(&self, ledger: &Ledger, called: &str) -> Result<String, Problems> {
        let known = ledger.vehicles()?;
        if known.iter().any(|name| name == called) {
            return Ok(called.to_string());
        }
        let mut names = Trucks::at(self.folder()?).recorded_of(called);
        names.dedup();
        match &names[..] {
            [] => Ok(called.to_string()),
            [only] => Ok(only.clone()),
            several => {
                let found = format!("`{called}`, as several are called");
                let problem = Problem::error("--vehicle", "a vehicle by the name in the record", found);
                Err(problem.hint(format!("Say which one: {}.", several.join(", "))).into())
            }
        }
    }

    /// The same of a vehicle that an entry is added to. A name that the record does not hold is asked about, unless it is
    /// said to be new; the first vehicle of a record can be taken for no other.
    pub fn recorded_or_new(&self, ledger: &Ledger, called: &str, is_new: bool) -> Result<String, Problems> {
        let name = self.recorded(ledger, called)?;
        let known = ledger.vehicles()?;
        if is_new || known.is_empty() || known.contains(&name) {
            return Ok(name);
        }
        let unknown = self.unknown(ledger, called)?;
        let hint = match nearest(called, known.iter().map(String::as_str)) {
            Some(meant) => Wording::from(format!("Did you mean \"{meant}\"?")),
            None => unknown.hint.clone(),
        };
        let hint = hint.text(" If it is a vehicle that is not in the record yet, say so with ");
        Err(unknown.hint(hint.field(Field::NewVehicle).text(".")).into())
    }

    /// Where the record's last write to a vehicle and its file in this garage do not say the same, as warnings.
    pub fn differences(&self, recorded: &str) -> Result<Vec<Problem>, Problems> {
        let trucks = Trucks::at(self.folder()?);
        let Some(truck) = trucks.truck_recorded_as(recorded) else { return Ok(Vec::new()) };
        let warning =
            |difference: &Difference| Problem { severity: Severity::Warning, ..difference.problem() };
        Ok(trucks.differences(&truck)?.iter().map(warning).collect())
    }

    /// All entries of a vehicle of the record.
    pub fn entries_of(&self, ledger: &Ledger, called: &str) -> Result<Vec<Entry>, Problems> {
        let entries = ledger.of_vehicle(&self.recorded(ledger, called)?)?;
        if entries.is_empty() { Err(self.unknown(ledger, called)?.into()) } else { Ok(entries) }
    }

    /// The problem of a vehicle that is not in the record, with the names that are, and what they are called today.
    pub fn unknown(&self, ledger: &Ledger, called: &str) -> Result<Problem, Problems> {
        let trucks = Trucks::at(self.folder()?);
        let today = |name: String| match trucks.called(&name) {
            Some(today) if today != name => format!("{name} (called {today} now)"),
            _ => name,
        };
        let known: Vec<String> = ledger.vehicles()?.into_iter().map(today).collect();
        let problem = Problem::error("--vehicle", "a vehicle of the record", format!("`{called}`"));
        Ok(problem.hint(match &known[..] {
            [] => "The record is empty.".to_string(),
            known => format!("In the record: {}.", known.join(", ")),
        }))
    }
}

/// `XDG_DATA_HOME` or `~/.local/share` (XDG Base Directory Specification, which says to ignore a relative path);
/// `APPDATA` on Windows.
fn default_folder(variable: &dyn Fn(&str) -> Option<PathBuf>) -> Option<PathBuf> {
    let absolute = |name: &str| variable(name).filter(|path| path.is_absolute());
    let data = match cfg!(windows) {
        true => absolute("APPDATA"),
        false => absolute("XDG_DATA_HOME")
            .or_else(|| absolute("HOME").map(|home| home.join(Path::new(".local/share")))),
    };
    data.map(|folder| folder.join("waywiser"))
}

#[cfg(test)]
mod tests {
    #[cfg(unix)]
    use super::*;

    #[cfg(unix)]
    #[test]
    fn the_data_folder_of_the_platform() {
        let check = |data: &str, home: &str, expected: Option<&str>| {
            let variable = |name: &str| {
                let value = if name == "HOME" { home } else { data };
                (!value.is_empty()).then(|| PathBuf::from(value))
            };
            assert_eq!(default_folder(&variable), expected.map(PathBuf::from));
        };
        check("/data", "/people/one", Some("/data/waywiser"));
        check("", "/people/one", Some("/people/one/.local/share/waywiser"));
        check("not/absolute", "/people/one", Some("/people/one/.local/share/waywiser"));
        check("", "", None);
    }
}
