//! The page: all six stages in a browser.

pub mod blocks;
pub mod choose;
pub mod prove;
pub mod record;
pub mod set;
