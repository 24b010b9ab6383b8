//! A phone in the truck: the laptop's page on which one is let in, and the few pages that the network reaches.
//!
//! From the network only `/pair` and `/run` are answered (`gate.rs`). Whoever is let in may hand runs over and never read the
//! garage; the list of phones and the code that lets one in are for this machine alone.

mod devices;
mod gate;
mod pair;
mod root;
mod scanned;
mod serving;
mod ways;

pub use devices::routes;
pub use serving::InNetwork;
pub use ways::ways;
