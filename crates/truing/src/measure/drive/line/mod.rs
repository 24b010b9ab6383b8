//! The line between indicated and true speed: ratio, offset and lag, with an uncertainty that knows what the residuals share.

pub mod averages;
mod balance;
pub mod clock_drift;
pub mod fit;
pub mod gap_from_log;
pub mod growth;
mod observation;
pub mod offset_mixture;
pub mod rounding;
pub mod sample_hold;
mod system;
pub mod whiten;
