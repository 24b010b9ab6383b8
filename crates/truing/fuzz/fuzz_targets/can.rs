//! Any bytes as a CAN log with a described signal: no panic, and chunks do not change the result.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::can::{CanOptions, CanReader, CanSignal};

fuzz_target!(|input: (u16, &[u8])| {
    let (chunk_bytes, bytes) = (usize::from(input.0) + 1, input.1);
    let signal = CanSignal::parse("id=0x61D byte=1 length=12 order=big unit=km/h").ok();
    let read = |chunk_bytes: usize| {
        let mut reader = CanReader::new("fuzz", CanOptions { signal: signal.clone() });
        bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
        reader.finish()
    };
    assert_eq!(read(chunk_bytes), read(bytes.len().max(1)));
});
