//! `waywiser record`: the ledger.

mod add;
pub(crate) mod carry;
mod distance;
pub(super) mod garage;
mod key;
mod papers;
mod repair;
pub(crate) mod show;
mod take;

use super::answer::{self, Outcome};
use clap::Subcommand;
use std::process::ExitCode;

/// What was done when, in a chain that shows any change.
#[derive(Subcommand)]
#[command(
    after_help = "Example:\n  waywiser record add note --vehicle \"The grey half-ton\" --text \"quiet road\"\n  waywiser record check"
)]
pub enum Record {
    /// Add one entry
    Add(Box<add::Add>),
    /// The state of the vehicles and what was done to them
    Show(show::Show),
    /// Whether the record is whole
    Check(show::Check),
    /// The key with which papers are signed: its public part, or a new one
    Key(key::Key),
    /// Whether an export holds what a signed paper says
    Verify(key::Verify),
    /// The whole record on standard output, as JSON Lines or CSV
    Export(carry::Export),
    /// Take in an exported record that goes on from this one
    Import(carry::Import),
    /// How far a vehicle truly went
    Distance(distance::Distance),
    /// Take a vehicle file into the record
    Take(take::Take),
    /// A vehicle file that was taken in, on standard output
    Give(take::Give),
    /// Repair a difference between the record's last write and a vehicle file
    Repair(repair::Repair),
    /// Facts for the door frame and for a sale
    Papers(papers::Papers),
    /// A copy of the record, named with the day
    Backup(carry::Backup),
    /// Set a damaged record aside by copy and print what can be read
    Rescue(carry::Rescue),
}

impl Record {
    /// Runs it. Export and rescue print entries themselves.
    pub fn run(&self) -> ExitCode {
        let (outcome, json): (Outcome, bool) = match self {
            Self::Add(it) => (it.run(), it.json),
            Self::Show(it) => (it.run(), it.json),
            Self::Check(it) => return it.run(),
            Self::Key(it) => (it.run(), it.json),
            Self::Verify(it) => return it.run(),
            Self::Export(it) => return it.run(),
            Self::Import(it) => (it.run(), it.json),
            Self::Distance(it) => (it.run(), it.json),
            Self::Take(it) => (it.run(), it.json),
            Self::Give(it) => return it.run(),
            Self::Repair(it) => (it.run(), it.json),
            Self::Papers(it) => (it.run(), it.json),
            Self::Backup(it) => (it.run(), it.json),
            Self::Rescue(it) => return it.run(),
        };
        answer::print(outcome, json)
    }
}
