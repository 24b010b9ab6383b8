//! Any bytes as a DBC file: no panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::can::dbc;

fuzz_target!(|bytes: &[u8]| {
    let _ = dbc::signal("fuzz", bytes, None);
});
