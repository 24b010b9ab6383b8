//! `waywiser set`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use super::planning::Planning;
use crate::work::choose::chosen;
use crate::work::load::{self, Loaded};
use crate::work::set::{advised, not_worse, remark_despite, report, typed, typed_report};
use clap::Args;
use std::path::PathBuf;
use truing::choose::{Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::record::{ADJUSTER, CHANGES_SIGNAL};
use truing::report::answers::keep;
use truing::report::answers::steps::StepsReport;
use truing::report::document::Document;
use truing::set::Cause;

/// The steps from what is stored to what is to be stored.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser set truck.toml\n  waywiser set truck.toml --to 1416 --shows 1458 --repeat 5\n  waywiser set truck.toml --procedure my-module.txt"
)]
pub struct Set {
    /// The vehicle file
    file: PathBuf,
    #[command(flatten)]
    planning: Planning,
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
        let routine = self.planning.routine(&mut loaded)?;
        let hands = self.planning.hands(routine.as_ref());
        let units = self.owner.units();
        let Planning { to, adjuster, rule, reserve, even_if_worse, .. } = &self.planning;
        let report = match to {
            Some(text) => {
                let outcome = typed(&loaded, text, adjuster.as_deref(), &hands)?;
                let choice = reading_known(&mut loaded, rule.as_deref(), *reserve);
                let report = typed_report(&loaded, choice.as_ref(), &outcome, units);
                not_worse(&loaded.source, &report, *even_if_worse)?;
                report
            }
            None => {
                let (_, choice) = chosen(&mut loaded, rule.as_deref(), *reserve)?;
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
        if report.nothing_to_do.is_some() && self.planning.to.is_none() {
            document.sentence("`--to VALUE` gives the steps to another value all the same.");
        }
        Answer::new(&report, document, loaded.problems)
    }
}

/// What the truck reads and what is advised, where that can be told: the steps to a value that was typed need neither.
fn reading_known(loaded: &mut Loaded, rule: Option<&str>, reserve: Option<u32>) -> Option<Choice> {
    let estimate = loaded.fused().ok()?;
    choose(&loaded.source, &loaded.vehicle, &estimate, rule, reserve).ok()
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
        words.extend(fields.get(ADJUSTER).map(|name| format!("--adjuster {}", for_shell(name))));
        let (acts, signal) = CHANGES_SIGNAL;
        words.extend(
            fields.get(acts).filter(|value| *value == signal).map(|_| "--changes-signal".to_string()),
        );
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
