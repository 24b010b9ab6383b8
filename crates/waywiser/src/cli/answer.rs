//! What a command answers, and how it is printed.

use super::named::told;
use super::plain::{plain, plain_json};
use super::text;
use super::width::width;
use serde::Serialize;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use truing::problem::{Problem, Problems};
use truing::report::document::Document;

/// An answer: for scripts and for people, with the problems met on the way.
pub struct Answer {
    /// One JSON object.
    pub json: serde_json::Value,
    /// The same in words.
    pub document: Document,
    /// Problems that did not stand in the way.
    pub problems: Vec<Problem>,
    /// What is to be kept as a file, in place of the words.
    kept: Option<String>,
    /// What it ends with.
    code: u8,
}

/// What a fault of the program ends with.
pub const FAULT: u8 = 101;

/// An answer, or the problems that made the input unusable.
pub type Outcome = Result<Answer, Problems>;

impl Answer {
    /// An answer from a report.
    pub fn new(report: &impl Serialize, document: Document, problems: Vec<Problem>) -> Outcome {
        match serde_json::to_value(report) {
            Ok(json) => Ok(Answer { json, document, problems, kept: None, code: 0 }),
            Err(error) => {
                Err(Problem::error("the answer", "numbers that can be written as JSON", error.to_string())
                    .into())
            }
        }
    }

    /// What is to be kept as a file, such as a schema.
    pub fn kept(json: serde_json::Value, text: String) -> Self {
        Self { json, document: Document::new(""), problems: Vec::new(), kept: Some(text), code: 0 }
    }

    /// The same, ending with a code that tells the answer.
    pub fn ending(self, code: u8) -> Self {
        Self { code, ..self }
    }
}

/// Prints: the answer on standard output, problems on standard error.
pub fn print(outcome: Outcome, json: bool) -> ExitCode {
    let (shown, problems, code) = match outcome {
        Ok(answer) => {
            let shown = match json {
                true => plain_json(&format!("{:#}\n", answer.json)),
                false => answer
                    .kept
                    .as_deref()
                    .map_or_else(|| plain(&text::render(&answer.document, width())), as_it_is),
            };
            (shown, answer.problems, ExitCode::from(answer.code))
        }
        Err(problems) => {
            let shown = if json {
                plain_json(&format!("{:#}\n", serde_json::json!({ "problems": problems })))
            } else {
                String::new()
            };
            (shown, problems.into(), ExitCode::from(1))
        }
    };
    // A closed pipe is the reader's wish to stop, not an error of ours.
    let _ = std::io::stdout().write_all(shown.as_bytes());
    let _ = print_problems(&problems);
    code
}

/// Nobody reads more of them, and the first are what the others come from as a rule.
const MOST_TOLD: usize = 50;

/// What is to be kept as a file: as it is into a file or a pipe, and plain where a person looks at it.
fn as_it_is(text: &str) -> String {
    if std::io::stdout().is_terminal() { plain(text) } else { text.to_string() }
}

/// Writes what is to be kept as a file: as it is into a file or a pipe, and plain where a person looks at it.
pub fn write_kept(out: &mut impl Write, text: &str) -> std::io::Result<()> {
    match std::io::stdout().is_terminal() {
        true => out.write_all(plain(text).as_bytes()),
        false => out.write_all(text.as_bytes()),
    }
}

/// Prints problems on standard error; the code is that of an input that is not usable.
pub fn print_problems(problems: &[Problem]) -> ExitCode {
    let mut errors = anstream::stderr();
    for problem in problems.iter().take(MOST_TOLD) {
        let _ = writeln!(errors, "{}: {}", text::severity(problem.severity), plain(&told(problem)));
    }
    if problems.len() > MOST_TOLD {
        let _ = writeln!(errors, "and {} more; --json gives all", problems.len() - MOST_TOLD);
    }
    ExitCode::from(1)
}
