//! Reading entries.

use super::fault::Fault;
use super::store::Ledger;
use rusqlite::{Connection, OptionalExtension, Row, Statement, params};
use truing::problem::{Problem, Problems};
use truing::record::{Chain, Draft, Entry, EventKind, Hash};
use truing::report::answers::record_head::RecordHead;

const COLUMNS: &str = "sequence, time, name, kind, fields, previous, hash";
const ENTRY: &str = "entry JOIN vehicle ON entry.vehicle = vehicle.number";
/// Kinds that are frequent and change the state of a vehicle only by their odometer are left out; as in the index,
/// which is named because the planner prefers a wider one and then reads every entry.
const THAT_MATTERS: &str = "entry INDEXED BY entry_that_matters JOIN vehicle ON entry.vehicle = vehicle.number \
                            WHERE kind NOT IN ('odometer', 'evidence', 'note', 'fuel')";
/// A correction's reading belongs to the entry that it corrects.
const WITH_ODOMETER: &str = "entry INDEXED BY entry_with_odometer JOIN vehicle ON entry.vehicle = vehicle.number \
                             WHERE json_extract(fields, '$.odometer') IS NOT NULL AND kind <> 'correction'";

impl Ledger {
    /// Every entry, one at a time.
    pub fn each(&self, take: impl FnMut(Entry)) -> Result<(), Problems> {
        each(&self.connection, take).map_err(|fault| fault.problems(&self.path))
    }

    /// The whole chain, in memory.
    pub fn chain(&self) -> Result<Chain, Problems> {
        let mut entries = Vec::new();
        self.each(|entry| entries.push(entry))?;
        Ok(Chain::from_entries(entries))
    }

    /// The names of the vehicles, in the order in which they came in.
    pub fn vehicles(&self) -> Result<Vec<String>, Problems> {
        vehicles(&self.connection).map_err(|fault| fault.problems(&self.path))
    }

    /// All entries of a vehicle.
    pub fn of_vehicle(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        of_vehicle(&self.connection, vehicle).map_err(|fault| fault.problems(&self.path))
    }

    /// The hash of the last entry; none in an empty record.
    pub fn head(&self) -> Result<Option<Hash>, Problems> {
        let last = head(&self.connection).map_err(|fault| fault.problems(&self.path))?;
        Ok(last.map(|entry| entry.hash))
    }

    /// How many entries there are and the hash of the last, as papers show it, signed where there is a key; none in an empty
    /// record.
    pub fn reaches(&self) -> Result<Option<RecordHead>, Problems> {
        let last = head(&self.connection).map_err(|fault| fault.problems(&self.path))?;
        Ok(last.map(|last| RecordHead::new(last.sequence, &last.hash, self.key().as_ref())))
    }

    /// The hash of an entry that begins with these digits, as a foot of a paper shows it; the last such.
    pub fn hash_that_begins(&self, digits: &str) -> Result<Option<Hash>, Problems> {
        let begins = || -> Result<Option<Hash>, Fault> {
            let sql = "SELECT hash FROM entry NOT INDEXED WHERE substr(hex(hash), 1, ?2) = ?1 ORDER BY sequence DESC LIMIT 1";
            let digits = digits.to_ascii_uppercase();
            let length = i64::try_from(digits.len()).unwrap_or(i64::MAX);
            let found =
                self.connection.query_row(sql, params![digits, length], |row| row.get(0)).optional()?;
            Ok(found.map(Hash::from_bytes))
        };
        begins().map_err(|fault| fault.problems(&self.path))
    }

    /// The entries that the state of a vehicle rests on: few, however long its history.
    pub fn that_matter(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        that_matter(&self.connection, vehicle, None).map_err(|fault| fault.problems(&self.path))
    }
}

/// The names of the vehicles, in the order in which they came in.
pub fn vehicles(connection: &Connection) -> Result<Vec<String>, Fault> {
    let mut statement = connection.prepare("SELECT name FROM vehicle ORDER BY number")?;
    let names = statement.query_map([], |row| row.get(0))?;
    Ok(names.collect::<Result<_, _>>()?)
}

fn damaged(sequence: i64, what: &str) -> Fault {
    let found = format!("a row that is damaged in its {what}");
    let problem = Problem::error("record", "an entry", found).in_part(format!("entry {sequence}"));
    problem.hint("Look for an older copy; `waywiser record rescue` shows what can still be read.").into()
}

/// The entry in a row.
pub fn from_row(row: &Row) -> Result<Entry, Fault> {
    let number: i64 = row.get(0)?;
    let sequence = u64::try_from(number).map_err(|_| damaged(number, "number"))?;
    let (time, vehicle, kind): (String, String, String) = (row.get(1)?, row.get(2)?, row.get(3)?);
    let (fields, previous, hash): (String, [u8; 32], [u8; 32]) = (row.get(4)?, row.get(5)?, row.get(6)?);
    let event = Draft {
        time: time.parse().map_err(|_| damaged(number, "time"))?,
        vehicle,
        kind: EventKind::read(&kind).map_err(|_| damaged(number, "kind"))?,
        fields: serde_json::from_str(&fields).map_err(|_| damaged(number, "fields"))?,
    };
    Ok(Entry { sequence, event, previous: Hash::from_bytes(previous), hash: Hash::from_bytes(hash) })
}

/// The entries that a query names, from its `FROM` on.
fn query(connection: &Connection, from: &str, values: impl rusqlite::Params) -> Result<Vec<Entry>, Fault> {
    let mut statement = connection.prepare(&format!("SELECT {COLUMNS} FROM {from}"))?;
    let mut rows = statement.query(values)?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        entries.push(from_row(row)?);
    }
    Ok(entries)
}

/// The question for every entry, in order.
pub fn all(connection: &Connection) -> Result<Statement<'_>, Fault> {
    let from = "entry NOT INDEXED LEFT JOIN vehicle ON entry.vehicle = vehicle.number";
    Ok(connection.prepare(&format!("SELECT {COLUMNS} FROM {from} ORDER BY sequence"))?)
}

/// Every entry, in order.
pub fn each(connection: &Connection, mut take: impl FnMut(Entry)) -> Result<(), Fault> {
    let mut statement = all(connection)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        take(from_row(row)?);
    }
    Ok(())
}

/// Every entry that can be read, in order, and a problem for each that cannot; how many rows there were.
pub fn each_readable(
    connection: &Connection,
    mut take: impl FnMut(Entry),
    rows_read: &mut u64,
) -> Result<Vec<Problem>, Fault> {
    let mut problems = Vec::new();
    let mut statement = all(connection)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        *rows_read += 1;
        match from_row(row) {
            Ok(entry) => take(entry),
            Err(Fault::Said(said) | Fault::Unread(said)) => problems.extend(said),
            Err(Fault::NoRecord(problem)) => problems.push(*problem),
            Err(Fault::Sqlite(error)) => {
                let problem = Problem::error("record", "an entry", error.to_string());
                problems.push(problem.hint("The row was changed from outside. Look for an older copy."));
            }
        }
    }
    Ok(problems)
}

/// Every correction, in order.
pub fn corrections(connection: &Connection, take: impl FnMut(Entry)) -> Result<(), Fault> {
    let from = format!("{THAT_MATTERS} AND kind = 'correction' ORDER BY sequence");
    query(connection, &from, [])?.into_iter().for_each(take);
    Ok(())
}

/// One entry.
pub fn entry(connection: &Connection, sequence: u64) -> Result<Option<Entry>, Fault> {
    let sequence = i64::try_from(sequence).unwrap_or(i64::MAX);
    Ok(query(connection, &format!("{ENTRY} WHERE sequence = ?1"), [sequence])?.pop())
}

/// All entries of a vehicle, in order.
pub fn of_vehicle(connection: &Connection, vehicle: &str) -> Result<Vec<Entry>, Fault> {
    let from =
        format!("{ENTRY} WHERE vehicle = (SELECT number FROM vehicle WHERE name = ?1) ORDER BY sequence");
    query(connection, &from, params![vehicle])
}

/// The last entry.
pub fn head(connection: &Connection) -> Result<Option<Entry>, Fault> {
    let from = format!("{ENTRY} WHERE sequence = (SELECT max(sequence) FROM entry)");
    Ok(query(connection, &from, [])?.pop())
}

/// The entries that carry the key of a request, in order.
pub fn of_request(connection: &Connection, key: &str) -> Result<Vec<Entry>, Fault> {
    let from = format!(
        "{ENTRY} WHERE json_extract(fields, '$.request') IS NOT NULL AND json_extract(fields, '$.request') = ?1 ORDER BY sequence"
    );
    query(connection, &from, [key])
}

/// All entries of a vehicle by a walk through the table itself, whatever the indexes say.
pub fn of_vehicle_by_table(connection: &Connection, vehicle: &str) -> Result<Vec<Entry>, Fault> {
    let from = "entry NOT INDEXED JOIN vehicle ON entry.vehicle = vehicle.number WHERE vehicle.name = ?1 ORDER BY sequence";
    query(connection, from, [vehicle])
}

/// The entries that the state of a vehicle rests on: every one of the kinds that matter, what corrections name, the
/// first and the last reading of the odometer, and the readings around each entry whose place hangs on them. `named` is
/// one more that somebody is about to correct.
pub fn that_matter(connection: &Connection, vehicle: &str, named: Option<u64>) -> Result<Vec<Entry>, Fault> {
    let number: Option<i64> = connection
        .prepare("SELECT number FROM vehicle WHERE name = ?1")?
        .query_row([vehicle], |row| row.get(0))
        .optional()?;
    let Some(number) = number else { return Ok(Vec::new()) };
    let mut entries =
        query(connection, &format!("{THAT_MATTERS} AND vehicle = ?1 ORDER BY sequence"), params![number])?;
    let corrected: Vec<u64> = entries
        .iter()
        .filter(|entry| entry.event.kind == EventKind::Correction)
        .filter_map(|entry| entry.event.named().flatten())
        .chain(named)
        .collect();
    let mut places: Vec<u64> =
        entries.iter().filter(|entry| hangs_on_neighbours(entry)).map(|e| e.sequence).collect();
    for sequence in corrected {
        entries.extend(entry(connection, sequence)?.filter(|entry| entry.event.vehicle == vehicle));
        places.push(sequence);
    }
    places.extend([0, i64::MAX.unsigned_abs()]);
    for (side, order) in [("<", "DESC"), (">", "ASC")] {
        entries.extend(neighbours(connection, number, &places, side, order)?);
    }
    entries.sort_by_key(|entry| entry.sequence);
    entries.dedup_by_key(|entry| entry.sequence);
    Ok(entries)
}

/// Whether the readings around an entry say where it is, or whether another odometer begins with it.
fn hangs_on_neighbours(entry: &Entry) -> bool {
    match entry.event.kind {
        EventKind::Equipment | EventKind::RollOver => true,
        EventKind::Write | EventKind::Service => !entry.event.fields.contains_key("odometer"),
        _ => false,
    }
}

/// The readings of a vehicle's odometer next to some entries, on one side.
fn neighbours(
    connection: &Connection,
    vehicle: i64,
    places: &[u64],
    side: &str,
    order: &str,
) -> Result<Vec<Entry>, Fault> {
    let mut statement = connection.prepare(&format!(
        "SELECT {COLUMNS} FROM {WITH_ODOMETER} AND vehicle = ?1 AND sequence {side} ?2 ORDER BY sequence {order} LIMIT 1"
    ))?;
    let mut found = Vec::new();
    for place in places {
        let mut rows = statement.query(params![vehicle, i64::try_from(*place).unwrap_or(i64::MAX)])?;
        if let Some(row) = rows.next()? {
            found.push(from_row(row)?);
        }
    }
    Ok(found)
}
