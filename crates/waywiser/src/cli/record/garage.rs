//! Where the ledger is.

use crate::ledger::Ledger;
use clap::Args;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::Problem;

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
    pub fn folder(&self) -> Result<PathBuf, Vec<Problem>> {
        let variable = |name: &str| std::env::var_os(name).map(PathBuf::from);
        self.garage.clone().or_else(|| default_folder(&variable)).ok_or_else(|| {
            let problem = Problem::error("--garage", "a folder for the record", "none, and no home folder");
            vec![problem.hint("Say where the record is with --garage DIR.")]
        })
    }

    fn patience(&self) -> Duration {
        Duration::from_secs(self.wait)
    }

    /// The record, made where there is none.
    pub fn open(&self) -> Result<Ledger, Vec<Problem>> {
        Ledger::open(&self.folder()?, self.patience())
    }

    /// The record where there is one.
    pub fn open_existing(&self) -> Result<Ledger, Vec<Problem>> {
        Ledger::open_existing(&self.folder()?, self.patience())
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
