//! Adding entries.

use super::Ledger;
use super::fault::Fault;
use super::read;
use rusqlite::{Connection, Statement, TransactionBehavior, params};
use truing::problem::{Problem, any_error};
use truing::record::{Checker, Corrections, Draft, Entry, EventKind, Expected, Hash, objections, seal};

impl Ledger {
    /// Adds an event. The entry is returned once it is on the disk and was read back; with an error nothing was added.
    pub fn append(&mut self, event: Draft) -> Result<Entry, Vec<Problem>> {
        self.append_made(|_| Ok(event))
    }

    /// Adds an event that is made from the earlier entries of its vehicle while nobody else can add one.
    pub fn append_made(
        &mut self,
        make: impl FnOnce(&Look) -> Result<Draft, Vec<Problem>>,
    ) -> Result<Entry, Vec<Problem>> {
        let path = self.path.clone();
        self.try_append(make).map_err(|fault| fault.problems(&path))
    }

    fn try_append(
        &mut self,
        make: impl FnOnce(&Look) -> Result<Draft, Vec<Problem>>,
    ) -> Result<Entry, Fault> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let event = make(&Look { connection: &transaction }).map_err(Fault::Said)?;
        let head = read::head(&transaction)?;
        let (sequence, previous) =
            head.as_ref().map_or((1, Hash::NONE), |head| (head.sequence + 1, head.hash));
        let earlier = match event.stands_alone() {
            true => Vec::new(),
            // A correction can contradict any later reading, and whoever is refused is told of each.
            false if event.kind == EventKind::Correction => read::of_vehicle(&transaction, &event.vehicle)?,
            false => read::that_matter(&transaction, &event.vehicle, event.named().flatten())?,
        };
        let problems = objections(&earlier, sequence, &event);
        if any_error(&problems) {
            return Err(Fault::Said(problems));
        }
        let entry = seal(sequence, previous, event);
        Inserter::new(&transaction)?.insert(&entry)?;
        transaction.commit()?;
        confirmed(&self.connection, &entry)?;
        Ok(entry)
    }

    /// Checks the file and the whole chain: what is wrong, how many entries there are, and the hash of the last.
    pub fn check(&self, expected: &Expected) -> Result<Checked, Vec<Problem>> {
        self.try_check(expected).map_err(|fault| fault.problems(&self.path))
    }

    fn try_check(&self, expected: &Expected) -> Result<Checked, Fault> {
        let damage = read::damage(&self.connection)?;
        let mut checked = checked(&self.connection, expected)?;
        checked.problems.splice(..0, damage);
        Ok(checked)
    }
}

/// Checks the whole chain as this connection sees it, what it has not yet committed included.
pub(super) fn checked(connection: &Connection, expected: &Expected) -> Result<Checked, Fault> {
    let mut corrections = Corrections::default();
    read::corrections(connection, |entry| corrections.add(&entry))?;
    let mut checker = Checker::new(*expected, corrections);
    let mut problems = read::each_readable(connection, |entry| checker.feed(&entry))?;
    let (entries, head) = checker.so_far();
    problems.extend(checker.finish());
    Ok(Checked { entries, head: head.to_string(), problems })
}

/// What a check found.
pub struct Checked {
    /// How many entries.
    pub entries: u64,
    /// Hash of the last.
    pub head: String,
    /// What is wrong.
    pub problems: Vec<Problem>,
}

/// A look at the record while nobody else can add to it.
pub struct Look<'a> {
    connection: &'a Connection,
}

impl Look<'_> {
    /// The entries of a vehicle that its state rests on.
    pub fn that_matter(&self, vehicle: &str) -> Result<Vec<Entry>, Vec<Problem>> {
        read::that_matter(self.connection, vehicle, None)
            .map_err(|fault| fault.problems(std::path::Path::new("record")))
    }
}

/// Statements that add an entry, made ready once.
pub(super) struct Inserter<'a> {
    vehicle: Statement<'a>,
    entry: Statement<'a>,
}

impl<'a> Inserter<'a> {
    pub(super) fn new(connection: &'a Connection) -> Result<Self, Fault> {
        let vehicle =
            connection.prepare("INSERT INTO vehicle (name) VALUES (?1) ON CONFLICT (name) DO NOTHING")?;
        let entry = connection.prepare(
            "INSERT INTO entry (sequence, time, vehicle, kind, fields, previous, hash)
             VALUES (?1, ?2, (SELECT number FROM vehicle WHERE name = ?3), ?4, ?5, ?6, ?7)",
        )?;
        Ok(Self { vehicle, entry })
    }

    pub(super) fn insert(&mut self, entry: &Entry) -> Result<(), Fault> {
        let event = &entry.event;
        self.vehicle.execute([&event.vehicle])?;
        let fields = serde_json::to_string(&event.fields).unwrap_or_default();
        self.entry.execute(params![
            i64::try_from(entry.sequence).unwrap_or(i64::MAX),
            event.time.to_string(),
            event.vehicle,
            event.kind.word(),
            fields,
            entry.previous.bytes().as_slice(),
            entry.hash.bytes().as_slice(),
        ])?;
        Ok(())
    }
}

/// Reads an entry back out of the file, and holds it against what was meant.
pub(super) fn confirmed(connection: &Connection, meant: &Entry) -> Result<(), Fault> {
    let found = match read::entry(connection, meant.sequence) {
        Ok(found) if found.as_ref() == Some(meant) => return Ok(()),
        Ok(_) => "something else when it was read back",
        Err(_) => "nothing that could be read back",
    };
    let problem = Problem::error("record", format!("entry {} as it was written", meant.sequence), found);
    Err(problem.hint("Do not trust this disk. Check the record, and take a backup to another one.").into())
}
