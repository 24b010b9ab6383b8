//! Any bytes as a drive recorded with marks: no panic, and chunks do not change the result.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::run::RunReader;

fuzz_target!(|input: (u16, &[u8])| {
    let (chunk_bytes, bytes) = (usize::from(input.0) + 1, input.1);
    let read = |chunk_bytes: usize| {
        let mut reader = RunReader::new("fuzz");
        bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
        reader.finish()
    };
    assert_eq!(read(chunk_bytes), read(bytes.len().max(1)));
});
