//! The record: events that are only ever added, each holding the hash of the one before it.
//!
//! A changed byte, a removed entry and a changed order show by themselves. That the last entries were cut
//! off, or that all were written again, shows only against a head hash and a count kept elsewhere, on paper
//! for instance: see [`Chain::check`]. A mistake is put right by a correction that names the entry it corrects;
//! the entry stays.
//!
//! Nothing here keeps anything: where entries are stored is for the faces.

mod canonical;
mod chain;
mod checker;
mod computed;
mod correction;
mod counter;
mod csv;
mod distance;
mod doubts;
mod event;
mod fuel;
mod lines;
mod mileage;
mod odometer;
mod papers;
mod sheet_code;
mod signed;
mod state;
mod stored;
mod taken;
mod times;

pub use canonical::{Hash, canonical_bytes, hash_of};
pub use chain::{Chain, Entry, Expected, objections, parted, seal};
pub use checker::{Checker, link_problem};
pub use computed::{COMPUTED_BY, INPUTS, REQUEST, REQUESTED, is_owners_word, typed_by_hand};
pub use correction::{Corrections, Fields};
pub use csv::{csv_head, export_csv, spreadsheet_cell};
pub use distance::{Span, true_distance};
pub use doubts::{SURE, day_problem, doubts};
pub use event::{Draft, EventKind};
pub use fuel::{Tank, tanks};
pub use lines::{LineReader, export, export_entry, import, import_entry};
pub use mileage::{CHANGES_SIGNAL, KnownRatio, Mileage, Place, Stretch, TrueDistance, ratio};
pub use odometer::{Odometer, Reading};
pub use papers::{Exemption, NOT_ACTUAL_RULE, Notice, StatementKind, exemption, notices, statement_facts};
pub use sheet_code::SheetCode;
pub use signed::OwnerKey;
pub use state::{Due, Proved, VehicleState};
pub use stored::{ADJUSTER, Difference, FROM_REASON, NOT_MADE, Stored, differences, same_setting, stored};
pub use taken::taken;
pub use times::{DONE_ON, ENTERED_LATE, day_of, time_problem};

#[cfg(test)]
mod doubt_tests;
#[cfg(test)]
mod life_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod word_tests;
