use super::*;
use crate::world::faults::{Fault, arm};
use crate::world::{bytes_for_a_test, clear_away, copy_for_a_test, folder_for_a_test};

const TEXT: &str = "name = \"One\"\n[tire]\nsize = \"LT265/75R16\"\n";

fn run(digit: char) -> RunId {
    RunId::read(&digit.to_string().repeat(32)).unwrap()
}

/// Records of a drive, from one number up to another.
fn records(from: usize, to: usize) -> Vec<String> {
    let one = |number: usize| match number {
        0 => r#"{"run":"start","version":1}"#.to_string(),
        _ => format!(
            r#"{{"run":"fix","time":"2026-05-01T10:00:{:02}Z","delivered":{number}.25}}"#,
            number % 60
        ),
    };
    (from..to).map(one).collect()
}

fn garage() -> (Garage, Slug) {
    let garage = Garage::at(folder_for_a_test("runs"));
    let slug = garage.add("One", TEXT, &[]).unwrap();
    (garage, slug)
}

/// What comes of records, as a word and a number.
fn sent(garage: &Garage, slug: &Slug, first: usize, records: &[String]) -> (&'static str, usize) {
    came(garage.take_records(&run('a'), slug, first, records))
}

fn came(taken: Result<usize, NotTaken>) -> (&'static str, usize) {
    match taken {
        Ok(next) => ("next", next),
        Err(NotTaken::Different(at)) => ("different", at),
        Err(NotTaken::Hole(next)) => ("hole", next),
        Err(NotTaken::Whole(next)) => ("whole", next),
        Err(NotTaken::OtherTruck) => ("other truck", 0),
        Err(NotTaken::Unknown) => ("unknown", 0),
        Err(NotTaken::TooLarge) => ("too large", 0),
        Err(NotTaken::TooMany) => ("too many", 0),
        Err(NotTaken::Problems(_)) => ("problems", 0),
    }
}

#[test]
fn each_record_is_taken_once() {
    let (garage, slug) = garage();
    assert_eq!(garage.next_record(&run('a')).unwrap(), 0);
    let check = |first, records: &[String], expected| {
        assert_eq!(sent(&garage, &slug, first, records), expected, "from {first}");
    };
    check(3, &records(3, 5), ("hole", 0));
    check(0, &records(0, 5), ("next", 5));
    check(0, &records(0, 5), ("next", 5));
    check(2, &records(2, 4), ("next", 5));
    check(3, &records(3, 8), ("next", 8));
    check(9, &records(9, 10), ("hole", 8));
    check(5, &[], ("next", 8));
    check(6, &records(5, 7), ("different", 6));
    // The difference stands before the new ones: none of them is taken.
    check(7, &records(6, 20), ("different", 7));
    assert_eq!(garage.next_record(&run('a')).unwrap(), 8);
    let other = garage.add("Other", TEXT, &[]).unwrap();
    assert_eq!(sent(&garage, &other, 8, &records(8, 9)).0, "other truck");
    clear_away(garage.folder());
}

#[test]
fn a_whole_drive_is_a_file_of_its_truck_for_good() {
    let (garage, slug) = garage();
    let end = |count| garage.end_run(&run('a'), &slug, count);
    assert!(matches!(end(0), Err(NotTaken::Unknown)));
    garage.take_records(&run('a'), &slug, 0, &records(0, 40)).unwrap();
    assert!(matches!(end(41), Err(NotTaken::Hole(40))));
    assert!(matches!(end(39), Err(NotTaken::Whole(40))));
    assert_eq!(garage.open_runs(&slug), [(run('a'), 40)]);
    let ended = end(40).unwrap();
    assert_eq!(ended, Ended { records: 40, file: "run-2026-05-01-aaaaaaaaaaaa.jsonl".into() });
    let kept = || String::from_utf8(bytes_for_a_test(&garage.truck_folder(&slug).join(&ended.file))).unwrap();
    let expected: String = records(0, 40).iter().map(|record| format!("{record}\n")).collect();
    assert_eq!(kept(), expected);
    assert!(garage.open_runs(&slug).is_empty());
    // Whatever is sent again after the answer was lost.
    assert_eq!(end(40).unwrap(), ended);
    assert_eq!(garage.next_record(&run('a')).unwrap(), 40);
    assert_eq!(sent(&garage, &slug, 30, &records(30, 40)), ("next", 40));
    assert_eq!(sent(&garage, &slug, 30, &records(31, 41)), ("different", 30));
    assert_eq!(sent(&garage, &slug, 40, &records(40, 41)), ("whole", 40));
    // The owner may delete the file; the drive does not come back by itself.
    garage.delete_file(&slug, &ended.file);
    assert_eq!(sent(&garage, &slug, 30, &records(30, 40)), ("next", 40));
    assert_eq!(end(40).unwrap(), ended);
    assert_eq!(garage.file_names(&slug), Vec::<String>::new());
    clear_away(garage.folder());
}

#[test]
fn what_would_be_too_much_is_refused() {
    let (garage, slug) = garage();
    let large = vec!["x".repeat(1 << 20); 17];
    assert_eq!(sent(&garage, &slug, 0, &large).0, "too large");
    assert_eq!(garage.next_record(&run('a')).unwrap(), 0);
    for number in 0..MOST_OPEN {
        let run = RunId::read(&format!("{number:032x}")).unwrap();
        garage.take_records(&run, &slug, 0, &records(0, 1)).unwrap();
    }
    assert_eq!(sent(&garage, &slug, 0, &records(0, 1)).0, "too many");
    // One that is open already goes on, and one that ends makes room.
    let first = RunId::read(&format!("{:032x}", 0)).unwrap();
    assert_eq!(garage.take_records(&first, &slug, 1, &records(1, 2)).unwrap(), 2);
    garage.end_run(&first, &slug, 2).unwrap();
    assert_eq!(sent(&garage, &slug, 0, &records(0, 1)), ("next", 1));
    clear_away(garage.folder());
}

#[test]
fn only_a_name_made_by_chance_is_one() {
    for text in ["", "../../truck", "A1", &"a".repeat(31), &"a".repeat(33), &"A".repeat(32), &"é".repeat(16)]
    {
        assert!(RunId::read(text).is_none(), "{text}");
    }
}

/// A drive is sent while the program is killed, or the disk fails, at each operation that changes a file. Afterwards what had been
/// confirmed is there, and sending it again makes it whole: every record once, in its place.
#[test]
fn nothing_confirmed_is_lost_wherever_the_program_is_killed() {
    let (template, slug) = garage();
    let send = |garage: &Garage| -> Result<usize, NotTaken> {
        let mut confirmed = garage.next_record(&run('a'))?;
        while confirmed < 20 {
            confirmed = garage.take_records(
                &run('a'),
                &slug,
                confirmed,
                &records(confirmed, 20.min(confirmed + 10)),
            )?;
        }
        garage.end_run(&run('a'), &slug, 20).map(|ended| ended.records)
    };
    for fault in [Fault::Killed, Fault::Full, Fault::Unsynced] {
        let mut points = 0;
        loop {
            let folder = folder_for_a_test("runs-killed");
            copy_for_a_test(template.folder(), &folder);
            let armed = arm(&folder, fault, Some(points));
            let garage = Garage::at(&folder);
            let first = garage.take_records(&run('a'), &slug, 0, &records(0, 10)).unwrap_or(0);
            let came = send(&garage);
            let struck = armed.met().len() > points;
            drop(armed);
            let garage = Garage::at(&folder);
            let next = garage.next_record(&run('a')).unwrap();
            assert!(next >= first, "{fault:?} at {points}: {first} were confirmed, {next} are here");
            if came.is_ok() && fault != Fault::Killed {
                assert_eq!(next, 20, "{fault:?} at {points}");
            }
            assert_eq!(send(&garage).unwrap(), 20, "{fault:?} at {points}");
            let files = garage.file_names(&slug);
            assert_eq!(files, ["run-2026-05-01-aaaaaaaaaaaa.jsonl"], "{fault:?} at {points}");
            let kept = bytes_for_a_test(&garage.truck_folder(&slug).join(&files[0]));
            let expected: String = records(0, 20).iter().map(|record| format!("{record}\n")).collect();
            assert_eq!(String::from_utf8(kept).unwrap(), expected, "{fault:?} at {points}");
            clear_away(&folder);
            if !struck {
                break;
            }
            points += 1;
        }
        assert!(points > 4, "{fault:?} befell {points} operations");
    }
    clear_away(template.folder());
}
