//! `waywiser apart`: another command in a process that may be ended at any time, for the page.

use super::answer::FAULT;
use crate::world;
use clap::{Args, Parser};
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

/// Another command, ended with the program that began it.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser apart measure vehicle truck.toml")]
pub struct Apart {
    /// The folder in which the file that is being read is noted
    #[arg(long, value_name = "DIR")]
    note: Option<PathBuf>,
    /// The command
    #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
    words: Vec<OsString>,
}

impl Apart {
    /// Runs it by what answers such a command. An answer that there is something wrong with the input is one too: only
    /// faults and ends are told.
    pub fn run<C: Parser>(&self, answered: impl FnOnce(C) -> ExitCode) -> ExitCode {
        world::end_with_parent();
        let words = std::iter::once(OsString::from("waywiser")).chain(self.words.iter().cloned());
        let Ok(command) = C::try_parse_from(words) else { return ExitCode::from(2) };
        let work = || answered(command);
        let done = match &self.note {
            Some(folder) => world::caught_or_noted(folder, work),
            None => world::caught(work),
        };
        done.map_or(ExitCode::from(FAULT), |_| ExitCode::SUCCESS)
    }
}
