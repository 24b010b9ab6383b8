//! `waywiser record take` and `give`: vehicle files into the record and out again.

use super::super::answer::{self, Answer, Outcome};
use super::garage::Garage;
use crate::work::entry::source::hash_of_file;
use crate::work::load;
use crate::world;
use clap::Args;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use truing::problem::{Problem, Problems};
use truing::record::{Draft, Entry, EventKind, Hash, differences, taken};
use truing::report::answers::record::TakenReport;

/// Take a vehicle file into the record: what is on the vehicle, what was measured and written.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record take truck.toml")]
pub struct Take {
    /// The vehicle file
    file: PathBuf,
    /// The record does not hold the vehicle yet
    #[arg(long)]
    new_vehicle: bool,
    #[command(flatten)]
    garage: Garage,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Take {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let loaded = load::vehicle(&self.file)?;
        let text = world::read_text(&self.file)?;
        let folder = self.file.parent().map(Path::to_path_buf).unwrap_or_default();
        let mut ledger = self.garage.open()?;
        let name = self.garage.recorded_or_new(&ledger, &loaded.vehicle.name, self.new_vehicle)?;
        let added = ledger.append_all(None, |look| {
            let earlier = look.that_matter(&name)?;
            if is_taken(&earlier, &text) {
                return Ok(Vec::new());
            }
            let differences = differences(&loaded.vehicle, &earlier);
            if !differences.is_empty() {
                return Err(differences.iter().map(|difference| difference.problem()).collect());
            }
            let taken = taken(&loaded.vehicle, &text, &|file| hash_of_file(&folder.join(file)));
            let draft = |(kind, fields)| Draft { time: world::now(), vehicle: name.clone(), kind, fields };
            Ok(taken.into_iter().map(draft).collect())
        })?;
        let report = TakenReport::new(&added);
        Answer::new(&report, report.document(), loaded.problems)
    }
}

/// Whether the file that was taken in last is this very one.
fn is_taken(entries: &[Entry], text: &str) -> bool {
    let hash = Hash::new(text.as_bytes()).to_string();
    entries.iter().rev().find_map(|entry| {
        entry.event.fields.get("source_sha256").filter(|_| entry.event.kind == EventKind::Vehicle)
    }) == Some(&hash)
}

/// A vehicle file that was taken in, on standard output.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser record give --vehicle \"The grey half-ton\" > truck.toml")]
pub struct Give {
    /// The vehicle, by its name
    #[arg(long, value_name = "NAME")]
    vehicle: String,
    #[command(flatten)]
    garage: Garage,
}

impl Give {
    /// Runs it.
    pub fn run(&self) -> ExitCode {
        match self.file() {
            Ok(text) => {
                let _ = answer::write_kept(&mut std::io::stdout(), &text);
                ExitCode::SUCCESS
            }
            Err(problems) => answer::print_problems(&problems),
        }
    }

    fn file(&self) -> Result<String, Problems> {
        let ledger = self.garage.open_to_read()?;
        let entries = ledger.that_matter(&self.garage.recorded(&ledger, &self.vehicle)?)?;
        if entries.is_empty() {
            return Err(self.garage.unknown(&ledger, &self.vehicle)?.into());
        }
        let file = |entry: &Entry| entry.event.fields.get("file").cloned();
        entries.iter().rev().find_map(file).ok_or_else(|| {
            let problem = Problem::error("record", "a vehicle file that was taken in", "none");
            Problems::from(problem.hint("Take one in with `waywiser record take FILE`."))
        })
    }
}
