//! What comes of asking for the steps to a setting: the way there, or nothing to do.

use super::Job;
use crate::choose::{Advice, Choice, Reason};
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What comes of asking for the steps to a setting.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Another value is to be stored, and this is the way to it.
    Steps(Box<Job>),
    /// Nothing is to be done: no step, no press, no write.
    NothingToDo {
        /// What is stored, where it is known.
        stored: Option<String>,
        /// Why nothing.
        cause: Cause,
        /// The reasons of the advice, where it is one.
        why: Vec<Reason>,
    },
}

/// Why nothing is to be done.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The value asked for is stored already.
    StoredAlready,
    /// The advice is to leave what is stored.
    Leave,
    /// The advice is to measure before a write is spent.
    MeasureFirst,
    /// The advice is to check what is odd before anything is stored.
    CheckFirst,
}

impl Outcome {
    /// The way there, where there is one.
    pub fn job(self) -> Option<Job> {
        match self {
            Self::Steps(job) => Some(*job),
            Self::NothingToDo { .. } => None,
        }
    }

    /// Nothing, because the value asked for is stored.
    pub(super) fn stored_already(stored: &str) -> Self {
        Self::NothingToDo { stored: Some(stored.into()), cause: Cause::StoredAlready, why: Vec::new() }
    }

    /// Nothing, because of an advice. One to write of which nothing differs from what is stored leaves it, too.
    pub fn advised(choice: &Choice) -> Self {
        let stored = choice.present.as_ref().map(|present| present.label.clone());
        let cause = match choice.advice {
            Advice::Write | Advice::Leave => Cause::Leave,
            Advice::MeasureFirst => Cause::MeasureFirst,
            Advice::CheckFirst => Cause::CheckFirst,
        };
        Self::NothingToDo { stored, cause, why: choice.why.clone() }
    }

    /// The same with what is expected of the reading afterwards.
    #[must_use]
    pub fn expecting(self, expected: Measured<Ratio>) -> Self {
        match self {
            Self::Steps(job) => Self::Steps(Box::new(Job { expected: Some(expected), ..*job })),
            nothing @ Self::NothingToDo { .. } => nothing,
        }
    }

    /// The same for an owner who stores although something is to be checked first.
    #[must_use]
    pub fn despite(self, reason: &str) -> Self {
        match self {
            Self::Steps(job) => Self::Steps(Box::new(Job { despite: Some(reason.into()), ..*job })),
            nothing @ Self::NothingToDo { .. } => nothing,
        }
    }

    /// This and another one after it.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        match (self, next) {
            (Self::Steps(first), Self::Steps(next)) => Self::Steps(Box::new(first.then(*next))),
            (steps @ Self::Steps(_), Self::NothingToDo { .. }) => steps,
            (Self::NothingToDo { .. }, next) => next,
        }
    }
}
