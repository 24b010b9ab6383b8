//! What holds for every page, asked as a browser asks.

mod edits;
mod round;
mod safety;
mod screens;
mod visitor;

use visitor::Visitor;
