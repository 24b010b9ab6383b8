//! The ledger: the record on disk, in one SQLite file per garage. The only place that speaks SQL.
//!
//! One chain per garage. An entry is added inside one immediate transaction that reads the head again; it is confirmed
//! after the commit has reached the disk (`synchronous = FULL`) and the row was read back and found to be what was
//! meant. A confirmed entry survives the end of the program at any instant; one that was not confirmed is there whole
//! or not at all.

mod append;
mod back_up;
mod check;
#[cfg(test)]
mod damage_tests;
mod disk;
mod fault;
mod holder;
#[cfg(test)]
mod kept_tests;
mod key;
mod migrate;
mod open;
mod read;
mod salvage;
mod seen;
mod store;
mod take_in;
#[cfg(test)]
mod tests;

pub use append::{Look, Request};
pub use check::{Checked, Finding, check};
pub use key::{key, make_key};
pub(crate) use open::is_none;
pub use salvage::{Salvage, salvage, salvaged};
pub use seen::{Seen, seen};
pub use store::{FILE, Ledger};
pub use take_in::Taken;
