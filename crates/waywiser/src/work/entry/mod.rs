//! Entries of the record, before they are kept.

pub mod carry;
pub mod computed;
pub mod fields;
pub mod head;
pub mod request;
pub mod source;
