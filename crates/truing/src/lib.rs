//! From what is on a vehicle and what was measured, to what to set and whether it is true.

pub mod choose;
pub mod describe;
pub mod logs;
pub mod measure;
pub mod nearest;
pub mod problem;
pub mod prove;
pub mod record;
pub mod report;
pub mod rules;
pub mod set;
pub mod simulate;
pub mod units;
