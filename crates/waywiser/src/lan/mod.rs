//! A phone in the same network: this machine's own certificate, its name there, and which phones were let in.
//!
//! What is kept lies in the garage's folder, for its owner alone: the root and its key (`network-root.toml`), the certificate
//! that is shown to phones (`network-leaf.toml`), and the phones by the hashes of their keys (`network-phones.toml`).

mod announced;
mod digits;
mod encrypted;
mod failure;
mod leaf;
mod near;
mod network;
mod pairing;
mod phones;
mod root;
#[cfg(test)]
mod tests;

pub use encrypted::Encrypted;
pub use network::Network;
pub use pairing::{ATTEMPTS, LASTS_MIN, NotLetIn};
pub use phones::{LONGEST_NAME, Phone};

/// The port that phones know, the same at each start: a page's store in a browser belongs to name and port.
pub const PORT: u16 = 7172;
