//! From rows as read to measurements that can be used; what is left out is counted with its reason.
//!
//! ```text
//! rows (times in order) -> streams (places, speeds, heights, vehicle channel), each: false values out -> repetitions out -> fixes, samples
//! ```

pub mod coarse_grid;
mod false_speeds;
pub mod fixes;
mod interpolated;
mod order;
mod places;
mod refresh;
mod repeats;
mod rows;
pub mod samples;
mod stream;
pub mod times;
mod told;
