//! What the vehicle indicated beside the truth: its own log, called-out speeds, odometer readings, or marks.

pub mod channel;
mod clocks;
mod diagnose;
mod doubts;
pub mod holds;
mod lag;
mod lines;
pub mod marks;
mod observe;
pub mod odometer;
mod swapped;
