//! The faces: command line, paper and the record on disk. Faces hold no arithmetic; all of them show what `truing::report` says.

#[cfg(test)]
mod attack_tests;
pub mod chart;
pub mod cli;
pub mod garage;
pub mod ledger;
pub mod page;
pub mod paper;
mod sound;
mod unpack;
mod work;
pub mod world;
