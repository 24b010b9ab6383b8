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
        /// Leave, measure first or check first.
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

    /// The setting that would be stored if all that is to be checked were right as it stands.
    pub fn unchecked(&self) -> Option<&Scored> {
        self.best.as_ref().filter(|best| self.advice == Advice::CheckFirst && !best.is_present)
    }
}
