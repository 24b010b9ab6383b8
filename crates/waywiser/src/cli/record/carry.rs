//! `waywiser record export`, `import`, `backup` and `rescue`.

use super::super::answer::{self, Answer, Outcome};
use super::garage::Garage;
use crate::ledger::salvage;
use crate::work::entry::carry::{stamp, take_in};
use crate::world;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;
use truing::problem::{Problem, Problems};
use truing::record::{csv_head, export, export_csv, export_entry};
use truing::report::answers::record::BackupReport;

/// The whole record on standard output.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser record export > record.jsonl\n  waywiser record export --csv > record.csv"
)]
pub struct Export {
    /// A table instead of JSON Lines
    #[arg(long)]
    csv: bool,
    #[command(flatten)]
    garage: Garage,
}

impl Export {
    /// Runs it; entries are printed as they are read.
    pub fn run(&self) -> ExitCode {
        let mut out = std::io::BufWriter::new(std::io::stdout().lock());
        let mut written = Ok(());
        let printed = self.garage.open_to_read().and_then(|ledger| {
            if self.csv {
                written = out.write_all(csv_head().as_bytes());
            }
            ledger.each(|entry| {
                let line = if self.csv { export_csv(&entry) } else { export_entry(&entry) + "\n" };
                if written.is_ok() {
                    written = answer::write_kept(&mut out, &line);
                }
            })
        });
        let flushed = written.and_then(|()| out.flush());
        drop(out);
        match (printed, flushed) {
            (Err(problems), _) => answer::print_problems(&problems),
            (Ok(()), Err(error)) if error.kind() != std::io::ErrorKind::BrokenPipe => {
                let problem = Problem::error("standard output", "room for the export", error.to_string());
                answer::print_problems(&[problem.hint("What was written is not the whole record.")])
            }
            _ => ExitCode::SUCCESS,
        }
    }
}

/// Take in an exported record that goes on from this one.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record import record.jsonl")]
pub struct Import {
    /// JSON Lines, as `record export` writes them
    file: PathBuf,
    /// Take entries too that are dated before the entry before them, or in the future
    #[arg(long)]
    any_times: bool,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Import {
    /// Runs it: all of it or nothing.
    pub fn run(&self) -> Outcome {
        // A name with a slip in it must not leave an empty record behind.
        world::feed_some(&self.file, 1, |_| {})?;
        let report = take_in(&mut self.garage.open()?, &self.file, self.any_times)?;
        Answer::new(&report, report.document(), Vec::new())
    }
}

/// A copy of the record, named with the day.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record backup --out backups")]
pub struct Backup {
    /// The folder for the copy; the garage's own `backups` when left out
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Backup {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let ledger = self.garage.open_to_read()?;
        let folder = match &self.out {
            Some(folder) => folder.clone(),
            None => self.garage.folder()?.join("backups"),
        };
        let file = folder.join(format!("record-{}.sqlite", stamp()));
        ledger.back_up(&file)?;
        let report = BackupReport { file: file.display().to_string() };
        Answer::new(&report, report.document(), Vec::new())
    }
}

/// Set a damaged record aside by copy and print what can be read, as JSON Lines.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record rescue > readable.jsonl")]
pub struct Rescue {
    #[command(flatten)]
    garage: Garage,
}

impl Rescue {
    /// Runs it. The damaged file stays as it is.
    pub fn run(&self) -> ExitCode {
        let found = self.garage.folder().and_then(|garage| salvage(&garage, &stamp()));
        match found {
            Err(problems) => answer::print_problems(&problems),
            Ok(salvage) => {
                let _ = answer::write_kept(&mut std::io::stdout(), &export(&salvage.chain));
                let place = salvage.copy.display().to_string();
                let mut problems = Problems::from(
                    Problem::note(place, "a copy of the damaged file", "made, and read as far as it goes")
                        .hint("The file itself was not changed."),
                );
                problems.extend(salvage.problems);
                answer::print_problems(&problems);
                if salvage.chain.entries().is_empty() { ExitCode::from(1) } else { ExitCode::SUCCESS }
            }
        }
    }
}
