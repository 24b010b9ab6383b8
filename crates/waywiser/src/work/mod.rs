//! What all faces do alike: from the files that are named to estimates, choices, steps, papers and entries.
//!
//! Nothing here knows the command line, the page or the garage; they ask, and show what comes.

pub mod asked;
pub mod batch;
pub mod bench;
pub mod choose;
pub mod drive;
pub mod entry;
pub mod load;
pub mod logs;
pub mod paper;
pub mod pulses;
pub mod sample;
pub mod set;
pub mod trial;
pub mod typed;
