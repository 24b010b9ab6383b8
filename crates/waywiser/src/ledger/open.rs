//! Opening the record: to add to it, or to read it and leave it as it is.

use super::disk::{broken, copy_with_log, may, synced};
use super::fault::Fault;
use super::migrate;
use super::seen::seen;
use super::store::{FILE, Ledger, no_folder, nothing_there};
use crate::world::faults::Operation;
use crate::world::{self, Scratch};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::{Problem, Problems};

/// Another program makes a new file ready in less.
const BETWEEN_TRIES: Duration = Duration::from_millis(5);
/// The smallest page of a database of this kind; a smaller file holds nothing.
const SMALLEST_BYTES: u64 = 512;

impl Ledger {
    /// Opens the record of a garage, making it where there is none, and brings an older one up to date. Another
    /// program that is writing is waited for as long as `patience`.
    pub fn open(garage: &Path, patience: Duration) -> Result<Self, Problems> {
        let path = garage.join(FILE);
        world::make_folders(garage).map_err(|error| vec![no_folder(garage, &error)])?;
        let opened = waited_for(patience, || Self::prepared(&path, true, patience));
        opened.map_err(|fault| fault.problems(&path))
    }

    /// Opens the record of a garage where there is one, to add to it.
    pub fn open_existing(garage: &Path, patience: Duration) -> Result<Self, Problems> {
        let path = existing(garage).map_err(|fault| fault.problems(&garage.join(FILE)))?;
        let opened = waited_for(patience, || Self::prepared(&path, false, patience));
        opened.map_err(|fault| fault.problems(&path))
    }

    /// Opens the record of a garage to read it. Nothing of it is changed; where it cannot be read in its place, as one of an
    /// older version or in a folder that takes no writes, a copy is read.
    pub fn open_to_read(garage: &Path, patience: Duration) -> Result<Self, Problems> {
        Self::try_open_to_read(garage, patience).map_err(|fault| fault.into_read_problems(&garage.join(FILE)))
    }

    pub(super) fn try_open_to_read(garage: &Path, patience: Duration) -> Result<Self, Fault> {
        let path = existing(garage)?;
        waited_for(patience, || match Self::in_place(&path, patience) {
            Ok(Some(ledger)) => Ok(ledger),
            Ok(None) => Self::copied(&path, patience),
            Err(fault) if fault.wants_to_write() => Self::copied(&path, patience),
            Err(fault) => Err(fault),
        })
    }

    fn prepared(path: &Path, may_make: bool, patience: Duration) -> Result<Self, Fault> {
        if may_make && !path.exists() {
            made_new(path, patience)?;
        }
        if !(may_make && is_none(path)) {
            big_enough(path)?;
        }
        let mut connection = connected(path, OpenFlags::SQLITE_OPEN_READ_WRITE, patience)?;
        migrate::refuse_others(&connection)?;
        connection.pragma_update(None, "journal_mode", "WAL")?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        migrate::bring_up_to_date(&mut connection, path)?;
        Ok(Self { connection, path: path.to_path_buf(), _copy: None })
    }

    /// In its place; `None` where it is of an older version.
    fn in_place(path: &Path, patience: Duration) -> Result<Option<Self>, Fault> {
        let connection = connected(path, OpenFlags::SQLITE_OPEN_READ_ONLY, patience)?;
        migrate::refuse_others(&connection)?;
        let ledger = Self { connection, path: path.to_path_buf(), _copy: None };
        Ok(migrate::is_up_to_date(&ledger.connection)?.then_some(ledger))
    }

    /// A copy, brought up to date and gone with the ledger.
    fn copied(path: &Path, patience: Duration) -> Result<Self, Fault> {
        let scratch = Scratch::inside(&std::env::temp_dir())
            .map_err(|problem| Fault::Unread(Problems::from(problem)))?;
        let copy = scratch.path().join(FILE);
        copy_with_log(path, &copy).map_err(|error| Fault::Unread(vec![unread(path, &error)].into()))?;
        let ledger = Self::prepared(&copy, false, patience)?;
        Ok(Self { path: path.to_path_buf(), _copy: Some(scratch), ..ledger })
    }
}

/// Opened, and opened again while another program is in the way. SQLite waits for most locks by itself, but refuses
/// at once where two programs turn the same new file into one with a write-ahead log.
fn waited_for(patience: Duration, open: impl Fn() -> Result<Ledger, Fault>) -> Result<Ledger, Fault> {
    let since = world::now();
    let waited = || world::now().duration_since(since).unsigned_abs();
    loop {
        match open() {
            Err(fault) if fault.is_busy() && waited() < patience => std::thread::sleep(BETWEEN_TRIES),
            opened => return opened,
        }
    }
}

/// A connection that neither runs what stands in a schema unasked nor lets the schema be written.
pub(super) fn connected(path: &Path, flags: OpenFlags, patience: Duration) -> Result<Connection, Fault> {
    let connection = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(patience)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    Ok(connection)
}

fn existing(garage: &Path) -> Result<PathBuf, Fault> {
    let path = garage.join(FILE);
    if is_none(&path) {
        return Err(Fault::NoRecord(Box::new(nothing_there(&path))));
    }
    big_enough(&path)?;
    Ok(path)
}

/// Whether there is no record yet. An empty file where none was ever seen is none: earlier versions began with one, and could
/// be ended then. Where a record was seen it is what is left of that one.
pub(crate) fn is_none(path: &Path) -> bool {
    let is_empty = world::stamp(path).is_some_and(|file| file.bytes() == 0);
    !path.exists() || (is_empty && path.parent().and_then(seen).is_none())
}

/// Makes a new record under another name and gives it its own when it is whole, so that nobody ever finds half of one. Where
/// another program was faster, its record is the record.
fn made_new(path: &Path, patience: Duration) -> Result<(), Fault> {
    let unmade = |problem: Box<Problem>| Fault::Said(Problems::from(problem));
    let folder = path.parent().unwrap_or(Path::new(""));
    let apart = Scratch::inside(folder).map_err(unmade)?;
    let new = apart.path().join(FILE);
    may(Operation::Create, &new)?;
    let mut connection =
        connected(&new, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE, patience)?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    migrate::bring_up_to_date(&mut connection, &new)?;
    connection.close().map_err(|(_, error)| error)?;
    synced(&new).map_err(|error| broken(&error))?;
    let hint = "Nothing was recorded. See whether the disk is full, sound and takes writes.";
    world::give_name(&new, path).map(|_| ()).map_err(|problem| unmade(Box::new(problem.hint(hint))))
}

/// An empty or tiny file is no record, though a database could be made of it.
fn big_enough(path: &Path) -> Result<(), Fault> {
    let bytes = world::stamp(path).map_or(0, |stamp| stamp.bytes());
    if bytes >= SMALLEST_BYTES {
        return Ok(());
    }
    let expected = format!("a record, which has {SMALLEST_BYTES} bytes or more");
    let problem = Problem::error(path.display().to_string(), expected, format!("a file of {bytes} bytes"));
    Err(Fault::NoRecord(Box::new(
        problem.hint("Its content is gone. Nothing was changed. Take the newest backup."),
    )))
}

fn unread(path: &Path, error: &std::io::Error) -> Problem {
    Problem::error(path.display().to_string(), "a record that can be read", error.to_string())
}
