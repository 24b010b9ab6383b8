//! What a choice comes to: something to store, or nothing to do.

use super::{Advice, Choice, Scored};

/// What a choice comes to.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Target<'c> {
    /// This setting is to be stored.
    Store(&'c Scored),
    /// Nothing is to be stored now.
    NothingToDo {
        /// What is stored, where it is known.
        stored: Option<&'c Scored>,
        /// Leave, or measure first.
        advice: Advice,
    },
}

impl Choice {
    /// What it comes to.
    pub fn target(&self) -> Target<'_> {
        match &self.best {
            Some(best) if self.advice == Advice::Write => Target::Store(best),
            _ => Target::NothingToDo { stored: self.present.as_ref(), advice: self.advice },
        }
    }
}
