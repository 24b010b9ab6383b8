//! `waywiser bench-signal`.

use super::answer::{Answer, Outcome};
use super::over::Over;
use crate::work::bench::{Format, Wanted};
use clap::Args;
use std::path::PathBuf;
use truing::problem::{Problem, Problems};
use truing::report::answers::bench::BenchReport;

/// A signal that makes a module read given speeds.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser bench-signal --counts-per-mile 9500 --speed \"60 mph\" --out 60mph.wav\n  waywiser bench-signal --counts-per-mile 12500 --speeds 20,40,60mph --shape sensor --out steps.wav\n  waywiser bench-signal --counts-per-mile 36000 --from \"5 mph\" --to \"70 mph\" --ring-teeth 96 --missing-tooth 12 --out sweep.csv"
)]
pub struct Bench {
    #[command(flatten)]
    wanted: Wanted,
    /// Where to write it: .wav for sound, .csv for edges
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    over: Over,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Bench {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let one = |problem: Problem| Problems::from(problem);
        let signal = self.wanted.signal()?;
        let extension = self.out.extension().map(|name| name.to_ascii_lowercase());
        let format = match extension.as_deref().and_then(|name| name.to_str()) {
            Some("wav") => Format::Wav,
            Some("csv") => Format::Csv,
            _ => {
                let problem = Problem::error(
                    "--out",
                    "a name that ends in .wav or .csv",
                    self.out.display().to_string(),
                );
                return Err(one(problem.hint("the format follows the extension")));
            }
        };
        self.over.may(&self.out, &[])?;
        let bytes = self.wanted.bytes(&signal, format)?;
        self.over.write(&self.out, &[], &bytes)?;
        let report = BenchReport::new(&signal, self.out.display().to_string());
        Answer::new(&report, report.document(), Vec::new())
    }
}
