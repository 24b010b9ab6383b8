//! What the vehicle indicated beside the truth: its own log, called-out speeds, or odometer readings.

pub mod channel;
mod clocks;
mod diagnose;
pub mod holds;
pub mod odometer;
mod swapped;
