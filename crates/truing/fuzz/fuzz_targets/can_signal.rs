//! Any text as the description of a CAN signal: no panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::can::CanSignal;

fuzz_target!(|text: &str| {
    let _ = CanSignal::parse(text);
});
