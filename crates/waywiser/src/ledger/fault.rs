//! What can go wrong with the file, in words.

use super::holder;
use rusqlite::ErrorCode;
use std::path::Path;
use truing::problem::Problem;

/// Why the record could not be read or added to.
#[derive(Debug)]
pub enum Fault {
    /// What SQLite said.
    Sqlite(rusqlite::Error),
    /// What speaks against it, already in words.
    Said(Vec<Problem>),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sqlite(error)
    }
}

impl From<Problem> for Fault {
    fn from(problem: Problem) -> Self {
        Self::Said(vec![problem])
    }
}

impl Fault {
    fn code(&self) -> Option<ErrorCode> {
        match self {
            Self::Sqlite(error) => error.sqlite_error_code(),
            Self::Said(_) => None,
        }
    }

    /// Whether another program is in the way.
    pub fn is_busy(&self) -> bool {
        matches!(self.code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked))
    }

    /// The same for a person.
    pub fn problems(self, path: &Path) -> Vec<Problem> {
        let code = self.code();
        let error = match self {
            Self::Said(problems) => return problems,
            Self::Sqlite(error) => error.to_string(),
        };
        let place = path.display().to_string();
        let (expected, found, hint) = match code {
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => (
                "a record that is whole",
                format!("a damaged file ({error})"),
                "Nothing was changed. `waywiser record rescue` sets the file aside by copy and shows what can still be \
                 read; then take the newest backup.",
            ),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
                "a record that nobody else is writing to",
                holder::who(path),
                "Nothing was added. Wait until it is done, or end it, and try again.",
            ),
            Some(ErrorCode::DiskFull) => {
                ("room on the disk", error, "Nothing was added. Make room and add it again.")
            }
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => (
                "a place that can be written to",
                error,
                "Choose another place with --garage, or mend the rights of this one.",
            ),
            Some(ErrorCode::SystemIoFailure) => (
                "a disk that keeps what is written",
                error,
                "Nothing was added. See whether there is room and whether the disk is sound, and try again.",
            ),
            _ => ("a record that can be read and added to", error, "Nothing was added. Try again."),
        };
        vec![Problem::error(place, expected, found).hint(hint)]
    }
}
