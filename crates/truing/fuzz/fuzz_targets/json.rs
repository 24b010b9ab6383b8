//! Any bytes as JSON as a track and as a vehicle log: no panic, and chunks do not change the result.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing::logs::csv::CsvOptions;
use truing::logs::json::JsonReader;

fuzz_target!(|input: (u16, &[u8])| {
    let (chunk_bytes, bytes) = (usize::from(input.0) + 1, input.1);
    let read = |chunk_bytes: usize| {
        let mut track = JsonReader::for_track("fuzz", CsvOptions::default());
        let mut log = JsonReader::for_vehicle("fuzz", CsvOptions::default());
        bytes.chunks(chunk_bytes).for_each(|chunk| {
            track.feed(chunk);
            log.feed(chunk);
        });
        (track.finish(), log.finish())
    };
    assert_eq!(read(chunk_bytes), read(bytes.len().max(1)));
});
