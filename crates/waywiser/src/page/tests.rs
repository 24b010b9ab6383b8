//! What holds for every page, asked as a browser asks.

mod called;
mod edits;
mod numbers;
mod round;
mod safety;
mod screens;
mod visitor;

use visitor::Visitor;
