//! `waywiser set`.

use super::choose::chosen;
use super::load::{self, Loaded};
use super::{Answer, Outcome};
use clap::Args;
use rust_decimal::Decimal;
use std::path::PathBuf;
use truing::choose::{Advice, Choice};
use truing::problem::Problem;
use truing::report::steps::StepsReport;
use truing::set::{Job, Procedure, StepText, Steps, job};

/// The steps from what is stored to what is to be stored.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser set truck.toml\n  waywiser set truck.toml --to 7.86\n  waywiser set truck.toml --procedure my-module.txt"
)]
pub struct Set {
    /// The vehicle file
    file: PathBuf,
    /// The value to store instead of the advised one
    #[arg(long, value_name = "VALUE")]
    to: Option<String>,
    /// Your own module's routine, one step a line
    #[arg(long, value_name = "FILE")]
    procedure: Option<PathBuf>,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Set {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let mut loaded = load::vehicle(&self.file)?;
        let procedure = self.procedure.as_deref().map(|path| own_procedure(&mut loaded, path)).transpose()?;
        let job = match &self.to {
            Some(text) => {
                let target = decimal(text)?;
                job(&loaded.source, &loaded.vehicle, target, &[], procedure.as_ref())?
            }
            None => {
                let (_, choice) = chosen(&mut loaded, None, None)?;
                advised(&loaded, &choice, procedure.as_ref())?
            }
        };
        let report = report(&loaded, &job);
        Answer::new(&report, report.document(), loaded.problems)
    }
}

/// The report of a job.
pub fn report(loaded: &Loaded, job: &Job) -> StepsReport {
    StepsReport::new(&loaded.vehicle, job, loaded.problems.clone())
}

/// The steps that the advice asks for: none unless it is to write.
pub fn advised(loaded: &Loaded, choice: &Choice, procedure: Option<&Procedure>) -> Result<Job, Vec<Problem>> {
    let value = |label: &str| Decimal::from_str_exact(label).ok();
    let best = choice.best.as_ref().and_then(|best| value(&best.label));
    match (choice.advice, best) {
        (Advice::Write, Some(target)) => {
            // Settings whose expected error is within a tenth of a per cent of the best's are about as good.
            let limit = choice.best.as_ref().map_or(0.0, |best| best.rms.plain()) + 0.001;
            let near =
                choice.options.iter().filter(|o| o.rms.plain() <= limit).filter_map(|o| value(&o.label));
            job(&loaded.source, &loaded.vehicle, target, &near.collect::<Vec<_>>(), procedure)
        }
        _ => Ok(nothing_to_do(choice)),
    }
}

fn nothing_to_do(choice: &Choice) -> Job {
    let present = choice.present.as_ref().map(|present| present.label.clone()).unwrap_or_default();
    let text = match choice.advice {
        Advice::MeasureFirst => {
            "Press nothing yet: the advice is to measure first. `--to VALUE` gives the steps all the same."
        }
        _ => "Press nothing: the advice is to leave what is stored.",
    };
    let steps = Steps { steps: vec![StepText::to_do(text)], ..Steps::default() };
    Job { from: present.clone(), to: present, steps, notes: choice.why.clone(), checkpoints: Vec::new() }
}

fn decimal(text: &str) -> Result<Decimal, Vec<Problem>> {
    Decimal::from_str_exact(text.trim()).map_err(|_| {
        vec![
            Problem::error("--to", "a value such as 7.86", format!("`{text}`"))
                .hint("write it with a point, as the module's grid has it"),
        ]
    })
}

fn own_procedure(loaded: &mut Loaded, path: &std::path::Path) -> Result<Procedure, Vec<Problem>> {
    let text = crate::world::read_text(path).map_err(|problem| vec![*problem])?;
    let (procedure, problems) = Procedure::read(&path.display().to_string(), &text);
    if truing::problem::any_error(&problems) {
        return Err(problems);
    }
    loaded.problems.extend(problems);
    Ok(procedure)
}
