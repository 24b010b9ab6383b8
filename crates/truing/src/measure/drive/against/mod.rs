//! What the vehicle indicated beside the truth: its own log, called-out speeds, or odometer readings.

pub mod channel;
mod clocks;
mod diagnose;
mod doubts;
pub mod holds;
mod lag;
mod lines;
mod observe;
pub mod odometer;
mod swapped;
