//! How far the vehicle truly travels for what it indicates.

pub mod drive;
