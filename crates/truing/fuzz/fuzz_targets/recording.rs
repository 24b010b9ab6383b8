//! Any bytes as a recording: no panic, and chunks do not change what is said or how many edges there are.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::recording::RecordingOptions;
use truing::measure::pulses::estimate;

fuzz_target!(|input: (u16, &[u8])| {
    let (chunk_bytes, bytes) = (usize::from(input.0) + 1, input.1);
    let read = |chunk_bytes: usize| {
        let (pulses, problems) = estimate("fuzz", RecordingOptions::default(), bytes.chunks(chunk_bytes));
        (pulses.pulses, problems)
    };
    assert_eq!(read(chunk_bytes), read(bytes.len().max(1)));
});
