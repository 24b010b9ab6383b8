//! From rows as read to measurements that can be used; what is left out is counted with its reason.

pub mod coarse_grid;
pub mod fixes;
pub mod samples;
pub mod times;
