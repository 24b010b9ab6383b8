//! The command line: one file per command.

mod answer;
mod apart;
mod batch;
mod bench_signal;
mod choose;
mod demo;
mod describe;
mod extent;
mod manual;
mod measure;
#[cfg(feature = "live")]
mod measure_live;
mod named;
mod over;
mod owner;
mod plain;
mod planning;
mod prove;
mod pulses;
mod record;
#[cfg(feature = "page")]
mod serve;
mod set;
mod sheet;
mod shell;
mod text;
mod width;

use crate::garage::fault_in;
use crate::world;
use answer::{FAULT, Outcome};
use clap::{CommandFactory, Parser, Subcommand};
use std::process::ExitCode;

/// Make an older truck's speedometer and odometer tell the truth.
///
/// After a tire, axle or transmission change: find out how far off the truck reads and how sure that is, choose what to
/// store or leave it alone, store it without wasting a write, and prove it on the road.
#[derive(Parser)]
#[command(
    name = "waywiser",
    version = world::version::with_parts(),
    after_help = "Example:\n  waywiser\n  waywiser demo\n  waywiser choose truck.toml\n\nHow to measure, and what to do if something is not known: waywiser manual"
)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// The local page: all six stages in a browser; what `waywiser` alone does
    #[cfg(feature = "page")]
    Serve(serve::Serve),
    /// What is on the truck
    #[command(subcommand)]
    Describe(describe::Describe),
    /// How far it truly goes for what it shows
    #[command(subcommand)]
    Measure(measure::Measure),
    /// What to store, or to leave it, or to measure first
    Choose(choose::Choose),
    /// The steps from what is stored to what is to be stored
    Set(set::Set),
    /// Whether a drive shows that a rule is kept
    Prove(prove::Prove),
    /// Every drive under a folder, in parallel, into one table
    Batch(batch::Batch),
    /// A signal that makes a module read given speeds, as sound or edges
    BenchSignal(bench_signal::Bench),
    /// The job sheet, to print
    Sheet(sheet::Sheet),
    /// What was done when, in a chain that shows a change
    #[command(subcommand)]
    Record(record::Record),
    /// A sample truck of our own through all six stages
    Demo(demo::Demo),
    /// The manual: how to measure well, what to do if, the method, every word
    Manual(manual::Manual),
    /// Completions for a shell
    Completions(shell::Completions),
    /// Pages for the system's own manual
    ManPages(shell::ManPages),
    /// Another command in a process that may be ended
    #[command(hide = true)]
    Apart(apart::Apart),
}

/// Every command, for a test of what the other faces offer.
#[cfg(test)]
pub(crate) fn commands() -> clap::Command {
    Cli::command()
}

/// Runs the command line: 0 answered, 1 the input is not usable, 2 the command line is wrong, 101 a fault of the program.
pub fn run() -> ExitCode {
    crate::world::keep_private();
    crate::world::crash::watch();
    guarded(Cli::parse())
}

/// A fault of the program ends in a message that names the file.
fn guarded(cli: Cli) -> ExitCode {
    world::caught(|| answered(cli)).unwrap_or_else(|files| {
        answer::print_problems(&[fault_in(&files)]);
        ExitCode::from(FAULT)
    })
}

/// The same with these words behind the program's name, for a test that stays in its process.
#[cfg(test)]
pub(crate) fn run_these(words: &[&str]) -> ExitCode {
    Cli::try_parse_from([&["waywiser"], words].concat()).map_or(ExitCode::from(2), guarded)
}

/// What `waywiser` alone does: the page, where it is built in.
fn usual() -> Option<Command> {
    #[cfg(feature = "page")]
    return Some(Command::Serve(serve::Serve::usual()));
    #[cfg(not(feature = "page"))]
    return None;
}

fn answered(cli: Cli) -> ExitCode {
    let Some(command) = cli.command.or_else(usual) else {
        let _ = Cli::command().print_help();
        return ExitCode::from(2);
    };
    let (outcome, json): (Outcome, bool) = match command {
        #[cfg(feature = "page")]
        Command::Serve(it) => return it.run(),
        Command::Describe(it) => it.run(),
        Command::Measure(it) => it.run(),
        Command::Choose(it) => (it.run(), it.json),
        Command::Set(it) => (it.run(), it.json),
        Command::Prove(it) => (it.run(), it.json),
        Command::Batch(it) => (it.run(), it.json),
        Command::BenchSignal(it) => (it.run(), it.json),
        Command::Sheet(it) => (it.run(), it.json),
        Command::Demo(it) => (it.run(), it.json),
        Command::Record(it) => return it.run(),
        Command::Completions(it) => return it.run(Cli::command()),
        Command::Apart(it) => return it.run(answered),
        Command::Manual(it) => (it.run(), false),
        Command::ManPages(it) => (it.run(Cli::command()), false),
    };
    answer::print(outcome, json)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_told_apart_from_an_answer() {
        let track = format!("--track={}.gpx", world::BREAKS);
        assert_eq!(run_these(&["measure", "drive", &track]), ExitCode::from(FAULT));
        assert_eq!(run_these(&["measure", "drive", "--track=none.gpx"]), ExitCode::from(1));
        assert_eq!(run_these(&["measure", "drive"]), ExitCode::from(2));
    }
}
