//! Everything that is wrong with an input, as one error.

use super::Problem;
use serde::Serialize;
use std::ops::{Deref, DerefMut};

/// Problems that stop a piece of work. What was only noticed on the way stands in plain lists.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Problems(Vec<Problem>);

impl Deref for Problems {
    type Target = Vec<Problem>;

    fn deref(&self) -> &Vec<Problem> {
        &self.0
    }
}

impl DerefMut for Problems {
    fn deref_mut(&mut self) -> &mut Vec<Problem> {
        &mut self.0
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Self(vec![problem])
    }
}

impl From<Box<Problem>> for Problems {
    fn from(problem: Box<Problem>) -> Self {
        Self(vec![*problem])
    }
}

impl From<Vec<Problem>> for Problems {
    fn from(problems: Vec<Problem>) -> Self {
        Self(problems)
    }
}

impl From<Problems> for Vec<Problem> {
    fn from(problems: Problems) -> Self {
        problems.0
    }
}

impl FromIterator<Problem> for Problems {
    fn from_iter<I: IntoIterator<Item = Problem>>(problems: I) -> Self {
        Self(problems.into_iter().collect())
    }
}

impl IntoIterator for Problems {
    type Item = Problem;
    type IntoIter = std::vec::IntoIter<Problem>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'p> IntoIterator for &'p Problems {
    type Item = &'p Problem;
    type IntoIter = std::slice::Iter<'p, Problem>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

impl core::fmt::Display for Problems {
    /// One line each.
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        for (n, problem) in self.0.iter().enumerate() {
            let line = if n == 0 { "" } else { "\n" };
            write!(f, "{line}{problem}")?;
        }
        Ok(())
    }
}

impl core::error::Error for Problems {}
