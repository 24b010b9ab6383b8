//! How far the vehicle truly travels for what it indicates.
//!
//! [`drive`] reads one drive; [`fusion`] joins all evidence.

pub mod drive;
pub mod fusion;
