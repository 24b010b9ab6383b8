//! Drives that were judged: each is read once, however often its proof is looked at or kept.

use super::kept::held;
use crate::work::asked::Inputs;
use crate::work::drive::DriveInputs;
use crate::world::{self, Stamp};
use std::sync::{Arc, Mutex};
use truing::measure::drive::DriveEstimate;
use truing::problem::{Problem, Problems};

/// How many are kept: the one that is looked at, and some before it.
const MOST: usize = 4;

/// What a drive says, with what was met while reading it.
pub type Outcome = Result<(DriveEstimate, Vec<Problem>), Problems>;

/// A drive, the stamps of its files when it was read, and what it said.
struct One {
    drive: DriveInputs,
    stamps: Vec<Option<Stamp>>,
    outcome: Arc<Outcome>,
}

/// The last drives that were judged, the newest last.
#[derive(Default)]
pub struct Judged(Mutex<Vec<One>>);

impl Judged {
    /// How many drives were read and are kept.
    #[cfg(test)]
    pub fn kept(&self) -> usize {
        held(&self.0).len()
    }

    /// What a drive says. Who asks for one that is just being read waits for it, and reads nothing again. Whether it can be read
    /// at all is tried first.
    pub fn or_judge(
        &self,
        drive: DriveInputs,
        tried: impl FnOnce(&DriveInputs) -> Result<(), Problems>,
    ) -> Arc<Outcome> {
        let mut all = held(&self.0);
        let stamps = stamps(&drive);
        if let Some(one) = all.iter().find(|one| one.drive == drive && one.stamps == stamps) {
            return one.outcome.clone();
        }
        let outcome = Arc::new(tried(&drive).and_then(|()| drive.drive()));
        if all.len() >= MOST {
            all.remove(0);
        }
        all.push(One { drive, stamps, outcome: outcome.clone() });
        outcome
    }
}

fn stamps(drive: &DriveInputs) -> Vec<Option<Stamp>> {
    drive.files().iter().map(|file| world::stamp(file)).collect()
}
