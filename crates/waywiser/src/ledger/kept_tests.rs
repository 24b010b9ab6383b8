//! What is kept of a record beside its chain: requests, what was seen, readers that change nothing, names that are damaged.

#![expect(clippy::disallowed_methods, reason = "what is tested are the files themselves")]

use super::tests::{HEAD_OF_THE_KEPT, PATIENCE, draft, filled, folder, note, open};
use super::*;
use crate::world;
use crate::world::faults::{Fault, arm};
use rusqlite::Connection;
use std::path::Path;
use std::time::Duration;
use truing::record::{Draft, EventKind, Expected, Hash};

fn bytes_of(folder: &Path) -> Vec<u8> {
    std::fs::read(folder.join(FILE)).unwrap()
}

#[test]
fn several_are_added_together_or_none() {
    let folder = folder("together");
    let mut ledger = filled(&folder, 2);
    let refused = ledger.append_all(None, |_| Ok(vec![note("one"), note(" "), note("three")]));
    assert!(refused.is_err());
    assert_eq!(ledger.chain().unwrap().entries().len(), 2);
    let added = ledger.append_all(None, |_| Ok(vec![note("one"), note("two")])).unwrap();
    assert_eq!(added.iter().map(|entry| entry.sequence).collect::<Vec<_>>(), [3, 4]);
    assert_eq!(ledger.append_all(None, |_| Ok(Vec::new())), Ok(Vec::new()));
    assert_eq!(ledger.check(&Expected::default()).problems, []);
}

#[test]
fn a_request_that_is_sent_again_is_one_entry() {
    let folder = folder("again");
    let mut ledger = filled(&folder, 1);
    let request = |key: &str, asked: &str| Request { key: key.into(), asked: Hash::new(asked.as_bytes()) };
    let first = ledger.append_made(Some(&request("a", "x")), |_| Ok(note("one"))).unwrap();
    let again = ledger.append_made(Some(&request("a", "x")), |_| Ok(note("not asked for again")));
    assert_eq!(again, Ok(first.clone()));
    let other = ledger.append_made(Some(&request("a", "y")), |_| Ok(note("two"))).unwrap_err();
    assert!(other[0].expected.contains("entry 2"), "{other:?}");
    ledger.append_made(Some(&request("b", "x")), |_| Ok(note("one"))).unwrap();
    drop(ledger);
    let ledger = open(&folder);
    assert_eq!(ledger.answered(&request("a", "x")), Ok(vec![first]));
    assert_eq!(ledger.chain().unwrap().entries().len(), 3);
}

#[test]
fn a_clock_that_was_set_back_is_told() {
    let folder = folder("clock");
    let mut ledger = filled(&folder, 1);
    let earlier = |fields: &[(&str, &str)]| Draft {
        time: "2026-05-01T10:00:00Z".parse().unwrap(),
        ..draft(EventKind::Note, fields)
    };
    assert!(ledger.append(earlier(&[("text", "x")])).is_err());
    ledger.append(earlier(&[("text", "x"), ("entered_late", "the receipt turned up")])).unwrap();
}

#[test]
fn entries_from_the_future_are_taken_in_only_when_they_are_meant() {
    let folder = folder("future");
    let time = "2999-01-01T00:00:00Z".parse().unwrap();
    let entry = truing::record::seal(1, Hash::NONE, Draft { time, ..note("x") });
    let mut ledger = open(&folder);
    let mut fed = |any_times| {
        let taken = ledger.take_in(any_times, |take| {
            take(entry.clone());
            Vec::new()
        });
        taken.map(|taken| taken.added).map_err(|problems| problems[0].expected.clone())
    };
    assert!(fed(false).unwrap_err().contains("not in the future"));
    assert_eq!((fed(true), fed(false)), (Ok(1), Ok(0)), "what is here already is not asked about again");
    let checked = open(&folder).check(&Expected::default());
    assert_eq!(
        (checked.finding, checked.problems.len()),
        (Finding::Whole, 1),
        "a warning: {:?}",
        checked.problems
    );
}

#[test]
fn whoever_reads_changes_nothing() {
    let folder = folder("read");
    drop(filled(&folder, 3));
    let before = bytes_of(&folder);
    let ledger = Ledger::open_to_read(&folder, PATIENCE).unwrap();
    assert_eq!(ledger.chain().unwrap().entries().len(), 3);
    assert_eq!(ledger.check(&Expected::default()).finding, Finding::Whole);
    assert!(ledger.connection.execute("DELETE FROM vehicle", []).is_err());
    drop(ledger);
    assert_eq!(bytes_of(&folder), before);
    // One of an older version is read from a copy, which is gone afterwards.
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/records/version-1.sqlite");
    std::fs::copy(&kept, folder.join(FILE)).unwrap();
    world::remove(&folder.join("record-seen.toml"));
    let before = bytes_of(&folder);
    let ledger = Ledger::open_to_read(&folder, PATIENCE).unwrap();
    let copy = ledger._copy.as_ref().unwrap().path().to_path_buf();
    assert_eq!(ledger.check(&Expected::default()).head, HEAD_OF_THE_KEPT);
    drop(ledger);
    assert!(!copy.exists() && bytes_of(&folder) == before);
}

#[test]
fn what_cannot_be_read_is_not_called_out_of_order() {
    let check = |make: &dyn Fn(&Path), finding: Finding| {
        let folder = folder("kinds");
        drop(filled(&folder, 3));
        make(&folder.join(FILE));
        assert_eq!(super::check(&folder, &Expected::default(), Duration::from_millis(20)).finding, finding);
    };
    check(&|_| (), Finding::Whole);
    check(&|path| std::fs::remove_file(path).unwrap(), Finding::CannotBeRead);
    check(
        &|path| {
            std::fs::remove_file(path).unwrap();
            std::fs::create_dir(path).unwrap();
        },
        Finding::CannotBeRead,
    );
    for bytes in [0, 1, 511] {
        check(&|path| std::fs::write(path, vec![0; bytes]).unwrap(), Finding::NotInOrder);
    }
    check(&|path| std::fs::write(path, [7; 4096]).unwrap(), Finding::NotInOrder);
}

#[test]
fn a_cut_tail_and_a_swapped_file_are_noticed_on_the_same_machine() {
    let folder = folder("seen");
    drop(filled(&folder, 3));
    let shorter = bytes_of(&folder);
    drop(filled(&folder, 2));
    assert_eq!(seen(&folder).map(|seen| seen.entries), Some(5));
    std::fs::write(folder.join(FILE), &shorter).unwrap();
    let checked = check(&folder, &Expected::default(), PATIENCE);
    assert_eq!(checked.finding, Finding::NotInOrder);
    assert!(checked.problems[0].expected.contains("entry 5"), "{:?}", checked.problems);
    let mut ledger = open(&folder);
    assert!(ledger.append(note("onto a cut record")).is_err());
    ledger.take_as_it_is().unwrap();
    ledger.append(note("as it is")).unwrap();
    assert_eq!(ledger.check(&Expected::default()).finding, Finding::Whole);
    drop(ledger);
    let other = super::tests::folder("seen-other");
    drop(filled(&other, 9));
    std::fs::copy(other.join(FILE), folder.join(FILE)).unwrap();
    let checked = check(&folder, &Expected::default(), PATIENCE);
    assert!(checked.problems[0].found.contains("another one"), "{:?}", checked.problems);
    std::fs::write(folder.join(FILE), b"").unwrap();
    assert_eq!(check(&folder, &Expected::default(), PATIENCE).finding, Finding::NotInOrder);
    assert!(Ledger::open(&folder, PATIENCE).is_err(), "nothing is begun where a record was seen");
    assert_eq!(bytes_of(&folder), b"");
    // Where none was ever seen it is what an earlier version left that was ended at once: no record yet, and no damage.
    world::remove(&folder.join("record-seen.toml"));
    let checked = check(&folder, &Expected::default(), PATIENCE);
    assert_eq!(checked.finding, Finding::CannotBeRead);
    assert!(checked.problems[0].hint.contains("Add a first entry"), "{:?}", checked.problems);
    open(&folder).append(note("the first")).unwrap();
    assert_eq!(check(&folder, &Expected::default(), PATIENCE).finding, Finding::Whole);
}

#[test]
fn a_vehicle_whose_row_is_damaged_takes_no_entry_along() {
    let folder = folder("nameless");
    let chain = filled(&folder, 4).chain().unwrap();
    let connection = Connection::open(folder.join(FILE)).unwrap();
    let sql = "DROP TRIGGER vehicle_stays; PRAGMA foreign_keys = off; UPDATE vehicle SET number = 9;";
    connection.execute_batch(sql).unwrap();
    drop(connection);
    assert_eq!(check(&folder, &Expected::default(), PATIENCE).finding, Finding::NotInOrder);
    let salvage = salvage(&folder, "2026-05-02").unwrap();
    assert_eq!(salvage.chain, chain, "the name with which the hashes are right");
}

#[test]
fn a_backup_that_fails_leaves_nothing() {
    let folder = folder("backup-fails");
    let ledger = filled(&folder.join("a"), 6);
    let to = folder.join("b");
    for fault in [Fault::Full, Fault::Unsynced, Fault::ReadOnly, Fault::Killed] {
        let counted = arm(&to, fault, None);
        ledger.back_up(&to.join("whole.sqlite")).unwrap();
        let points = counted.met().len();
        drop(counted);
        assert!(points > 0);
        for at in 0..points {
            let _ = std::fs::remove_dir_all(&to);
            let armed = arm(&to, fault, Some(at));
            let made = ledger.back_up(&to.join(FILE)).is_ok();
            drop(armed);
            // What was killed could clear nothing away; the next one does.
            world::clear_left_behind(&to);
            match world::files_in(&to)[..] {
                [] => assert!(!made, "{fault:?} at {at}"),
                _ => assert_eq!(
                    check(&to, &Expected::default(), PATIENCE).finding,
                    Finding::Whole,
                    "{fault:?} at {at}"
                ),
            }
            assert!(world::folders_in(&to).is_empty(), "{fault:?} at {at}");
        }
    }
}

#[test]
fn a_record_that_is_not_in_order_is_not_copied_as_if_it_were() {
    let folder = folder("backup-disorder");
    drop(filled(&folder, 6));
    let connection = rusqlite::Connection::open(folder.join(FILE)).unwrap();
    connection
        .execute_batch(
            "DROP TRIGGER entry_stays; UPDATE entry SET time = '2020-01-01T00:00:00Z' WHERE sequence = 3",
        )
        .unwrap();
    drop(connection);
    let to = folder.join("b").join(FILE);
    assert!(open(&folder).back_up(&to).is_err());
    assert!(!to.exists() && world::files_in(&folder.join("b")).is_empty());
}

#[test]
fn a_new_record_is_never_found_half_made() {
    for at in 0..20 {
        let folder = folder("half-made");
        let armed = arm(&folder, Fault::Killed, Some(at));
        let _ = Ledger::open(&folder, PATIENCE);
        drop(armed);
        let found = check(&folder, &Expected::default(), PATIENCE);
        let is_none = !folder.join(FILE).exists();
        assert_eq!(found.finding, if is_none { Finding::CannotBeRead } else { Finding::Whole }, "{at}");
        open(&folder).append(note("the first")).unwrap();
        assert_eq!(check(&folder, &Expected::default(), PATIENCE).entries, 1, "{at}");
    }
}
