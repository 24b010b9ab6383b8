//! Many drives at once: which files make one, and what each says.

pub mod look;
pub mod pairs;
pub mod reading;
pub mod rows;
