//! Checks of the input against itself, before anything is estimated from it.

pub mod same_source;
pub mod speeds_beside_positions;
pub mod units;
