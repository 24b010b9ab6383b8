//! What is left of a damaged file. The file itself is never written to.

use super::disk::copy_with_log;
use super::fault::Fault;
use super::open::connected;
use super::read;
use super::store::{FILE, nothing_there};
use rusqlite::{Connection, OpenFlags};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::{Problem, Problems};
use truing::record::{Chain, Draft, Entry, hash_of};

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
pub fn salvage(garage: &Path, stamp: &str) -> Result<Salvage, Problems> {
    let path = garage.join(FILE);
    if !path.exists() {
        return Err(nothing_there(&path).into());
    }
    let copy = copied(&path, stamp).map_err(|error| {
        let place = garage.display().to_string();
        Problems::from(
            Problem::error(place, "room for a copy of the damaged file", error.to_string())
                .hint("Nothing was changed. Make room and try again."),
        )
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
    (Chain::from_entries(entries), problems)
}

/// Copies the file and the log of writes beside it; never over a file that is there.
fn copied(path: &Path, stamp: &str) -> std::io::Result<PathBuf> {
    let free = |turn: usize| {
        let more = if turn == 0 { String::new() } else { format!("-{turn}") };
        path.with_file_name(format!("record-damaged-{stamp}{more}.sqlite"))
    };
    let copy = (0..).map(free).find(|copy| !copy.exists()).unwrap_or_else(|| free(0));
    copy_with_log(path, &copy)?;
    Ok(copy)
}

/// Row by row, each looked up by its number: a damaged page stops a walk through the table, but hides no entry on its
/// other side. A vehicle's name is looked up apart from its entries, and one that is damaged takes none of them along.
fn readable(copy: &Path, problems: &mut Vec<Problem>) -> Result<Vec<Entry>, Fault> {
    let connection = connected(copy, OpenFlags::SQLITE_OPEN_READ_WRITE, Duration::ZERO)?;
    let last = last_sequence(&connection);
    let names = names(&connection);
    let mut entries = Vec::new();
    let (mut missed, mut nameless) = (0_u64, 0_u64);
    for sequence in 1..=last {
        match bare_entry(&connection, sequence, &names) {
            Some((entry, is_named)) => {
                nameless += u64::from(!is_named);
                entries.push(entry);
            }
            None => missed += 1,
        }
    }
    if nameless > 0 {
        let found = format!(
            "{nameless} whose vehicle's name is damaged; they are given under the number of the vehicle"
        );
        problems.push(Problem::warning(
            copy.display().to_string(),
            "entries with the name of their vehicle",
            found,
        ));
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

/// The names of the vehicles that can be read, by their numbers.
fn names(connection: &Connection) -> BTreeMap<i64, String> {
    let mut names = BTreeMap::new();
    for sql in [
        "SELECT number, name FROM vehicle",
        "SELECT rowid, name FROM vehicle INDEXED BY sqlite_autoindex_vehicle_1",
    ] {
        let Ok(mut statement) = connection.prepare(sql) else { continue };
        let Ok(mut rows) = statement.query([]) else { continue };
        while let Ok(Some(row)) = rows.next() {
            if let (Ok(number), Ok(name)) = (row.get(0), row.get(1)) {
                names.entry(number).or_insert(name);
            }
        }
    }
    names
}

/// One row of the table of entries, and whether the name of its vehicle is known: the one that its number leads to, or any
/// with which the entry's hash is right.
fn bare_entry(
    connection: &Connection,
    sequence: u64,
    names: &BTreeMap<i64, String>,
) -> Option<(Entry, bool)> {
    let sql = "SELECT sequence, time, CAST(vehicle AS TEXT), kind, fields, previous, hash FROM entry NOT INDEXED WHERE sequence = ?1";
    let mut statement = connection.prepare(sql).ok()?;
    let mut rows = statement.query([i64::try_from(sequence).ok()?]).ok()?;
    let entry = read::from_row(rows.next().ok()??).ok()?;
    let number: i64 = entry.event.vehicle.parse().unwrap_or(0);
    let called = |name: &String| {
        let event = Draft { vehicle: name.clone(), ..entry.event.clone() };
        Entry { event, ..entry.clone() }
    };
    let is_right = |entry: &Entry| hash_of(entry.sequence, &entry.previous, &entry.event) == entry.hash;
    let by_number = names.get(&number).map(called);
    if let Some(right) =
        by_number.iter().cloned().chain(names.values().map(called)).find(|entry| is_right(entry))
    {
        return Some((right, true));
    }
    by_number.map(|entry| (entry, true)).or_else(|| Some((called(&format!("vehicle {number}")), false)))
}

/// The highest number any part of the file still tells. An index is a second way where the table is damaged.
fn last_sequence(connection: &Connection) -> u64 {
    let ask = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, Option<i64>>(0)).ok().flatten();
    let found = [
        ask("SELECT max(sequence) FROM entry"),
        ask("SELECT max(sequence) FROM entry INDEXED BY entry_of_vehicle"),
        ask("SELECT sequence FROM entry NOT INDEXED ORDER BY sequence DESC LIMIT 1"),
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
