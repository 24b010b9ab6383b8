//! A drive recorded as it happens, from a receiver on this machine, with what a passenger types. The file is the one that
//! `docs/recording.md` describes.

mod event;
mod gpsd;
mod receiver;
mod record;
mod recorder;
mod serial;
mod session;
mod typed;

pub use receiver::Receiver;
pub use recorder::{Recorded, record};
