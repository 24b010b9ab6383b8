//! What the ledger does to its files itself, beside SQLite.

use super::fault::Fault;
use crate::world::faults::{self, Operation};
use rusqlite::ErrorCode;
use std::path::{Path, PathBuf};

/// Waits until a file has reached the disk.
#[expect(clippy::disallowed_methods, reason = "the ledger's files are its own; this door is watched too")]
pub(super) fn synced(path: &Path) -> std::io::Result<()> {
    faults::before(Operation::Sync, path)?;
    std::fs::File::open(path)?.sync_all()
}

/// A disk that failed, as SQLite says it of its own.
pub(super) fn broken(error: &std::io::Error) -> Fault {
    Fault::Sqlite(rusqlite::Error::SqliteFailure(
        rusqlite::ffi::Error { code: code_of(error), extended_code: 0 },
        Some(error.to_string()),
    ))
}

/// The nearest code of SQLite for a failing disk.
fn code_of(error: &std::io::Error) -> ErrorCode {
    match error.kind() {
        std::io::ErrorKind::StorageFull => ErrorCode::DiskFull,
        std::io::ErrorKind::ReadOnlyFilesystem => ErrorCode::ReadOnly,
        _ => ErrorCode::SystemIoFailure,
    }
}

/// Asks whether the store may change its file; SQLite's own errors come from SQLite.
pub(super) fn may(operation: Operation, path: &Path) -> Result<(), Fault> {
    faults::before(operation, path).map_err(|error| broken(&error))
}

/// Copies the file and the log of writes beside it.
pub(super) fn copy_with_log(path: &Path, copy: &Path) -> std::io::Result<()> {
    faults::before(Operation::Create, copy)?;
    std::fs::copy(path, copy)?;
    let log = beside(path, "-wal");
    if log.exists() {
        std::fs::copy(log, beside(copy, "-wal"))?;
    }
    Ok(())
}

pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
