//! The check of the whole record: the file's own check, its schema, its counts, the chain, and the state by the indexes
//! against the state by all entries.

use super::fault::Fault;
use super::open::is_none;
use super::store::{FILE, Ledger, nothing_there};
use super::{migrate, read, seen};
use crate::world;
use rusqlite::Connection;
use std::path::Path;
use std::time::Duration;
use truing::problem::{Problem, any_error};
use truing::record::{Checker, Corrections, Entry, Expected, Hash, VehicleState};

/// How a check ended.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// Everything is as it was sealed.
    Whole,
    /// It was read, and something is wrong in it.
    NotInOrder,
    /// It could not be read, so that nothing is known of it.
    CannotBeRead,
}

/// What a check found.
pub struct Checked {
    /// How it ended.
    pub finding: Finding,
    /// How many entries.
    pub entries: u64,
    /// Hash of the last.
    pub head: String,
    /// What is wrong.
    pub problems: Vec<Problem>,
}

impl Checked {
    fn none(finding: Finding, problems: Vec<Problem>) -> Self {
        Self { finding, entries: 0, head: Hash::NONE.to_string(), problems }
    }

    fn of_fault(fault: Fault, path: &Path) -> Self {
        let finding = if fault.is_damage() { Finding::NotInOrder } else { Finding::CannotBeRead };
        Self::none(finding, fault.into_read_problems(path).into())
    }
}

/// Opens the record of a garage to read it, and checks it.
pub fn check(garage: &Path, expected: &Expected, patience: Duration) -> Checked {
    let path = garage.join(FILE);
    if is_none(&path) {
        return Checked::none(Finding::CannotBeRead, vec![nothing_there(&path)]);
    }
    match Ledger::try_open_to_read(garage, patience) {
        Ok(ledger) => ledger.check(expected),
        Err(fault) => Checked::of_fault(fault, &path),
    }
}

impl Ledger {
    /// Checks the file and the whole chain: what is wrong, how many entries there are, and the hash of the last.
    pub fn check(&self, expected: &Expected) -> Checked {
        let expected = Expected { now: Some(world::now()), ..*expected };
        self.try_check(&expected).unwrap_or_else(|fault| Checked::of_fault(fault, &self.path))
    }

    fn try_check(&self, expected: &Expected) -> Result<Checked, Fault> {
        // One moment for all questions: another program may add entries meanwhile.
        let moment = self.connection.unchecked_transaction()?;
        let mut problems = Vec::new();
        type Question = fn(&Connection) -> Result<Vec<Problem>, Fault>;
        let questions: [Question; 4] = [damage, unknown_vehicles, migrate::differences, by_indexes];
        for question in questions {
            // One that cannot be answered for damage leaves the others to be asked.
            match question(&moment) {
                Ok(found) => problems.extend(found),
                Err(fault) if fault.is_damage() => problems.extend(fault.problems(&self.path)),
                Err(fault) => return Err(fault),
            }
        }
        let mut checked = match chain(&moment, expected) {
            Err(fault) if fault.is_damage() && any_error(&problems) => {
                Checked::none(Finding::NotInOrder, fault.problems(&self.path).into())
            }
            checked => checked?,
        };
        // A record that cannot be read was told of already.
        problems.extend(seen::lost(&moment, &self.path).ok().flatten());
        checked.problems.splice(..0, problems);
        if any_error(&checked.problems) {
            checked.finding = Finding::NotInOrder;
        }
        Ok(checked)
    }
}

/// Checks the whole chain as this connection sees it, what it has not yet committed included.
pub(super) fn chain(connection: &Connection, expected: &Expected) -> Result<Checked, Fault> {
    let mut corrections = Corrections::default();
    read::corrections(connection, |entry| corrections.add(&entry))?;
    let mut checker = Checker::new(*expected, corrections);
    let (mut rows, mut problems) = (0, Vec::new());
    problems.extend(read::each_readable(connection, |entry| checker.feed(&entry), &mut rows)?);
    let (entries, head) = checker.so_far();
    problems.extend(checker.finish());
    let counted: i64 =
        connection.query_row("SELECT count(*) FROM entry NOT INDEXED", [], |row| row.get(0))?;
    if u64::try_from(counted) != Ok(rows) {
        problems.push(changed(format!("{counted} entries, as the table counts them"), format!("{rows}")));
    }
    let finding = if any_error(&problems) { Finding::NotInOrder } else { Finding::Whole };
    Ok(Checked { finding, entries, head: head.to_string(), problems })
}

fn changed(expected: impl Into<String>, found: impl Into<String>) -> Problem {
    Problem::error("record", expected, found)
        .hint("The file was changed from outside. Look for an older copy.")
}

/// What the file's own check finds: every page, every index against its table, every constraint.
fn damage(connection: &Connection) -> Result<Vec<Problem>, Fault> {
    let mut statement = connection.prepare("PRAGMA integrity_check(20)")?;
    let said: Vec<String> = statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
    let wrong = said.into_iter().filter(|line| line != "ok");
    let hint = "The file is damaged. `waywiser record rescue` sets it aside by copy and shows what can still be read.";
    Ok(wrong.map(|line| Problem::error("record", "a file that is whole", line).hint(hint)).collect())
}

/// Entries whose vehicle is not there, and vehicles that no entry is about.
fn unknown_vehicles(connection: &Connection) -> Result<Vec<Problem>, Fault> {
    let numbers = |sql: &str| -> Result<Vec<i64>, Fault> {
        let mut statement = connection.prepare(sql)?;
        Ok(statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?)
    };
    let without = numbers("SELECT rowid FROM pragma_foreign_key_check('entry')")?;
    let idle = "SELECT number FROM vehicle WHERE number NOT IN (SELECT vehicle FROM entry NOT INDEXED)";
    let without =
        without.iter().map(|entry| changed("the vehicle of each entry", format!("none for entry {entry}")));
    let idle = numbers(idle)?.into_iter();
    let idle = idle.map(|number| changed("an entry for each vehicle", format!("none for vehicle {number}")));
    Ok(without.chain(idle).collect())
}

/// The state of each vehicle as the indexes give it against that from every entry of the table.
fn by_indexes(connection: &Connection) -> Result<Vec<Problem>, Fault> {
    let mut problems = Vec::new();
    for name in read::vehicles(connection)? {
        let all = read::of_vehicle_by_table(connection, &name)?;
        let some = read::that_matter(connection, &name, None)?;
        let known = |entries: &[Entry]| VehicleState { last_entry: 0, ..VehicleState::from_entries(entries) };
        if known(&all) != known(&some) || read::of_vehicle(connection, &name)? != all {
            problems.push(changed("an index that agrees with its table", format!("another state of {name}")));
        }
    }
    Ok(problems)
}
