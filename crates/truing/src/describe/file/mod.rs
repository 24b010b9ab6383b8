//! The vehicle file: its keys in one table, how a text is read by it, and its JSON Schema.

pub mod candidates;
pub mod decimal;
pub(super) mod document;
pub mod examples;
pub mod fraction;
pub(crate) mod key;
pub(crate) mod keys;
pub(super) mod kinds;
pub mod schema;
pub(super) mod syntax;
pub mod words;
