//! Errors as pages: what is wrong, what to do, and a way on. Never a path of this machine, never a stack.

use super::addresses::{self, GARAGE, Stage};
use super::fields;
use super::frame::{self, Head};
use super::named::by_label;
use crate::garage::{Slug, Truck};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use truing::problem::{Problem, Problems, Severity};

/// Why a page cannot be shown or a change was not made.
#[derive(Debug)]
pub struct PageError {
    /// The status of the answer.
    pub status: StatusCode,
    /// What is wrong, in a few words.
    pub title: String,
    /// The same at length.
    pub says: String,
    /// What was wrong with the input.
    pub problems: Problems,
    /// Where to go from here: what it is called, and its address.
    pub ways_on: Vec<(String, String)>,
    /// More to see and to do.
    pub more: Option<Markup>,
}

impl PageError {
    /// An error with a way back to the garage.
    pub fn new(status: StatusCode, title: &str, says: &str) -> Self {
        Self {
            status,
            title: title.into(),
            says: says.into(),
            problems: Problems::default(),
            ways_on: vec![("To the garage".into(), GARAGE.into())],
            more: None,
        }
    }

    /// The same with another way on, before the others.
    #[must_use]
    pub fn or(mut self, name: &str, address: &str) -> Self {
        self.ways_on.insert(0, (name.into(), address.into()));
        self
    }

    /// The same with a way back to a stage of the truck, where there is none yet.
    #[must_use]
    pub fn back_to(self, stage: Stage, slug: &str) -> Self {
        match Slug::read(slug).filter(|_| self.ways_on.len() == 1 && self.status != StatusCode::NOT_FOUND) {
            Some(slug) => self.or(&format!("Back to {}", stage.name()), &stage.of(&slug)),
            None => self,
        }
    }

    /// The same with more to see and to do.
    #[must_use]
    pub fn with(self, more: Markup) -> Self {
        Self { more: Some(more), ..self }
    }

    /// What was typed cannot be used as it is.
    pub fn unusable(problems: impl Into<Problems>) -> Self {
        let problems = problems.into();
        let says = "Nothing was changed. Go back, correct what is named here, and send it again.";
        Self { problems, ..Self::new(StatusCode::UNPROCESSABLE_ENTITY, "That cannot be used as it is", says) }
    }

    /// A truck whose files cannot be used.
    pub fn of_truck(truck: &Truck, problems: Problems) -> Self {
        let says = "The answer would be another one without this, so none is given until it is mended.";
        let title = format!("{}: its files need a look", truck.name);
        Self { problems, ..Self::new(StatusCode::UNPROCESSABLE_ENTITY, &title, says) }
            .or("Evidence and files", &Stage::Measure.of(&truck.slug))
            .or("The vehicle file", &addresses::truck(&truck.slug, "describe#file"))
    }

    /// An address of a truck that is not there.
    pub fn no_such_truck() -> Self {
        let says = "There is no truck of that name in this garage. It may have been removed or renamed.";
        Self::new(StatusCode::NOT_FOUND, "No such truck", says)
    }

    /// A fault of ours.
    pub fn unexpected() -> Self {
        let says =
            "Something went wrong inside waywiser. What was confirmed before is kept. Try it once more.";
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "That did not work", says)
    }

    /// The same where it is known which files were worked on.
    pub fn fault(problems: Problems) -> Self {
        Self { problems, ..Self::unexpected() }
    }

    fn view(&self) -> Markup {
        let body = html! {
            p { (self.says) }
            (problems(&self.problems))
            @if let Some(more) = &self.more { (more) }
            nav class="ways-on" aria-label="Where to go from here" {
                @for (name, address) in &self.ways_on { a class="button" href=(address) { (name) } }
            }
        };
        Head::new(&self.title).frame(&body)
    }
}

impl From<Problems> for PageError {
    fn from(problems: Problems) -> Self {
        Self::unusable(problems)
    }
}

impl From<Problem> for PageError {
    fn from(problem: Problem) -> Self {
        Self::unusable(problem)
    }
}

impl From<Box<Problem>> for PageError {
    fn from(problem: Box<Problem>) -> Self {
        Self::unusable(problem)
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        (self.status, frame::html(self.view())).into_response()
    }
}

/// Problems as a list: what was expected, what was found, what to do.
pub fn problems(problems: &[Problem]) -> Markup {
    html! {
        @if !problems.is_empty() {
            ul class="problems" {
                @for problem in problems.iter().take(MOST_TOLD) {
                    li class={ "problem " (severity(problem.severity)) } {
                        strong class="word" { (severity(problem.severity)) }
                        " " (place(problem)) ": expected " (problem.expected) ", found " (problem.found) "."
                        @if !problem.hint.is_empty() { p class="hint" { (problem.hint.named_by(by_label)) } }
                    }
                }
                @if problems.len() > MOST_TOLD { li class="problem" { "And " (problems.len() - MOST_TOLD) " more." } }
            }
        }
    }
}

/// Nobody reads more of them, and the first are what the others come from as a rule.
const MOST_TOLD: usize = 50;

fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}

/// Where it is: by the label of its field where a form asks for it, else by the line of the file. What cannot be used can only
/// have come into the file by hand, so there the line is told.
fn place(problem: &Problem) -> String {
    if let Some(place) = problem.key.as_ref().filter(|_| problem.severity != Severity::Error) {
        return fields::place(place);
    }
    let part = problem.part.as_ref().map(|part| part.named_by(by_label));
    let line = problem.line.map(|line| format!("line {line}"));
    let parts = [Some(problem.source.named_by(by_label)), line, part];
    parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}
