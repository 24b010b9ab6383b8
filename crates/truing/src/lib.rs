//! From what is on a vehicle and what was measured, to what to set and whether it is true.

pub mod describe;
pub mod logs;
pub mod measure;
pub mod problem;

pub mod report;
pub mod simulate;
mod nearest;
pub mod problem;
pub mod record;
pub mod rules;
pub mod set;
