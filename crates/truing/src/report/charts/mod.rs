//! Pictures as series: what is drawn, not how.

pub mod choice;
pub mod drive;
pub mod proof;
pub mod pulses;
pub mod timeline;
