//! What is left of a damaged file. The file itself is never written to.

use super::fault::Fault;
use super::{FILE, nothing_there, read};
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use truing::problem::Problem;
use truing::record::{Chain, Entry};

/// What could be read, and where the copy is.
pub struct Salvage {
    /// The entries that could be read, in order; gaps show in a check.
    pub chain: Chain,
    /// The copy of the damaged file.
    pub copy: PathBuf,
    /// What could not be read.
    pub problems: Vec<Problem>,
}

/// Sets the file of a garage aside by copy, named with `stamp`, and reads from the copy what can be read.
pub fn salvage(garage: &Path, stamp: &str) -> Result<Salvage, Vec<Problem>> {
    let path = garage.join(FILE);
    if !path.exists() {
        return Err(vec![nothing_there(&path)]);
    }
    let copy = copied(&path, stamp).map_err(|error| {
        let place = garage.display().to_string();
        vec![
            Problem::error(place, "room for a copy of the damaged file", error.to_string())
                .hint("Nothing was changed. Make room and try again."),
        ]
    })?;
    let (chain, problems) = salvaged(&copy);
    Ok(Salvage { chain, copy, problems })
}

/// What can be read of a copy that was set aside, and what cannot.
pub fn salvaged(copy: &Path) -> (Chain, Vec<Problem>) {
    let mut problems = Vec::new();
    let entries = readable(copy, &mut problems).unwrap_or_else(|fault| {
        problems.extend(fault.problems(copy));
        Vec::new()
    });
    (Chain::of(entries), problems)
}

/// Copies the file and the log of writes beside it; never over a file that is there.
fn copied(path: &Path, stamp: &str) -> std::io::Result<PathBuf> {
    let free = |turn: usize| {
        let more = if turn == 0 { String::new() } else { format!("-{turn}") };
        path.with_file_name(format!("record-damaged-{stamp}{more}.sqlite"))
    };
    let copy = (0..).map(free).find(|copy| !copy.exists()).unwrap_or_else(|| free(0));
    std::fs::copy(path, &copy)?;
    let log = beside(path, "-wal");
    if log.exists() {
        std::fs::copy(log, beside(&copy, "-wal"))?;
    }
    Ok(copy)
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Row by row, each looked up by its number: a damaged page stops a walk through the table, but hides no entry on its
/// other side.
fn readable(copy: &Path, problems: &mut Vec<Problem>) -> Result<Vec<Entry>, Fault> {
    let connection = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    let last = last_sequence(&connection);
    let mut entries = Vec::new();
    let mut missed = 0_u64;
    for sequence in 1..=last {
        match read::entry(&connection, sequence) {
            Ok(Some(entry)) => entries.push(entry),
            Ok(None) | Err(_) => missed += 1,
        }
    }
    if missed > 0 || entries.is_empty() {
        let found = format!("{} that can be read, {missed} that cannot", entries.len());
        problems.push(
            Problem::warning(copy.display().to_string(), format!("{last} entries"), found)
                .hint("Look for the rest in an older copy."),
        );
    }
    Ok(entries)
}

/// The highest number any part of the file still tells. An index is a second way where the table is damaged.
fn last_sequence(connection: &Connection) -> u64 {
    let ask = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, Option<i64>>(0)).ok().flatten();
    let found = [
        ask("SELECT max(sequence) FROM entry"),
        ask("SELECT max(sequence) FROM entry INDEXED BY entry_of_vehicle"),
        ask("SELECT count(*) FROM entry"),
    ];
    // A damaged number could ask for a walk without end.
    let most = connection.pragma_query_value(None, "page_count", |row| row.get::<_, i64>(0)).unwrap_or(0)
        * ROWS_PER_PAGE;
    let last = found.into_iter().flatten().max().unwrap_or(most).min(most);
    u64::try_from(last).unwrap_or(0)
}

/// More rows than fit on a page: a row holds two hashes of 32 bytes, and a page 4096 bytes unless set otherwise.
const ROWS_PER_PAGE: i64 = 64;
