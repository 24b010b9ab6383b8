//! What stands on each paper.

mod chain;
pub mod door_frame;
mod held;
pub mod history;
pub mod job;
pub mod life;
pub mod measuring;
pub mod odometer;
pub mod proving;
pub mod speed_card;
pub mod starting_file;
