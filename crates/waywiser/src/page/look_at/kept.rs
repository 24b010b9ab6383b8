//! The last answers to files that belong to no truck.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use truing::problem::Problem;
use truing::report::answers::first::First;
use truing::report::document::Document;

/// The last answers: words and pictures of drives and recordings whose files are gone.
#[derive(Default)]
pub struct Looked(Mutex<VecDeque<(String, Arc<Said>)>>);

/// What was said of some files, and what was wrong with them.
pub struct Said {
    /// What it comes to.
    pub first: First,
    /// The same at length.
    pub document: Document,
    /// What was wrong.
    pub problems: Vec<Problem>,
}

/// How many answers are kept.
const KEPT: usize = 5;

impl Looked {
    fn held(&self) -> MutexGuard<'_, VecDeque<(String, Arc<Said>)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps one more, and forgets the oldest.
    pub fn keep(&self, id: &str, said: Said) {
        let mut kept = self.held();
        kept.push_back((id.to_string(), Arc::new(said)));
        while kept.len() > KEPT {
            kept.pop_front();
        }
    }

    /// The answer of an address, while it is kept.
    pub fn get(&self, id: &str) -> Option<Arc<Said>> {
        self.held().iter().find(|(known, _)| known == id).map(|(_, said)| said.clone())
    }
}
