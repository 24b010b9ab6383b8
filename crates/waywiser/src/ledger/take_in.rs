//! Taking in another record of the same chain, entry by entry, in memory that does not grow with it.

use super::append::{Inserter, confirmed};
use super::check::chain;
use super::disk::may;
use super::fault::Fault;
use super::store::Ledger;
use super::{read, seen};
use crate::world;
use crate::world::faults::Operation;
use jiff::Timestamp;
use rusqlite::{Rows, TransactionBehavior};
use truing::problem::{Problem, Problems, any_error};
use truing::record::{Entry, Expected, Hash, link_problem, parted, time_problem};

/// What was taken in.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// How many entries the other record has.
    pub in_file: usize,
    /// How many of them were not here.
    pub added: usize,
}

impl Ledger {
    /// Adds what another record of the same chain holds beyond this one. `feed` gives its entries in order, and says what
    /// was wrong in reading them. The other record is refused whole where it could not be read, where it is not in
    /// order, where the two went different ways, or where an entry that is not here yet is dated before the one before it
    /// or in the future, unless `any_times` says that such are meant to be taken; then nothing was added.
    pub fn take_in(
        &mut self,
        any_times: bool,
        feed: impl FnOnce(&mut dyn FnMut(Entry)) -> Vec<Problem>,
    ) -> Result<Taken, Problems> {
        let path = self.path.clone();
        self.try_take_in(any_times, feed).map_err(|fault| fault.problems(&path))
    }

    fn try_take_in(
        &mut self,
        any_times: bool,
        feed: impl FnOnce(&mut dyn FnMut(Entry)) -> Vec<Problem>,
    ) -> Result<Taken, Fault> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if let Some(problem) = seen::lost(&transaction, &self.path)? {
            return Err(problem.into());
        }
        let (taken, last) = {
            let mut statement = read::all(&transaction)?;
            let mut joining = Joining::new(statement.query([])?, Inserter::new(&transaction)?);
            let problems = feed(&mut |entry| joining.take(entry, any_times));
            if any_error(&problems) {
                return Err(Fault::Said(problems.into()));
            }
            joining.finish()?
        };
        // Counts and readings can be judged only now: a later entry may have corrected an earlier one.
        let problems =
            if taken.added > 0 { chain(&transaction, &Expected::default())?.problems } else { Vec::new() };
        if any_error(&problems) {
            return Err(Fault::Said(problems.into()));
        }
        may(Operation::Commit, &self.path)?;
        transaction.commit()?;
        may(Operation::Committed, &self.path)?;
        if let Some(last) = last {
            confirmed(&self.connection, &last)?;
            seen::note(&self.path, &last);
        }
        Ok(taken)
    }
}

/// Another record beside this one, up to where this one ends, and behind it from there.
struct Joining<'a> {
    /// Ours that were not compared yet; none when all were, so that no reader sees what is added.
    ours: Option<Rows<'a>>,
    inserter: Inserter<'a>,
    before: (u64, Hash),
    time: Option<Timestamp>,
    now: Timestamp,
    untimely: Vec<Problem>,
    taken: Taken,
    last: Option<Entry>,
    broken: Vec<Problem>,
    /// What stopped the joining, though the chain is still looked through to its end.
    stopped: Option<Fault>,
}

impl<'a> Joining<'a> {
    fn new(ours: Rows<'a>, inserter: Inserter<'a>) -> Self {
        let (before, taken) = ((0, Hash::NONE), Taken { in_file: 0, added: 0 });
        let (time, now, untimely) = (None, world::now(), Vec::new());
        let (broken, stopped) = (Vec::new(), None);
        Self { ours: Some(ours), inserter, before, time, now, untimely, taken, last: None, broken, stopped }
    }

    fn take(&mut self, entry: Entry, any_times: bool) {
        self.taken.in_file += 1;
        let before = self.time.replace(entry.event.time);
        let wrong = time_problem(entry.sequence, &entry.event, before, Some(self.now)).filter(|_| !any_times);
        self.broken.extend(link_problem(&entry, self.before.0, self.before.1));
        self.before = (entry.sequence, entry.hash);
        if self.broken.is_empty() && self.stopped.is_none() {
            let added = self.taken.added;
            self.stopped = self.join(entry).err();
            // Times of what is here already were taken before.
            self.untimely.extend(wrong.filter(|_| self.taken.added > added));
        }
    }

    fn join(&mut self, entry: Entry) -> Result<(), Fault> {
        if let Some(rows) = &mut self.ours {
            if let Some(row) = rows.next()? {
                let ours = read::from_row(row)?;
                return if ours == entry { Ok(()) } else { Err(parted(ours.sequence).into()) };
            }
            self.ours = None;
        }
        self.inserter.insert(&entry)?;
        self.taken.added += 1;
        self.last = Some(entry);
        Ok(())
    }

    fn finish(self) -> Result<(Taken, Option<Entry>), Fault> {
        match self.stopped {
            _ if !self.broken.is_empty() => Err(Fault::Said(self.broken.into())),
            None if !self.untimely.is_empty() => Err(Fault::Said(self.untimely.into())),
            Some(fault) => Err(fault),
            None => Ok((self.taken, self.last)),
        }
    }
}
