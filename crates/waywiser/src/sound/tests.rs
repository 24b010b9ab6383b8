//! Files that say something else than they hold, and damaged ones.

use super::*;
use std::io::Cursor;

const AAC: &[u8] = include_bytes!("../../tests/data/sound/aac-24000.m4a");
const FILES: [&[u8]; 5] = [
    AAC,
    include_bytes!("../../tests/data/sound/aac.aac"),
    include_bytes!("../../tests/data/sound/mono.mp3"),
    include_bytes!("../../tests/data/sound/vorbis.ogg"),
    include_bytes!("../../tests/data/sound/flac.flac"),
];

/// Samples that came out, and what was said.
fn read(bytes: Vec<u8>) -> (usize, Vec<Problem>) {
    let mut samples = 0;
    let mut count = |piece: Piece| {
        if let Piece::Samples { values, .. } = piece {
            samples += values.len();
        }
    };
    let problems = feed("memo", Cursor::new(bytes), &RecordingOptions::default(), &mut count);
    (samples, problems)
}

/// The file with some bytes of it replaced, which stand in it once behind a name.
fn changed(behind: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    let place = |start: usize, piece: &[u8]| {
        start + AAC[start..].windows(piece.len()).position(|bytes| bytes == piece).unwrap()
    };
    let at = place(place(0, behind), from);
    let mut bytes = AAC.to_vec();
    bytes[at..at + to.len()].copy_from_slice(to);
    bytes
}

#[test]
fn as_it_is_it_is_read() {
    // 4 s at 24 000 per second, the silence that the coder added left out
    assert_eq!(read(AAC.to_vec()), (96_000, vec![]));
}

fn check_refused(bytes: Vec<u8>, words: &str) {
    let (_, problems) = read(bytes);
    let said: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
    assert!(
        problems.iter().any(Problem::is_error) && said.iter().any(|said| said.contains(words)),
        "{said:?}"
    );
}

/// A high-efficiency file holds half of its samples in a coding of its own: 24 000 of 48 000.
#[test]
fn what_would_halve_every_frequency_is_refused() {
    let (core, full) = (24_000_u32.to_be_bytes(), 48_000_u32.to_be_bytes());
    // The entry of the sound says 48 000 (16.16 bits), its coding 24 000.
    let [.., a, b] = core;
    let [.., c, d] = full;
    check_refused(
        changed(b"mp4a", &[a, b, 0, 0], &[c, d, 0, 0]),
        "48000 samples per second, as the file says; found 24000",
    );
    // The ticks of the track say 48 000: half as long as it decodes.
    check_refused(changed(b"mdhd", &core, &full), "2.0 s of sound, as the file says; found 4.1 s");
    // The coding says itself that it is more than AAC-LC: object type 5, 24 000, one channel, 48 000, object type 2
    // (ISO/IEC 14496-3, 1.6.2, from memory).
    check_refused(changed(b"esds", &[0x13, 0x08, 0x56, 0xe5, 0], &[0x2b, 0x09, 0x88, 0, 0]), "unsupported");
}

#[test]
fn a_cut_file_is_said_to_be_cut() {
    let ogg = FILES[3];
    for share in [1, 4, 9] {
        let (_, problems) = read(ogg[..ogg.len() * share / 10].to_vec());
        assert!(share > 8 || !problems.is_empty(), "{share} tenths");
    }
    // The index of this one stands behind the sound.
    check_refused(AAC[..AAC.len() / 2].to_vec(), "whole");
    let flac = FILES[4];
    check_refused(flac[..flac.len() / 2].to_vec(), "4.0 s of sound, as the file says");
}

#[test]
fn no_damage_stops_the_program() {
    for file in FILES {
        // A xorshift generator over places and bytes.
        let mut chance = 0x2545_f491_4f6c_dd1d_u64;
        for turn in 0..60 {
            let mut bytes = file.to_vec();
            for _ in 0..=turn % 7 {
                chance ^= chance << 13;
                chance ^= chance >> 7;
                chance ^= chance << 17;
                // Half of the changes fall into the head.
                let room = if chance & 1 == 0 { bytes.len() } else { 600 };
                let at = (chance >> 16) as usize % room;
                bytes[at] = (chance >> 8) as u8;
            }
            let (samples, problems) = read(bytes);
            assert!(samples > 0 || !problems.is_empty());
        }
    }
}
