//! The shape of the file through the versions: migrations that are only ever added.

use super::disk::may;
use super::fault::Fault;
use crate::world::faults::Operation;
use rusqlite::{Connection, TransactionBehavior};
use std::path::Path;
use truing::problem::{Field, Problem, Wording};

/// Every migration, in order. The number of those applied stands in the file as its `user_version`.
pub const MIGRATIONS: [&str; 3] = [
    include_str!("../../migrations/2026-11-25-first-entries.sql"),
    include_str!("../../migrations/2026-11-25-indexes-of-a-vehicle.sql"),
    include_str!("../../migrations/2026-11-30-requests.sql"),
];
/// Says that a file is a record of this program: the letters `wayw`.
const MARK: i64 = 0x7761_7977;

fn number(connection: &Connection, name: &str) -> Result<i64, rusqlite::Error> {
    connection.pragma_query_value(None, name, |row| row.get(0))
}

/// A file of another program, or of a later version, is not touched.
pub fn refuse_others(connection: &Connection) -> Result<(), Fault> {
    // In one transaction: another program may be making the file at this moment.
    let moment = connection.unchecked_transaction()?;
    let (mark, version) = (number(&moment, "application_id")?, number(&moment, "user_version")?);
    let pages = number(&moment, "schema_version")?;
    moment.finish()?;
    if mark != MARK && (mark != 0 || pages != 0) {
        let problem = Problem::error("record", "a record of this program", "a database of another one");
        let hint =
            Wording::from("Nothing was changed. Choose another folder with ").field(Field::Garage).text(".");
        return Err(problem.hint(hint).into());
    }
    if version > MIGRATIONS.len() as i64 {
        let expected = format!("a record of version {} or earlier", MIGRATIONS.len());
        let problem = Problem::error("record", expected, format!("version {version}"));
        return Err(problem.hint("Nothing was changed. Use the newer program that made it.").into());
    }
    Ok(())
}

/// Applies what is missing, in one transaction: all of it or nothing.
pub fn bring_up_to_date(connection: &mut Connection, path: &Path) -> Result<(), Fault> {
    if !is_up_to_date(connection)? {
        may(Operation::Commit, path)?;
    }
    up_to(connection, MIGRATIONS.len())
}

/// Whether no migration is missing.
pub fn is_up_to_date(connection: &Connection) -> Result<bool, Fault> {
    Ok(number(connection, "user_version")? >= MIGRATIONS.len() as i64)
}

/// What stands in the schema: kind, name, table and text of each part, in order.
type Parts = Vec<[String; 4]>;

fn parts(connection: &Connection) -> Result<Parts, Fault> {
    let mut statement = connection
        .prepare("SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name")?;
    let rows = statement.query_map([], |row| Ok([row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?]))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What differs between the schema of a file and what its migrations make.
pub fn differences(connection: &Connection) -> Result<Vec<Problem>, Fault> {
    let version = usize::try_from(number(connection, "user_version")?).unwrap_or(0);
    let mut new = Connection::open_in_memory()?;
    up_to(&mut new, version.min(MIGRATIONS.len()))?;
    let (expected, found) = (parts(&new)?, parts(connection)?);
    let name = |part: &[String; 4]| format!("the {} `{}`", part[0], part[1]);
    let missing = expected.iter().filter(|part| !found.contains(part));
    let more = found.iter().filter(|part| !expected.contains(part));
    let problem = |expected: String, found: String| {
        Problem::error("record", expected, found)
            .hint("The file was changed from outside. Look for an older copy.")
    };
    let missing = missing.map(|part| {
        problem(format!("{} as version {version} makes it", name(part)), "another or none".into())
    });
    let more = more.map(|part| problem("nothing else in the file".into(), name(part)));
    Ok(missing.chain(more).collect())
}

/// Applies the migrations up to a number of them.
fn up_to(connection: &mut Connection, count: usize) -> Result<(), Fault> {
    if number(connection, "user_version")? >= count as i64 {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have been faster while this one waited.
    let applied = usize::try_from(number(&transaction, "user_version")?).unwrap_or(0);
    for migration in MIGRATIONS.iter().take(count).skip(applied) {
        transaction.execute_batch(migration)?;
    }
    transaction.pragma_update(None, "user_version", count.max(applied) as i64)?;
    transaction.pragma_update(None, "application_id", MARK)?;
    Ok(transaction.commit()?)
}

#[cfg(test)]
pub(super) fn made_by_the_first(path: &std::path::Path) -> Connection {
    let mut connection = Connection::open(path).unwrap();
    up_to(&mut connection, 1).unwrap();
    connection
}
