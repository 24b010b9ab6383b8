//! Adding entries.

use super::disk::may;
use super::fault::Fault;
use super::store::Ledger;
use super::{read, seen};
use crate::world::faults::Operation;
use rusqlite::{Connection, Statement, TransactionBehavior, params};
use truing::problem::{Problem, Problems, any_error};
use truing::record::{Draft, Entry, EventKind, Hash, REQUEST, REQUESTED, objections, seal, time_problem};

/// A request that may be sent again: whoever got no answer does not know whether it was heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// A key that its sender gives to nothing else.
    pub key: String,
    /// The hash of what is asked for, by which the same request is told from another with its key.
    pub asked: Hash,
}

impl Ledger {
    /// Adds an event. The entry is returned once it is on the disk and was read back; with an error nothing was added.
    pub fn append(&mut self, event: Draft) -> Result<Entry, Problems> {
        self.append_made(None, |_| Ok(event))
    }

    /// Adds an event that is made from the earlier entries of its vehicle while nobody else can add one. A request that
    /// was answered before gets the entry that it got then.
    pub fn append_made(
        &mut self,
        request: Option<&Request>,
        make: impl FnOnce(&Look) -> Result<Draft, Problems>,
    ) -> Result<Entry, Problems> {
        let path = self.path.clone();
        let mut added = self.append_all(request, |look| Ok(vec![make(look)?]))?;
        let nothing = || Problem::error(path.display().to_string(), "an entry", "none");
        added.pop().ok_or_else(|| nothing().into())
    }

    /// The entries with which a request was answered before; none where it is new.
    pub fn answered(&self, request: &Request) -> Result<Vec<Entry>, Problems> {
        Look { connection: &self.connection }.answered(request)
    }

    /// Adds several events in this order, all or none of them.
    pub fn append_all(
        &mut self,
        request: Option<&Request>,
        make: impl FnOnce(&Look) -> Result<Vec<Draft>, Problems>,
    ) -> Result<Vec<Entry>, Problems> {
        let path = self.path.clone();
        self.try_append(request, make).map_err(|fault| fault.problems(&path))
    }

    fn try_append(
        &mut self,
        request: Option<&Request>,
        make: impl FnOnce(&Look) -> Result<Vec<Draft>, Problems>,
    ) -> Result<Vec<Entry>, Fault> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let look = Look { connection: &transaction };
        if let Some(request) = request {
            let answered = look.try_answered(request)?;
            if !answered.is_empty() {
                return Ok(answered);
            }
        }
        if let Some(problem) = seen::lost(&transaction, &self.path)? {
            return Err(problem.into());
        }
        let mut added = Vec::new();
        for mut event in make(&look).map_err(Fault::Said)? {
            if let Some(request) = request {
                event.fields.insert(REQUEST.into(), request.key.clone());
                event.fields.insert(REQUESTED.into(), request.asked.to_string());
            }
            added.push(inserted(&transaction, event)?);
        }
        if added.is_empty() {
            return Ok(added);
        }
        may(Operation::Commit, &self.path)?;
        transaction.commit()?;
        may(Operation::Committed, &self.path)?;
        added.iter().try_for_each(|entry| confirmed(&self.connection, entry))?;
        if let Some(last) = added.last() {
            seen::note(&self.path, last);
        }
        Ok(added)
    }
}

/// An event sealed behind the last entry, and not yet committed.
fn inserted(connection: &Connection, event: Draft) -> Result<Entry, Fault> {
    let head = read::head(connection)?;
    let (sequence, previous) = head.as_ref().map_or((1, Hash::NONE), |head| (head.sequence + 1, head.hash));
    let earlier = match event.stands_alone() {
        true => Vec::new(),
        // A correction can contradict any later reading, and whoever is refused is told of each.
        false if event.kind == EventKind::Correction => read::of_vehicle(connection, &event.vehicle)?,
        false => read::that_matter(connection, &event.vehicle, event.named().flatten())?,
    };
    let mut problems = objections(&earlier, sequence, &event);
    problems.extend(time_problem(sequence, &event, head.map(|head| head.event.time), None));
    if any_error(&problems) {
        return Err(Fault::Said(problems.into()));
    }
    let entry = seal(sequence, previous, event);
    Inserter::new(connection)?.insert(&entry)?;
    Ok(entry)
}

/// A look at the record while nobody else can add to it.
pub struct Look<'a> {
    connection: &'a Connection,
}

impl Look<'_> {
    /// The entries of a vehicle that its state rests on.
    pub fn that_matter(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        read::that_matter(self.connection, vehicle, None)
            .map_err(|fault| fault.problems(std::path::Path::new("record")))
    }

    /// All entries of a vehicle.
    pub fn of_vehicle(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        read::of_vehicle(self.connection, vehicle)
            .map_err(|fault| fault.problems(std::path::Path::new("record")))
    }

    fn answered(&self, request: &Request) -> Result<Vec<Entry>, Problems> {
        self.try_answered(request).map_err(|fault| fault.problems(std::path::Path::new("record")))
    }

    fn try_answered(&self, request: &Request) -> Result<Vec<Entry>, Fault> {
        let answered = read::of_request(self.connection, &request.key)?;
        let asked = request.asked.to_string();
        match answered.iter().find(|entry| entry.event.fields.get(REQUESTED) != Some(&asked)) {
            None => Ok(answered),
            Some(other) => {
                let expected =
                    format!("a key of its own; entry {} answered another request with it", other.sequence);
                let problem = Problem::error("the request", expected, format!("`{}`", request.key));
                Err(problem
                    .hint("Nothing was added. Give each request a new key; send only the same one again.")
                    .into())
            }
        }
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
