//! Which receiver is listened to.

use std::path::PathBuf;

/// Where fixes come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Receiver {
    /// A gpsd that answers at this host and port.
    Gpsd(String),
    /// A serial port, at so many bits a second.
    Serial(PathBuf, u32),
}
