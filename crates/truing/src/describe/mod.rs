//! What is on the vehicle.
//!
//! A vehicle file (TOML) is read into plain typed values: [`vehicle::Vehicle::read`]. Every section and key is
//! declared once, in `file/keys.rs`; the reader, its hints and the JSON Schema ([`file::schema::vehicle_schema`]) are made from
//! that table. Evidence stands here as declared; its equations are made where it is measured.

pub mod adjuster;
pub mod chain;
mod checks;
pub mod evidence;
pub mod fault;
pub mod file;
pub mod hold_back;
pub mod thresholds;
pub mod tire;
pub mod usage;
pub mod vehicle;

pub use file::key::{AnyKey, Measure, Need, Repeat, Section, Variant};
pub use file::keys::{ROOT, SECTIONS};
pub use vehicle::Vehicle;

#[cfg(test)]
mod tests;
