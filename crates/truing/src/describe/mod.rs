//! What is on the vehicle.
//!
//! A vehicle file (TOML) is read into plain typed values: [`vehicle::Vehicle::read`]. Every section and key is
//! declared once, in `keys.rs`; the reader, its hints and the JSON Schema ([`schema::vehicle_schema`]) are made from
//! that table. Evidence stands here as declared; its equations are made where it is measured.

pub mod adjuster;
mod adjuster_read;
pub mod ahead;
pub mod axle;
pub mod candidates;
pub mod chain;
mod checks;
pub mod decimal;
mod document;
pub mod evidence;
mod evidence_read;
pub mod fault;
pub mod fraction;
pub mod grid;
pub mod hold_back;
mod key;
mod keys;
mod kinds;
pub mod reader;
pub mod schema;
pub mod setting;
mod syntax;
pub mod tire;
pub mod tire_set;
pub mod usage;
pub mod vehicle;
pub mod words;
pub mod written;

pub use key::{AnyKey, Measure, Need, Repeat, Section, Variant};
pub use keys::{ROOT, SECTIONS};
pub use vehicle::Vehicle;

#[cfg(test)]
mod tests;
