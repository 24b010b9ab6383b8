//! Drives that are being measured, and the tables of the last ones.

use crate::page::error::PageError;
use axum::http::StatusCode;
use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use truing::report::answers::batch::BatchReport;

/// How many tables are kept: rows of words, so they are small.
const KEPT: usize = 5;

/// Drives that are being measured or were.
pub struct Job {
    pub(super) id: String,
    /// How many drives there are.
    pub drives: usize,
    pub(super) done: AtomicUsize,
    pub(super) outcome: OnceLock<BatchReport>,
}

impl Job {
    /// How many are done.
    pub fn done(&self) -> usize {
        self.done.load(Ordering::Relaxed)
    }

    /// The table, once it is there.
    pub fn outcome(&self) -> Option<&BatchReport> {
        self.outcome.get()
    }
}

/// The last jobs, and whether one is at work: a second one would only make both slower.
#[derive(Default)]
pub struct Batches {
    jobs: Mutex<VecDeque<Arc<Job>>>,
    at_work: Arc<tokio::sync::Mutex<()>>,
}

/// Leave to be the one that is at work.
pub type Turn = tokio::sync::OwnedMutexGuard<()>;

impl Batches {
    /// The job of an address.
    pub fn get(&self, id: &str) -> Option<Arc<Job>> {
        self.jobs().iter().find(|job| job.id == id).cloned()
    }

    fn jobs(&self) -> MutexGuard<'_, VecDeque<Arc<Job>>> {
        self.jobs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps one more, and forgets the oldest.
    pub fn keep(&self, job: &Arc<Job>) {
        let mut jobs = self.jobs();
        jobs.push_back(job.clone());
        while jobs.len() > KEPT {
            jobs.pop_front();
        }
    }

    /// The turn of whoever asks, where nobody is at work.
    pub fn turn(&self) -> Result<Turn, PageError> {
        self.at_work.clone().try_lock_owned().map_err(|_| {
            let says = "Other drives are being measured just now. Nothing of these was kept. Send them when the others are done.";
            PageError::new(StatusCode::CONFLICT, "One after the other", says)
        })
    }
}
