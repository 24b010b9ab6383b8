//! Every bit of a small record, turned over one at a time: a check finds it, or nothing that is shown changes.

#![expect(clippy::disallowed_methods, reason = "what is tested are the files themselves")]

use super::tests::{draft, folder, open};
use super::*;
use crate::world;
use rusqlite::Connection;
use std::path::Path;
use std::time::Duration;
use truing::record::{EventKind, Expected, VehicleState, export_entry};

/// A small record of every structure that there is: two vehicles, a kind of each index, a request.
fn small(folder: &Path, page_bytes: u32) -> Vec<u8> {
    let path = folder.join(FILE);
    let connection = Connection::open(&path).unwrap();
    // The mark of a record makes the file, and with it the size of its pages.
    let mark = format!("PRAGMA page_size = {page_bytes}; PRAGMA application_id = {};", 0x7761_7977);
    connection.execute_batch(&mark).unwrap();
    drop(connection);
    let mut ledger = open(folder);
    let request = Request { key: "k".into(), asked: truing::record::Hash::NONE };
    for (kind, fields) in [
        (EventKind::Vehicle, &[("present", "8.20"), ("writes_left", "4")][..]),
        (EventKind::Odometer, &[("odometer", "120344.5 mi")][..]),
        (EventKind::Note, &[("text", "quiet \"road\", é")][..]),
        (EventKind::Write, &[("from", "8.20"), ("to", "7.86")][..]),
        (EventKind::Odometer, &[("odometer", "120400 mi")][..]),
        (EventKind::Correction, &[("corrects", "2"), ("odometer", "120345.4 mi")][..]),
    ] {
        ledger
            .append_made(Some(&request).filter(|_| kind == EventKind::Write), |_| Ok(draft(kind, fields)))
            .unwrap();
    }
    let other =
        truing::record::Draft { vehicle: "Another".into(), ..draft(EventKind::Note, &[("text", "x")]) };
    ledger.append(other).unwrap();
    drop(ledger);
    // Without the note of what was seen, so that the check stands by itself.
    world::remove(&folder.join("record-seen.toml"));
    std::fs::read(path).unwrap()
}

/// Everything that a record shows: the export, each vehicle's entries and state, and what a request was answered with.
fn shown(folder: &Path) -> Option<Vec<String>> {
    let ledger = Ledger::open_to_read(folder, Duration::ZERO).ok()?;
    let mut lines = Vec::new();
    ledger.each(|entry| lines.push(export_entry(&entry))).ok()?;
    for name in ledger.vehicles().ok()? {
        let (all, some) = (ledger.of_vehicle(&name).ok()?, ledger.that_matter(&name).ok()?);
        lines.push(name);
        lines.extend(all.iter().map(export_entry));
        lines.push(format!("{:?}", VehicleState::from_entries(&some)));
    }
    let request = Request { key: "k".into(), asked: truing::record::Hash::NONE };
    lines.extend(ledger.answered(&request).ok()?.iter().map(export_entry));
    Some(lines)
}

/// Turns over the bits of each byte that `bits` names, one at a time: how many were turned, found, and harmless.
fn turned(page_bytes: u32, bits: impl Fn(usize) -> Vec<u8>) -> (usize, usize, usize) {
    let folder = folder(&format!("bits-{page_bytes}"));
    let whole = small(&folder, page_bytes);
    let path = folder.join(FILE);
    let sound = shown(&folder).unwrap();
    assert_eq!(check(&folder, &Expected::default(), Duration::ZERO).finding, Finding::Whole);
    let (mut count, mut found, mut missed) = (0, 0, Vec::new());
    let mut bytes = whole.clone();
    for place in 0..whole.len() {
        for bit in bits(place) {
            bytes[place] ^= 1 << bit;
            std::fs::write(&path, &bytes).unwrap();
            bytes[place] = whole[place];
            count += 1;
            if check(&folder, &Expected::default(), Duration::ZERO).finding != Finding::Whole {
                found += 1;
            } else if shown(&folder).as_ref() != Some(&sound) {
                missed.push((place, bit));
            }
        }
    }
    assert_eq!(missed, [], "of {count} bits");
    println!(
        "{count} bits of {} bytes in pages of {page_bytes}: {found} found, {} harmless",
        whole.len(),
        count - found
    );
    (count, found, count - found)
}

#[test]
fn one_bit_of_every_byte() {
    let (count, found, _) = turned(512, |place| vec![(place % 8) as u8]);
    assert!(count > 5000 && found > count / 4, "{found} of {count}");
}

/// Takes minutes.
#[test]
#[ignore = "slow: every bit of every byte, in small pages and in those of use"]
fn every_bit_of_every_byte() {
    turned(512, |_| (0..8).collect());
    turned(4096, |_| (0..8).collect());
}

/// A write-ahead log that was cut off anywhere is what a program leaves that ends anywhere in a commit: all of it or
/// nothing is there. So is a file that the log was only partly brought into.
#[test]
fn a_commit_that_ends_anywhere() {
    let folder = folder("commit");
    let small = small(&folder, 4096);
    let mut ledger = open(&folder);
    let before = ledger.chain().unwrap().entries().len();
    let notes = || (0..4).map(|number| super::tests::note(&format!("note {number}"))).collect();
    ledger.append_all(None, |_| Ok(notes())).unwrap();
    let path = folder.join(FILE);
    let log = std::fs::read(disk::beside(&path, "-wal")).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), small, "the commit is in the log alone");
    drop(ledger);
    let after = std::fs::read(&path).unwrap();
    let other = super::tests::folder("commit-cut");
    let tried = other.join(FILE);
    let entries = |file: &[u8], log: &[u8]| {
        for ending in ["", "-wal", "-shm"] {
            world::remove(&disk::beside(&tried, ending));
        }
        std::fs::write(&tried, file).unwrap();
        std::fs::write(disk::beside(&tried, "-wal"), log).unwrap();
        let ledger = open(&other);
        let checked = ledger.check(&Expected::default());
        assert_eq!(checked.finding, Finding::Whole, "{:?}", checked.problems);
        checked.entries as usize
    };
    // A frame is a page and 24 bytes, behind a head of 32 (SQLite, "WAL-mode File Format").
    let mut cuts: Vec<usize> = (0..=log.len()).step_by(512).collect();
    cuts.extend((32..=log.len()).step_by(4096 + 24).flat_map(|end| [end - 1, end, end + 1]));
    cuts.push(log.len());
    let mut last = before;
    cuts.sort_unstable();
    for cut in cuts.iter().filter(|cut| **cut <= log.len()) {
        let found = entries(&small, &log[..*cut]);
        assert!(found == before || found == before + 4, "{found} at {cut}");
        assert!(found >= last, "what was there at a shorter log is there at {cut}");
        last = found;
    }
    assert_eq!(last, before + 4);
    let mut parts = 0;
    for end in (0..=after.len()).step_by(2048) {
        let mut file = after[..end].to_vec();
        file.extend(small.get(end..).unwrap_or_default());
        assert_eq!(entries(&file, &log), before + 4, "brought in up to {end}");
        parts += 1;
    }
    println!("{} ends of the log and {parts} of bringing it in, 0 lost or doubled", cuts.len());
}
