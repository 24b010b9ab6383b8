//! The garage on disk, as the page keeps it.
//!
//! One folder holds the record (`record.sqlite`), the names it keeps the trucks under (`record-names.toml`), the owner's
//! choices (`settings.toml`), drives that are being handed over (`runs/<slug>`) and a folder for each truck:
//! `trucks/<slug>/truck.toml` with the files it names beside it. These vehicle files are the page's own: it writes them
//! whole, and only over the version that an edit was made from.

mod apart;
mod aside;
mod edit;
mod files;
mod folder;
mod judged;
mod kept;
mod kind;
mod known;
mod mounted;
mod names;
mod reading;
mod recomputed;
mod record;
mod recorded;
mod repair;
mod routine;
mod runs;
mod settings;
#[cfg(test)]
mod tests;
mod written;

pub use apart::{Apart, fault_in};
pub use aside::Aside;
pub use edit::{Refused, errors_of};
pub use files::LooseFile;
pub use folder::Garage;
pub use kept::PATIENCE;
pub use kind::Kind;
pub use known::{Known, State, Truck};
pub use names::{ROUTINE_FILE, Slug, TRUCK_FILE, kept_name, numbered};
pub use recomputed::checked;
pub use record::Look;
pub use repair::Side;
pub use routine::NotKept;
pub use runs::{Ended, NotTaken, RunId};
pub use settings::{Settings, Units};
pub use written::{Written, followed};
