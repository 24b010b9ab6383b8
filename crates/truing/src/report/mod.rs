//! Plain data for faces: words, rounded numbers and chart series. No HTML, no terminal.
//!
//! Each answer is a struct that serialises to the JSON a script relies on, and makes a [`document::Document`] that every face
//! prints. Command line, page and paper show the same.

pub mod answers;
pub mod charts;
pub mod document;
pub mod explanation;
pub mod findings;
pub mod papers;
pub mod words;
