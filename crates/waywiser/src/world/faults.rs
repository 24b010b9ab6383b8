//! Faults on purpose, for tests: whatever changes a file asks here first. Nothing is armed in a running program, and then a
//! question costs one look at a number.
//!
//! A test arms a fault for one folder: at the n-th operation below it that changes a file the program seems to be killed
//! (from then on nothing below that folder can be changed), or the disk is full, or cannot be synced, or takes no writes.

use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// What an operation does to a file or folder.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Operation {
    /// Makes a folder.
    MakeFolder,
    /// Makes a file, or opens it to write to.
    Create,
    /// Writes bytes.
    Write,
    /// Waits until the bytes have reached the disk.
    Sync,
    /// Gives a file another name.
    Rename,
    /// Removes a file or a folder.
    Remove,
    /// Commits to the record: everything that its store does between two operations of ours.
    Commit,
    /// A commit has ended; nothing is changed.
    Committed,
}

/// What goes wrong.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The program is killed before the operation. Of bytes that are written the first half arrives.
    Killed,
    /// There is no room.
    Full,
    /// What was written cannot be brought to the disk.
    Unsynced,
    /// Nothing may be written.
    ReadOnly,
}

impl Fault {
    /// Whether it can befall this operation.
    fn befalls(self, operation: Operation) -> bool {
        match self {
            Self::Killed => true,
            Self::Full => matches!(
                operation,
                Operation::MakeFolder | Operation::Create | Operation::Write | Operation::Commit
            ),
            Self::Unsynced => matches!(operation, Operation::Sync | Operation::Commit),
            Self::ReadOnly => operation != Operation::Committed,
        }
    }

    fn error(self) -> Error {
        match self {
            // Whoever is dead gets no answer; in a test that lives on it is any error.
            Self::Killed => Error::other("killed on purpose"),
            Self::Full => Error::from(ErrorKind::StorageFull),
            Self::Unsynced => Error::other("input/output error on purpose"),
            Self::ReadOnly => Error::from(ErrorKind::ReadOnlyFilesystem),
        }
    }
}

/// A fault that is armed for a folder until it is dropped.
pub struct Armed {
    folder: PathBuf,
}

struct Plan {
    folder: PathBuf,
    fault: Fault,
    /// At which operation that it can befall, from 0; never where none is named.
    at: Option<usize>,
    met: Vec<(Operation, PathBuf)>,
    struck: bool,
}

static COUNT: AtomicUsize = AtomicUsize::new(0);
static PLANS: Mutex<Vec<Plan>> = Mutex::new(Vec::new());

/// Arms a fault below a folder.
pub fn arm(folder: &Path, fault: Fault, at: Option<usize>) -> Armed {
    let plan = Plan { folder: folder.to_path_buf(), fault, at, met: Vec::new(), struck: false };
    PLANS.lock().unwrap_or_else(PoisonError::into_inner).push(plan);
    COUNT.fetch_add(1, Ordering::SeqCst);
    Armed { folder: folder.to_path_buf() }
}

impl Armed {
    /// The operations so far that the fault can befall.
    pub fn met(&self) -> Vec<(Operation, PathBuf)> {
        let plans = PLANS.lock().unwrap_or_else(PoisonError::into_inner);
        let own = plans.iter().find(|plan| plan.folder == self.folder);
        own.map(|plan| plan.met.clone()).unwrap_or_default()
    }
}

impl Drop for Armed {
    fn drop(&mut self) {
        let mut plans = PLANS.lock().unwrap_or_else(PoisonError::into_inner);
        plans.retain(|plan| plan.folder != self.folder);
        COUNT.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Asks whether an operation may go on. It is asked before the operation.
pub fn before(operation: Operation, path: &Path) -> Result<()> {
    if COUNT.load(Ordering::Relaxed) == 0 {
        return Ok(());
    }
    let mut plans = PLANS.lock().unwrap_or_else(PoisonError::into_inner);
    let Some(plan) = plans.iter_mut().find(|plan| path.starts_with(&plan.folder)) else { return Ok(()) };
    if !plan.fault.befalls(operation) {
        return Ok(());
    }
    plan.met.push((operation, path.to_path_buf()));
    // A disk stays full, and whoever was killed stays dead.
    plan.struck |= plan.at == Some(plan.met.len() - 1);
    if plan.struck { Err(plan.fault.error()) } else { Ok(()) }
}

/// Writes bytes to a file of this path.
pub fn write(file: &mut impl Write, path: &Path, bytes: &[u8]) -> Result<()> {
    before(Operation::Write, path).or_else(|error| {
        // A write that is cut off leaves what had arrived.
        file.write_all(bytes.get(..bytes.len() / 2).unwrap_or_default())?;
        Err(error)
    })?;
    file.write_all(bytes)
}
