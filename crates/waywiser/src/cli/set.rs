//! `waywiser set`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::work::choose::chosen;
use crate::work::load::{self, Loaded};
use crate::work::set::{
    Hands, REPEAT_AFTER_S, advised, held_down, not_worse, remark_despite, report, typed, typed_report,
};
use crate::work::typed::given;
use clap::Args;
use std::path::PathBuf;
use truing::choose::{Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::problem::Problems;
use truing::report::answers::keep;
use truing::report::answers::steps::StepsReport;
use truing::report::document::Document;
use truing::set::{Cause, Procedure};

/// The steps from what is stored to what is to be stored.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser set truck.toml\n  waywiser set truck.toml --to 1416 --shows 1458 --repeat 5\n  waywiser set truck.toml --procedure my-module.txt"
)]
pub struct Set {
    /// The vehicle file
    file: PathBuf,
    /// The value to store instead of the advised one
    #[arg(long, value_name = "VALUE")]
    to: Option<String>,
    /// Which adjuster `--to` is for, where there are several
    #[arg(long, value_name = "NAME", requires = "to")]
    adjuster: Option<String>,
    /// Why it is to be stored although the advice is to check first; it belongs into the record
    #[arg(long, value_name = "REASON", conflicts_with = "to")]
    despite: Option<String>,
    /// Give the steps even where the truck would read worse with that value than now
    #[arg(long, requires = "to")]
    even_if_worse: bool,
    /// What the display shows by now, to plan again from there
    #[arg(long, value_name = "DIGITS")]
    shows: Option<String>,
    /// Steps a second that a held button makes by itself
    #[arg(long, value_name = "PER_SECOND")]
    repeat: Option<f64>,
    /// Seconds until a held button goes on by itself
    #[arg(long, value_name = "SECONDS", default_value_t = REPEAT_AFTER_S, requires = "repeat")]
    repeat_after: f64,
    /// Your own module's routine, one step a line
    #[arg(long, value_name = "FILE")]
    procedure: Option<PathBuf>,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Set {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let mut loaded = load::vehicle(&self.file)?;
        let procedure = self.procedure.as_deref().map(|path| own_procedure(&mut loaded, path)).transpose()?;
        let hands = Hands {
            procedure: procedure.as_ref(),
            shows: self.shows.as_deref(),
            repeat: self.repeat.map(|per_second| held_down(per_second, self.repeat_after)),
            despite: self.despite.as_deref().and_then(given),
        };
        let units = self.owner.units();
        let report = match &self.to {
            Some(text) => {
                let outcome = typed(&loaded, text, self.adjuster.as_deref(), &hands)?;
                let choice = reading_known(&mut loaded);
                let report = typed_report(&loaded, choice.as_ref(), &outcome, units);
                not_worse(&loaded.source, &report, self.even_if_worse)?;
                report
            }
            None => {
                let (_, choice) = chosen(&mut loaded, None, None)?;
                let outcome = advised(&loaded, &choice, &hands)?;
                report(&loaded, &outcome, units)
            }
        };
        let mut document = report.document();
        if report.nothing_to_do.as_ref().is_some_and(|nothing| nothing.cause == Cause::CheckFirst) {
            document.sentence(
                "`--despite REASON` gives the steps all the same; the reason belongs into the record.",
            );
        }
        push_to_record(&loaded.vehicle, &report, &mut document);
        if report.nothing_to_do.is_some() && self.to.is_none() {
            document.sentence("`--to VALUE` gives the steps to another value all the same.");
        }
        Answer::new(&report, document, loaded.problems)
    }
}

/// What the truck reads and what is advised, where that can be told: the steps to a value that was typed need neither.
fn reading_known(loaded: &mut Loaded) -> Option<Choice> {
    let estimate = loaded.fused().ok()?;
    choose(&loaded.source, &loaded.vehicle, &estimate, None, None).ok()
}

/// How each write goes into the record, where one is kept: nothing is stored yet, so nothing of it can be in there by itself.
fn push_to_record(vehicle: &Vehicle, report: &StepsReport, document: &mut Document) {
    if report.changes.is_empty() {
        return;
    }
    document.heading("And in the record, if you keep one");
    for change in &report.changes {
        let Some(adjuster) = vehicle.adjuster(Some(&change.adjuster)) else { continue };
        let remark = report.despite.as_deref().map(remark_despite);
        let fields = keep::write(adjuster, &change.from, &change.to, None, remark.as_deref());
        let mut words = vec!["waywiser record add write --vehicle".to_string(), for_shell(&vehicle.name)];
        words.extend(["--value".into(), for_shell(&change.to), "--odometer \"READING\"".into()]);
        for name in ["adjuster", "acts"] {
            words.extend(
                fields.get(name).map(|value| format!("--field {}", for_shell(&format!("{name}={value}")))),
            );
        }
        words.extend(fields.get("text").map(|text| format!("--text {}", for_shell(text))));
        document.sentence(words.join(" "));
    }
}

/// One word of a command line, quoted where it has to be.
fn for_shell(word: &str) -> String {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "._/=-".contains(c);
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_string();
    }
    let special = |c: char| ['"', '\\', '$', '`'].contains(&c);
    let quoted: String =
        word.chars().flat_map(|c| special(c).then_some('\\').into_iter().chain([c])).collect();
    format!("\"{quoted}\"")
}

fn own_procedure(loaded: &mut Loaded, path: &std::path::Path) -> Result<Procedure, Problems> {
    let text = crate::world::read_text(path)?;
    let (procedure, problems) = Procedure::read(&path.display().to_string(), &text);
    if truing::problem::any_error(&problems) {
        return Err(problems.into());
    }
    loaded.problems.extend(problems);
    Ok(procedure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_a_shell_takes_as_they_are() {
        for (word, expected) in [
            ("8.32", "8.32"),
            ("8/20", "8/20"),
            ("700 x 3.55", "\"700 x 3.55\""),
            ("I \"counted\" $5", "\"I \\\"counted\\\" \\$5\""),
            ("", "\"\""),
        ] {
            assert_eq!(for_shell(word), expected);
        }
    }
}
