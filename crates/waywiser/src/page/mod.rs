//! The page: all six stages in a browser, served to this machine alone.
//!
//! Every answer is made on the server from the same `truing::report` that the command line prints; scripts are small,
//! our own, and never needed to read. `addresses.rs` is the address map, `routes.rs` says what answers there; each page has a
//! file with its handlers, its view and its tests. Whoever adds a page: an address in both, a file here, `frame::Head` around what it shows,
//! `form::form` around what it changes.

mod add;
mod addresses;
mod answers;
mod api;
mod app;
mod assets;
mod batch;
mod bench;
mod blocks;
mod choose;
mod describe;
mod difference;
mod document;
mod drawings;
mod drive_fields;
mod error;
mod evidence;
mod fields;
mod files;
mod form;
mod frame;
mod guard;
mod guides;
mod home;
mod hosts;
mod keep;
mod lines;
mod look_at;
mod look_up;
mod manual;
mod measure;
mod measured_before;
mod named;
mod packed;
mod papers;
mod parts;
mod path;
#[cfg(feature = "lan")]
mod phones;
mod preview;
mod prove;
mod read_on;
mod record;
mod refused;
mod rename;
mod routes;
mod run;
mod serve;
mod set;
mod stages;
mod tables;
#[cfg(test)]
mod tests;
mod timely;
mod unbroken;
mod upload;
mod waiting;

pub use api::description;
pub use serve::{Answering, Options, serve};
