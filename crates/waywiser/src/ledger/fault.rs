//! What can go wrong with the file, in words.

use super::holder;
use rusqlite::ErrorCode;
use std::path::Path;
use truing::problem::{Field, Problem, Problems, Wording};

/// Why the record could not be read or added to.
#[derive(Debug)]
pub enum Fault {
    /// What SQLite said.
    Sqlite(rusqlite::Error),
    /// What speaks against it, already in words.
    Said(Problems),
    /// Neither the file nor a copy of it could be read.
    Unread(Problems),
    /// The file is no record at all.
    NoRecord(Box<Problem>),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sqlite(error)
    }
}

impl From<Problem> for Fault {
    fn from(problem: Problem) -> Self {
        Self::Said(problem.into())
    }
}

impl Fault {
    fn code(&self) -> Option<ErrorCode> {
        match self {
            Self::Sqlite(error) => error.sqlite_error_code(),
            Self::Said(_) | Self::Unread(_) | Self::NoRecord(_) => None,
        }
    }

    /// Whether another program is in the way.
    pub fn is_busy(&self) -> bool {
        matches!(self.code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked))
    }

    /// Whether it came of a place that takes no writes or has no room: a reader too needs an index in memory beside the
    /// file.
    pub fn wants_to_write(&self) -> bool {
        use ErrorCode::{CannotOpen, DiskFull, PermissionDenied, ReadOnly, SystemIoFailure};
        matches!(self.code(), Some(ReadOnly | CannotOpen | PermissionDenied | DiskFull | SystemIoFailure))
    }

    /// Whether the file itself is wrong, and not the way to it.
    pub fn is_damage(&self) -> bool {
        match self {
            Self::Sqlite(_) => !self.is_busy() && !self.wants_to_write(),
            Self::Unread(_) => false,
            Self::Said(_) | Self::NoRecord(_) => true,
        }
    }

    /// The same for a person.
    pub fn into_read_problems(self, path: &Path) -> Problems {
        let is_damage = self.is_damage();
        let mut problems = self.problems(path);
        for problem in problems.iter_mut().filter(|_| !is_damage) {
            problem.hint =
                "The record could not be read; nothing is known of whether it is in order. See to the \
                            rights of the file and its folder, and check again."
                    .into();
        }
        problems
    }

    /// The same for a person.
    pub fn problems(self, path: &Path) -> Problems {
        let code = self.code();
        let error = match self {
            Self::Said(problems) | Self::Unread(problems) => return problems,
            Self::NoRecord(problem) => return problem.into(),
            Self::Sqlite(error) => error.to_string(),
        };
        let place = path.display().to_string();
        let (expected, found, hint) = match code {
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => (
                "a record that is whole",
                format!("a damaged file ({error})"),
                "Nothing was changed. `waywiser record rescue` sets the file aside by copy and shows what can still be \
                 read; then take the newest backup."
                    .into(),
            ),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
                "a record that nobody else is writing to",
                holder::who(path),
                "Nothing was added. Wait until it is done, or end it, and try again.".into(),
            ),
            Some(ErrorCode::DiskFull) => {
                ("room on the disk", error, "Nothing was added. Make room and add it again.".into())
            }
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => (
                "a place that can be written to",
                error,
                Wording::from("Choose another place with ")
                    .field(Field::Garage)
                    .text(", or correct the rights of this one."),
            ),
            Some(ErrorCode::SystemIoFailure) => (
                "a disk that keeps what is written",
                error,
                "Nothing was added. See whether there is room and whether the disk is sound, and try again."
                    .into(),
            ),
            _ => ("a record that can be read and added to", error, "Nothing was added. Try again.".into()),
        };
        Problem::error(place, expected, found).hint(hint).into()
    }
}
