//! Files made by hand, whole and damaged. A file of two such records, read with fitdecode 0.11.0 (Python), gives the same times,
//! positions, speeds and heights, and its checksum fits there.

use super::*;
use proptest::prelude::*;

/// Definition of local messages 0: a record with time, latitude, longitude, speed, height, and one field of the device's own.
const DEFINITION: [u8; 25] =
    [0x60, 0, 0, 20, 0, 5, 253, 4, 0x86, 0, 4, 0x85, 1, 4, 0x85, 6, 2, 0x84, 2, 2, 0x84, 1, 9, 3, 0];

/// A record: seconds since the start, degrees, mm/s, metres.
fn record(time: u32, latitude: f64, longitude: f64, speed: u16, height: f64) -> Vec<u8> {
    let turns = |degrees: f64| ((degrees / 180.0 * HALF_TURN) as i32).to_le_bytes();
    let height = ((height + 500.0) * 5.0) as u16;
    [
        &[0][..],
        &time.to_le_bytes(),
        &turns(latitude),
        &turns(longitude),
        &speed.to_le_bytes(),
        &height.to_le_bytes(),
        &[1, 2, 3],
    ]
    .concat()
}

fn file(messages: &[u8], size: Option<u32>) -> Vec<u8> {
    let size = size.unwrap_or(messages.len() as u32);
    let mut bytes = [&[14, 0x20, 0, 0][..], &size.to_le_bytes(), b".FIT\0\0", messages].concat();
    bytes.extend(crc(0, &bytes).to_le_bytes());
    bytes
}

fn read(bytes: &[u8], chunk_bytes: usize) -> (Track, Vec<String>) {
    let mut reader = FitReader::new("drive.fit");
    bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    let (track, problems) = reader.finish();
    (track, problems.iter().map(Problem::to_string).collect())
}

fn check(bytes: &[u8], fixes: usize, told: &[&str]) -> Vec<Fix> {
    let (track, problems) = read(bytes, 5);
    assert_eq!((track.fixes.len(), problems.len()), (fixes, told.len()), "{bytes:x?}: {problems:?}");
    assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
    assert_eq!(read(bytes, 1 << 20).0, track);
    track.fixes.iter().collect()
}

/// 2019-05-24T11:50:21Z is 1558698621 by `date -u +%s`.
const MOMENT: u32 = 1_558_698_621 - 631_065_600;

fn drive() -> Vec<u8> {
    let records: Vec<u8> =
        (0..9).flat_map(|second| record(MOMENT + second, 48.25, 11.5, 13_250, 520.4)).collect();
    [&DEFINITION[..], &records].concat()
}

#[test]
fn the_checksum_is_the_published_one() {
    // Catalogue of parametrised CRC algorithms, CRC-16/ARC: check value of "123456789".
    assert_eq!(crc(0, b"123456789"), 0xBB3D);
}

#[test]
fn records() {
    let fixes = check(&file(&drive(), None), 9, &[]);
    let fix = fixes[1];
    assert_eq!((fix.time.unwrap().s(), fix.speed.unwrap().m_per_s()), (1_558_698_622.0, 13.25));
    assert!(
        (fix.latitude.unwrap().deg() - 48.25).abs() < 1e-7
            && (fix.longitude.unwrap().deg() - 11.5).abs() < 1e-7
    );
    assert!((fix.elevation.unwrap().m() - 520.4).abs() < 1e-9);
    assert_eq!(fixes.iter().filter(|fix| fix.starts_segment).count(), 1);
    assert_eq!(read(&file(&drive(), None), 99).0.clock, Clock::Absolute);
}

#[test]
fn other_ways_to_write_it() {
    // Big-endian with finer speed; then the time in the head of the message: five bits that have gone round.
    let definition = [0x41, 0, 1, 0, 20, 2, 253, 4, 0x86, 73, 4, 0x86];
    let time = MOMENT & !0x1F | 0x1E;
    let first = [&[1][..], &time.to_be_bytes(), &12_345_u32.to_be_bytes()].concat();
    let second_definition = [0x42, 0, 1, 0, 20, 1, 73, 4, 0x86];
    let second = [&[0x80 | 2 << 5 | 0x01][..], &1000_u32.to_be_bytes()].concat();
    let messages = [&definition[..], &first, &second_definition, &second].concat();
    let fixes = check(&file(&messages, None), 2, &[]);
    assert_eq!(fixes[0].speed.unwrap().m_per_s(), 12.345);
    assert_eq!(fixes[1].time.unwrap().since(fixes[0].time.unwrap()).s(), 3.0);
    // A timer that starts again, and two files one after the other.
    let event = [0x43, 0, 0, 21, 0, 2, 0, 1, 0, 1, 1, 0, 3, 0, 0];
    let twice = [drive(), event.to_vec(), record(MOMENT + 20, 48.26, 11.5, 0, 520.0)].concat();
    assert_eq!(check(&file(&twice, None), 10, &[]).iter().filter(|fix| fix.starts_segment).count(), 2);
    check(&[file(&drive(), None), file(&drive(), None)].concat(), 18, &[]);
    // Invalid values say nothing; time since the device was switched on is no date.
    let blank =
        [&[0][..], &7_u32.to_le_bytes(), &[0xFF, 0xFF, 0xFF, 0x7F].repeat(2), &[0xFF; 4], &[0; 3]].concat();
    let slow = record(7, 48.25, 11.5, 0xFFFF, 520.0);
    let messages = [&DEFINITION[..], &blank, &slow].concat();
    assert_eq!(check(&file(&messages, None), 1, &[])[0].speed, None);
    assert_eq!(read(&file(&messages, None), 9).0.clock, Clock::Elapsed);
}

#[test]
fn damaged_files() {
    let whole = file(&drive(), None);
    check(&whole[..whole.len() - 30], 7, &["its end within a message"]);
    // Never closed: the size is zero and there is no checksum.
    let open = file(&drive(), Some(0));
    check(&open[..open.len() - 2], 9, &[]);
    let mut changed = whole.clone();
    changed[60] ^= 1;
    check(&changed, 9, &["a checksum that fits"]);
    let undefined = [drive(), vec![5, 1, 2, 3]].concat();
    check(&file(&undefined, None), 9, &["messages that were defined before"]);
    check(&file(&drive(), Some(60)), 1, &["messages within the size"]);
    check(&[whole, b"\x05more".to_vec()].concat(), 9, &["a header of a file"]);
    assert!(
        begins_like_one(&file(&[], None)) && !begins_like_one(b"") && !begins_like_one(b"time,lat,lon\n")
    );
}

proptest! {
    #[test]
    fn any_bytes_in_any_chunks(bytes in proptest::collection::vec(any::<u8>(), 0..400), chunk_bytes in 1usize..50) {
        let bytes = file(&[&DEFINITION[..], &bytes].concat(), Some(0));
        prop_assert_eq!(read(&bytes, chunk_bytes), read(&bytes, 1 << 20));
    }
}
