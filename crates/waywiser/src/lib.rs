//! The faces: command line and paper. Faces hold no arithmetic; all of them show what `truing::report` says.

pub mod chart;
pub mod cli;
pub mod paper;
mod unpack;
pub mod world;
