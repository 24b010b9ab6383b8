//! Where the numbers of an answer come from, for whoever opens one.

pub mod came_about;
pub mod distance;
pub mod origin;
pub mod record;
pub mod target;
