//! Completions and manual pages, made from the commands themselves.

use super::answer::{Answer, Outcome};
use super::over::Over;
use clap::{Args, Command};
use std::path::PathBuf;
use std::process::ExitCode;
use truing::problem::{Problem, Problems};
use truing::report::document::Document;

/// Completions for a shell.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser completions bash > waywiser.bash")]
pub struct Completions {
    /// Which shell
    shell: clap_complete::Shell,
}

impl Completions {
    /// Prints them.
    pub fn run(&self, mut commands: Command) -> ExitCode {
        clap_complete::generate(self.shell, &mut commands, "waywiser", &mut std::io::stdout());
        ExitCode::SUCCESS
    }
}

/// Pages for the system's own manual, one file for each command.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser man-pages --out man")]
pub struct ManPages {
    /// The folder to write them to
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    #[command(flatten)]
    over: Over,
}

impl ManPages {
    /// Writes them.
    pub fn run(&self, commands: Command) -> Outcome {
        let mut document = Document::new("Manual pages");
        for (name, command) in pages(commands, String::new()) {
            let mut page = Vec::new();
            clap_mangen::Man::new(command).render(&mut page).map_err(|error| {
                Problems::from(Problem::error(name.clone(), "a page that can be written", error.to_string()))
            })?;
            let path = self.out.join(format!("{name}.1"));
            self.over.write(&path, &[], &page)?;
            document.sentence(path.display().to_string());
        }
        Answer::new(&document, document.clone(), Vec::new())
    }
}

fn pages(command: Command, above: String) -> Vec<(String, Command)> {
    let name = if above.is_empty() {
        command.get_name().to_string()
    } else {
        format!("{above}-{}", command.get_name())
    };
    let below: Vec<Command> = command.get_subcommands().cloned().collect();
    let mut all = vec![(name.clone(), command.name(name.clone()))];
    all.extend(below.into_iter().flat_map(|sub| pages(sub, name.clone())));
    all
}
