//! What stands on each paper.

pub mod door_frame;
pub mod history;
pub mod job;
pub mod life;
pub mod odometer;
pub mod sheet;
pub mod speed_card;
pub mod starting_file;
