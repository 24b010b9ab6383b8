#![expect(clippy::disallowed_methods, reason = "what is tested are the files themselves")]

use super::*;
use proptest::prelude::*;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::{Problem, Problems, any_error};
use truing::record::{Chain, Draft, Entry, EventKind, Expected, VehicleState, export};

const TRUCK: &str = "The grey half-ton";
pub const PATIENCE: Duration = Duration::from_secs(10);

/// An empty folder of its own.
pub fn folder(name: &str) -> PathBuf {
    // CARGO_TARGET_TMPDIR is for integration tests only; the binary of this test lies in the same target folder.
    let target = std::env::current_exe().unwrap().ancestors().nth(2).unwrap().join("tmp-ledger");
    let folder = target.join(format!("{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

pub fn open(folder: &Path) -> Ledger {
    Ledger::open(folder, PATIENCE).unwrap()
}

pub fn draft(kind: EventKind, fields: &[(&str, &str)]) -> Draft {
    Draft::new("2026-05-02T10:00:00.000000001Z".parse().unwrap(), TRUCK, kind, fields)
}

pub fn note(text: &str) -> Draft {
    draft(EventKind::Note, &[("text", text)])
}

pub fn filled(folder: &Path, count: usize) -> Ledger {
    let mut ledger = open(folder);
    (0..count).for_each(|number| drop(ledger.append(note(&format!("note {number}"))).unwrap()));
    ledger
}

#[test]
fn what_is_added_is_there_and_is_whole() {
    let folder = folder("added");
    let mut ledger = open(&folder);
    let mut chain = Chain::default();
    for text in ["quiet road", "\"quoted\", é ✓ \n second line", "\u{0}"] {
        let entry = ledger.append(note(text)).unwrap();
        assert_eq!(&entry, chain.append(note(text)).unwrap());
    }
    assert_eq!(ledger.chain().unwrap(), chain);
    let checked = ledger.check(&Expected::default());
    assert_eq!((checked.entries, checked.head, checked.problems), (3, chain.head().to_string(), vec![]));
    assert_eq!(checked.finding, Finding::Whole);
    drop(ledger);
    assert_eq!(open(&folder).chain().unwrap(), chain);
}

#[test]
fn what_is_refused_leaves_nothing() {
    let folder = folder("refused");
    let mut ledger = filled(&folder, 2);
    let before = ledger.chain().unwrap();
    for event in [
        note(" "),
        draft(EventKind::Correction, &[("corrects", "9")]),
        Draft { vehicle: "Another".into(), ..draft(EventKind::Correction, &[("corrects", "1")]) },
        draft(EventKind::Odometer, &[("odometer", "many")]),
    ] {
        assert!(ledger.append(event).is_err());
    }
    assert_eq!(ledger.chain().unwrap(), before);
    assert_eq!(ledger.vehicles().unwrap(), [TRUCK]);
}

#[test]
fn a_correction_is_told_of_every_reading_that_it_contradicts() {
    let (mut chain, mut ledger) = (Chain::default(), open(&folder("contradicted")));
    for reading in ["20 mi", "22 mi", "23 mi", "25 mi"] {
        let event = draft(EventKind::Odometer, &[("odometer", reading)]);
        assert_eq!(chain.append(event.clone()).cloned(), ledger.append(event));
    }
    let event = draft(EventKind::Correction, &[("corrects", "1"), ("odometer", "36 mi")]);
    let problems = ledger.append(event.clone()).unwrap_err();
    assert_eq!(problems.len(), 3, "{problems:?}");
    assert_eq!(chain.append(event).unwrap_err(), problems);
}

#[test]
fn sql_cannot_change_or_remove_entries() {
    let folder = folder("triggers");
    drop(filled(&folder, 3));
    let connection = Connection::open(folder.join(FILE)).unwrap();
    for sql in [
        "UPDATE entry SET fields = '{}' WHERE sequence = 2",
        "DELETE FROM entry WHERE sequence = 3",
        "DELETE FROM entry",
        "UPDATE vehicle SET name = 'x'",
        "DELETE FROM vehicle",
        "INSERT OR REPLACE INTO entry SELECT sequence, time, vehicle, kind, '{}', previous, hash FROM entry WHERE sequence = 2",
        "INSERT INTO entry SELECT 9, time, vehicle, kind, fields, previous, randomblob(32) FROM entry WHERE sequence = 2",
        "INSERT INTO entry SELECT 4, time, 77, kind, fields, previous, randomblob(32) FROM entry WHERE sequence = 2",
        "INSERT INTO entry SELECT 4, time, vehicle, kind, fields, previous, 'text' FROM entry WHERE sequence = 2",
    ] {
        assert!(connection.execute(sql, []).is_err(), "{sql}");
    }
    assert_eq!(open(&folder).chain().unwrap().check(&Expected::default()), []);
}

#[test]
fn a_change_past_the_triggers_is_found() {
    let check = |sql: &str, words: &str| {
        let folder = folder("tampered");
        drop(filled(&folder, 5));
        let connection = Connection::open(folder.join(FILE)).unwrap();
        let triggers = "DROP TRIGGER entry_stays; DROP TRIGGER entry_is_kept; DROP TRIGGER entry_is_next;";
        connection
            .execute_batch(&format!(
                "{triggers} PRAGMA foreign_keys = off; PRAGMA ignore_check_constraints = on; {sql}"
            ))
            .unwrap();
        drop(connection);
        let problems = open(&folder).check(&Expected::default()).problems;
        let said: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
        assert!(any_error(&problems) && said.iter().any(|said| said.contains(words)), "{sql}: {said:?}");
    };
    check("UPDATE entry SET fields = '{\"text\":\"no\"}' WHERE sequence = 3", "entry 3");
    check("UPDATE entry SET time = '2026-05-02T11:00:00Z' WHERE sequence = 3", "entry 3");
    check("UPDATE entry SET kind = 'nothing' WHERE sequence = 3", "entry 3");
    check("UPDATE entry SET hash = zeroblob(32) WHERE sequence = 3", "entry 3");
    check("DELETE FROM entry WHERE sequence = 3", "entry 4");
    check("UPDATE entry SET vehicle = 9 WHERE sequence = 3", "entry 4");
}

#[test]
fn a_record_of_every_version_opens() {
    let folder = folder("versions");
    let chain = filled(&folder, 4).chain().unwrap();
    let older = folder.join("older");
    std::fs::create_dir_all(&older).unwrap();
    let connection = migrate::made_by_the_first(&older.join(FILE));
    connection.execute("ATTACH ?1 AS new", [folder.join(FILE).display().to_string()]).unwrap();
    connection
        .execute_batch(
            "INSERT INTO vehicle SELECT * FROM new.vehicle; INSERT INTO entry SELECT * FROM new.entry;",
        )
        .unwrap();
    drop(connection);
    let mut ledger = open(&older);
    assert_eq!(ledger.chain().unwrap(), chain);
    ledger.append(note("goes on")).unwrap();
    assert_eq!(ledger.check(&Expected::default()).problems, []);
}

/// `tests/data/records/make.py` prints it.
pub const HEAD_OF_THE_KEPT: &str = "d0489fc5bbd5c3cfbdb963efeb79b8f7ee6697ba5525b4655a54c23e5f136adb";

/// Files kept from each version; a new migration asks for the file of the version before it.
#[test]
fn a_file_kept_from_every_version_opens_and_goes_on() {
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/records");
    for version in 1..=migrate::MIGRATIONS.len() {
        let folder = folder(&format!("kept-{version}"));
        std::fs::copy(kept.join(format!("version-{version}.sqlite")), folder.join(FILE)).unwrap();
        let mut ledger = Ledger::open_existing(&folder, PATIENCE).unwrap();
        let checked = ledger.check(&Expected::default());
        assert_eq!((checked.entries, checked.head.as_str()), (5, HEAD_OF_THE_KEPT), "version {version}");
        assert_eq!(checked.problems, []);
        let state = VehicleState::from_entries(&ledger.that_matter(TRUCK).unwrap());
        assert_eq!((state.setting, state.writes_left), (Some(("7.86".to_string(), 3)), Some(3)));
        let later = "2026-05-11T10:00:00Z".parse().unwrap();
        ledger.append(Draft { time: later, ..note("goes on") }).unwrap();
        drop(ledger);
        assert_eq!(open(&folder).check(&Expected::default()).entries, 6);
    }
}

#[test]
fn files_of_others_and_of_later_versions_are_not_touched() {
    let check = |sql: &str, words: &str| {
        let folder = folder("others");
        let path = folder.join(FILE);
        Connection::open(&path).unwrap().execute_batch(sql).unwrap();
        let before = std::fs::read(&path).unwrap();
        let problems = Ledger::open(&folder, PATIENCE).err().unwrap();
        assert!(problems[0].to_string().contains(words), "{problems:?}");
        assert_eq!(std::fs::read(&path).unwrap(), before);
    };
    check("CREATE TABLE other (x)", "a database of another one");
    check("PRAGMA application_id = 7; CREATE TABLE other (x)", "a database of another one");
    check("PRAGMA application_id = 2002876791; PRAGMA user_version = 99; CREATE TABLE x (x)", "version 99");
}

/// What taking in a chain adds, or what is said.
fn take_in(ledger: &mut Ledger, chain: &[Entry]) -> Result<usize, String> {
    let fed = ledger.take_in(false, |take| {
        chain.iter().cloned().for_each(take);
        Vec::new()
    });
    fed.map(|taken| taken.added).map_err(|problems| problems[0].to_string())
}

#[test]
fn a_record_is_taken_in_where_it_goes_on_and_refused_where_it_parts() {
    let folder = folder("merge");
    let chain = filled(&folder.join("a"), 5).chain().unwrap();
    let whole = chain.entries();
    let mut other = open(&folder.join("b"));
    assert_eq!(take_in(&mut other, &whole[..3]), Ok(3));
    assert_eq!(take_in(&mut other, &whole[..2]), Ok(0), "all of it is here");
    assert_eq!(take_in(&mut other, whole), Ok(2));
    assert_eq!(other.chain().unwrap(), chain);
    let mut apart = open(&folder.join("c"));
    take_in(&mut apart, &whole[..3]).unwrap();
    apart.append(note("of its own")).unwrap();
    let before = apart.chain().unwrap();
    assert!(take_in(&mut apart, whole).unwrap_err().contains("part at entry 4"));
    assert_eq!(apart.chain().unwrap(), before);
}

#[test]
fn a_record_that_is_not_in_order_is_refused_whole() {
    let folder = folder("refused");
    let whole = filled(&folder.join("a"), 5).chain().unwrap().entries().to_vec();
    let mut other = open(&folder.join("b"));
    take_in(&mut other, &whole[..2]).unwrap();
    let before = other.chain().unwrap();
    let mut check = |spoil: &dyn Fn(&mut Vec<Entry>), words: &str| {
        let mut spoilt = whole.clone();
        spoil(&mut spoilt);
        let said = take_in(&mut other, &spoilt).unwrap_err();
        assert!(said.contains(words), "{said}");
        assert_eq!(other.chain().unwrap(), before);
    };
    check(&|entries| drop(entries[3].event.fields.insert("text".into(), "changed".into())), "entry 4");
    check(&|entries| drop(entries.remove(3)), "entry 5 after entry 3");
    check(&|entries| entries.swap(3, 4), "entry 5 after entry 3");
    check(&|entries| entries.insert(3, entries[2].clone()), "entry 3 after entry 3");
    // Sealed well, but the entry that it corrects is not there.
    check(
        &|entries| {
            let fields = [("corrects", "77"), ("text", "a slip")];
            let event =
                Draft::new(whole[0].event.time, &whole[0].event.vehicle, EventKind::Correction, &fields);
            entries.push(truing::record::seal(6, entries[4].hash, event));
        },
        "entry 6",
    );
}

#[test]
fn what_could_not_be_read_refuses_the_whole() {
    let folder = folder("unreadable");
    let whole = filled(&folder.join("a"), 2).chain().unwrap().entries().to_vec();
    let mut other = open(&folder.join("b"));
    let said = other.take_in(false, |take| {
        whole.iter().cloned().for_each(take);
        Problems::from(Problem::error("record.jsonl", "an entry of the record", "other bytes")).into()
    });
    assert_eq!(said.unwrap_err()[0].found, "other bytes");
    assert_eq!(other.chain().unwrap().entries(), []);
}

#[test]
fn whoever_waits_too_long_is_told_so() {
    let folder = folder("busy");
    drop(filled(&folder, 1));
    let holder = Connection::open(folder.join(FILE)).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    let mut ledger = Ledger::open(&folder, Duration::from_millis(20)).unwrap();
    let problems = ledger.append(note("in vain")).unwrap_err();
    assert!(problems[0].to_string().contains("another program holds it"), "{problems:?}");
    assert_eq!(ledger.chain().unwrap().entries().len(), 1, "reading goes on meanwhile");
    holder.execute_batch("ROLLBACK").unwrap();
    ledger.append(note("now")).unwrap();
}

#[test]
fn several_make_the_same_new_record_at_once() {
    let folder = folder("new");
    for round in 0..40 {
        let garage = folder.join(round.to_string());
        let writers: Vec<_> = (0..6)
            .map(|_| {
                let garage = garage.clone();
                std::thread::spawn(move || Ledger::open(&garage, PATIENCE)?.append(note("mine")))
            })
            .collect();
        for writer in writers {
            writer.join().unwrap().unwrap();
        }
        assert_eq!(open(&garage).chain().unwrap().entries().len(), 6);
    }
}

#[test]
fn a_backup_is_the_record_and_is_never_written_over() {
    let folder = folder("backup");
    let ledger = filled(&folder.join("a"), 6);
    let copy = folder.join("b").join(FILE);
    ledger.back_up(&copy).unwrap();
    assert!(ledger.back_up(&copy).is_err());
    let found = Ledger::open_existing(&folder.join("b"), PATIENCE).unwrap();
    assert_eq!(found.chain().unwrap(), ledger.chain().unwrap());
}

#[test]
fn what_is_left_of_a_damaged_file_is_read_and_the_file_stays() {
    let folder = folder("damaged");
    let chain = filled(&folder, 400).chain().unwrap();
    let path = folder.join(FILE);
    let mut bytes = std::fs::read(&path).unwrap();
    // A page of the table itself: only it holds the words of a note.
    let note = b"note 200\"";
    let place = bytes.windows(note.len()).position(|window| window == note).unwrap();
    let middle = place / 4096 * 4096;
    bytes[middle..middle + 4096].fill(0x5a);
    std::fs::write(&path, &bytes).unwrap();
    let broken = check(&folder, &Expected::default(), PATIENCE);
    assert!(broken.finding == Finding::NotInOrder && any_error(&broken.problems));
    let before = std::fs::read(&path).unwrap();
    let salvage = salvage(&folder, "2026-05-02").unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), before, "the damaged file is not written to");
    assert!(salvage.copy.exists());
    let left = salvage.chain.entries();
    assert!((200..400).contains(&left.len()), "{} of 400 read", left.len());
    assert!(left.iter().all(|entry| chain.entries().contains(entry)));
    assert!(export(&salvage.chain).ends_with('\n') && !salvage.problems.is_empty());
}

#[test]
fn no_file_of_any_bytes_stops_the_program() {
    for bytes in
        [&b"not a database at all, but long enough to be looked at as one"[..], &[0; 5000], &[0xff; 200]]
    {
        let folder = folder("garbage");
        let path = folder.join(FILE);
        std::fs::write(&path, bytes).unwrap();
        assert!(Ledger::open(&folder, PATIENCE).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
        assert!(salvage(&folder, "2026-05-02").unwrap().chain.entries().is_empty());
    }
}

/// An event of a life: some will be refused, which is part of it.
fn any_event() -> impl Strategy<Value = (EventKind, Vec<(&'static str, String)>)> {
    let kind = proptest::sample::select(EventKind::all().collect::<Vec<_>>());
    let (name, small) = (0..4_u8, 1..9_u32);
    (kind, name, small, 0..40_u32, any::<bool>()).prop_map(|(kind, name, small, odometer, has_odometer)| {
        let text = |value: &str| value.to_string();
        let part = ["tires", "axle", "module", "odometer"][usize::from(name)];
        let mut fields = vec![
            ("part", text(part)),
            ("corrects", small.to_string()),
            ("opened", small.to_string()),
            ("what", text(part)),
            ("every", text("20 mi")),
            ("touches", text("brakes")),
            ("rule", text("true")),
            ("verdict", text("conforms")),
            ("from", format!("8.{small}")),
            ("from_reason", text("found so")),
            ("to", format!("7.{small}")),
            ("limit", text("100 mi")),
            ("text", text("x")),
            ("advice", text("write")),
            ("volume", format!("{small} gal")),
            ("reading_ratio", format!("0.9{small} +/- 0.003")),
        ];
        if has_odometer {
            fields.push(("odometer", format!("{odometer} mi")));
        }
        (kind, fields)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn the_state_rests_on_the_entries_that_matter(events in proptest::collection::vec(any_event(), 1..40)) {
        let (mut chain, mut ledger) = (Chain::default(), open(&folder("state")));
        for (kind, fields) in events {
            let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
            let event = draft(kind, &fields);
            prop_assert_eq!(chain.append(event.clone()).cloned(), ledger.append(event));
        }
        prop_assert_eq!(chain.check(&Expected::default()), ledger.check(&Expected::default()).problems);
        let (all, some) = (ledger.of_vehicle(TRUCK).unwrap(), ledger.that_matter(TRUCK).unwrap());
        prop_assert_eq!(&all, chain.entries());
        let (all, some) = (VehicleState::from_entries(&all), VehicleState::from_entries(&some));
        prop_assert_eq!(VehicleState { last_entry: some.last_entry, ..all }, some);
    }
}
