//! The faces: command line, paper and the record on disk. Faces hold no arithmetic; all of them show what `truing::report` says.

#[cfg(test)]
#[cfg(all(feature = "page", feature = "sound"))]
mod attack_tests;
pub mod book;
pub mod chart;
pub mod cli;
pub mod garage;
#[cfg(feature = "lan")]
pub mod lan;
pub mod ledger;
#[cfg(feature = "live")]
pub mod live;
#[cfg(feature = "page")]
pub mod page;
pub mod paper;
mod sound;
mod unpack;
#[cfg_attr(not(feature = "page"), expect(dead_code, reason = "some of it only the page asks for"))]
mod work;
pub mod world;
