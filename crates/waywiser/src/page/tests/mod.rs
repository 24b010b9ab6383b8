//! What holds for every page, asked as a browser asks.

mod attack;
mod beside;
mod called;
mod computed;
mod crash;
mod decisions;
mod differing;
mod edits;
mod flags;
mod forms;
mod look_at;
mod numbers;
mod programs;
mod round;
mod run;
mod safety;
mod screens;
mod set_aside;
pub mod visitor;
mod whole_record;

use visitor::Visitor;
