//! The garage's laws: two edits lose nothing, names cannot lead elsewhere, what the page does not know stays.

use super::*;
use crate::world;
use std::path::Path;
use std::sync::Arc;
use truing::problem::{Problem, Problems};
use truing::record::Hash;

const TEXT: &str = "# Mine\nname = \"The grey half-ton\" # a joke\n\n[tire]\nsize = \"LT265/75R16\"\n";

fn garage(name: &str) -> Garage {
    Garage::at(world::folder_for_a_test(name))
}

fn resized(size: &'static str) -> impl FnOnce(&mut toml_edit::DocumentMut) -> Result<(), Problems> {
    move |document| {
        document["tire"]["size"] = toml_edit::value(size);
        Ok(())
    }
}

#[test]
fn names_of_folders() {
    let check = |name: &str, number: usize, expected: &str| {
        assert_eq!(Slug::new(name, number).as_str(), expected);
        assert!(Slug::read(expected).is_some(), "{expected} can be read back");
    };
    check("The grey half-ton", 1, "the-grey-half-ton");
    check("The grey half-ton", 3, "the-grey-half-ton-3");
    check("../../etc", 1, "etc");
    check("<b>", 1, "b");
    check("CON", 1, "truck-con");
    check("", 1, "truck");
    check("\u{4e2d}", 2, "truck-2");
    for wrong in ["", "..", "a/b", "a\\b", "A", "nul", "-a", "a b", "%2e%2e"] {
        assert!(Slug::read(wrong).is_none(), "{wrong}");
    }
}

#[test]
fn names_of_files() {
    let check = |given: &str, expected: &str| assert_eq!(kept_name(given), expected);
    check("drive.gpx", "drive.gpx");
    check("../../../x.gpx", "x.gpx");
    check("C:\\logs\\a b.csv", "a-b.csv");
    check("truck.toml", "file-truck.toml");
    check("TRUCK.TOML", "file-TRUCK.TOML");
    check(".lock", "lock");
    check("..", "file-");
    check("aux.gpx", "file-aux.gpx");
    check("a\0b\n.gpx", "a-b.gpx");
}

#[test]
fn names_in_a_file_stay_beside_it() {
    let check = |name: &str, expected: bool| assert_eq!(names::stays_beside(name), expected, "{name}");
    check("drive.gpx", true);
    check("drives.zip/one.gpx", true);
    for wrong in ["../record.sqlite", "a/../../b", "/etc/hostname", "..\\b", "C:\\b"] {
        check(wrong, false);
    }
}

#[test]
fn paths_are_not_shown() {
    let garage = Garage::at("/a/garage");
    let problem =
        Problem::error("/a/garage/trucks/x/drive.gpx", "a file", "no `/a/garage/trucks/x/b.csv` there");
    let shown = garage.shown(problem);
    assert_eq!(
        (shown[0].source.to_string().as_str(), shown[0].found.as_str()),
        ("drive.gpx", "no `b.csv` there")
    );
}

#[test]
fn of_two_edits_the_second_is_told() {
    let garage = garage("two");
    let slug = garage.add("The grey half-ton", TEXT, &[]).unwrap();
    let before = garage.truck(&slug).unwrap();
    garage.edit(&slug, before.hash, resized("LT285/75R16")).unwrap();
    let after = garage.truck(&slug).unwrap();
    assert_eq!(after.text, TEXT.replace("LT265", "LT285"), "comments and order stay");
    match garage.edit(&slug, before.hash, resized("LT315/75R16")) {
        Err(Refused::Stale { now, wanted }) => {
            assert_eq!(now.hash, after.hash);
            assert!(wanted.unwrap().contains("LT315"), "nothing that was typed is lost");
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(garage.truck(&slug).unwrap().text, after.text);
}

#[test]
fn an_edit_that_spoils_the_file_is_refused() {
    let garage = garage("spoils");
    let slug = garage.add("One", TEXT, &[]).unwrap();
    let hash = garage.truck(&slug).unwrap().hash;
    assert!(matches!(garage.edit(&slug, hash, resized("nonsense")), Err(Refused::Problems(_))));
    assert!(matches!(garage.edit(&slug, Hash::NONE, resized("LT285/75R16")), Err(Refused::Stale { .. })));
    assert_eq!(garage.truck(&slug).unwrap().text, TEXT);
}

#[test]
fn what_is_known_follows_the_files() {
    let garage = garage("known");
    let slug = garage.add("One", TEXT, &[]).unwrap();
    assert!(matches!(garage.state(&slug), State::Waiting));
    let first = garage.known(&slug).unwrap();
    assert!(Arc::ptr_eq(&first, &garage.known(&slug).unwrap()), "worked out once");
    garage.edit(&slug, first.truck.hash, resized("LT285/75R16")).unwrap();
    let revs = |known: &Known| known.estimate.over_all.revs.as_ref().unwrap().value.per_mi();
    assert!(revs(&garage.known(&slug).unwrap()) < revs(&first), "a taller tire turns less");
}

#[test]
fn files_never_take_the_place_of_another() {
    let garage = garage("files");
    let slug = garage.add("One", TEXT, &[("drive.gpx", b"first")]).unwrap();
    let mut arrival = garage.arrival(&slug).unwrap();
    arrival.take(b"second").unwrap();
    assert_eq!(garage.keep_file(&slug, "drive.gpx", arrival).unwrap(), "drive-2.gpx");
    drop(garage.arrival(&slug).unwrap());
    let names = world::files_in(&garage.truck_folder(&slug));
    assert_eq!(names, ["drive-2.gpx", "drive.gpx", "truck.toml"], "what did not arrive left nothing behind");
}

#[test]
fn what_a_killed_program_left_is_cleared_away_and_what_is_in_use_stays() {
    let garage = garage("left-behind");
    let slug = garage.add("Mine", TEXT, &[]).unwrap();
    let (folder, truck) = (garage.folder().to_path_buf(), garage.truck_folder(&slug));
    let write = |path: &Path| world::write(path, b"half", true).unwrap();
    // As a kill leaves them: with a lock that nobody holds, from before there were locks, and half a file.
    write(&folder.join(".looked-at-1/drive.gpx"));
    write(&folder.join(".looked-at-1.in-use"));
    write(&folder.join(".looked-at-2/drive.gpx"));
    write(&folder.join(".looked-at-3.in-use"));
    write(&truck.join(".arriving-4"));
    let in_use = world::Scratch::inside(&folder).unwrap();
    write(&in_use.path().join("drive.gpx"));
    let arriving = garage.arrival(&slug).unwrap();
    garage.clear_left_behind();
    let left = [world::folders_in(&folder), world::files_in(&folder), world::files_in(&truck)].concat();
    let left: Vec<&String> =
        left.iter().filter(|name| name.starts_with(".looked") || name.starts_with(".arr")).collect();
    assert_eq!(left.len(), 3, "the folder in use, its lock and the file that comes in: {left:?}");
    assert!(in_use.path().join("drive.gpx").is_file() && arriving.path().is_file());
    arriving.become_file(&truck.join("drive.gpx")).unwrap();
    drop(in_use);
    garage.clear_left_behind();
    assert!(world::folders_in(&folder).iter().all(|name| !name.starts_with('.')));
    assert!(world::files_in(&folder).iter().all(|name| !name.starts_with(".looked")));
    assert_eq!(world::files_in(&truck), ["drive.gpx", TRUCK_FILE]);
    world::clear_away(&folder);
}

#[test]
fn an_edit_by_hand_is_seen_whatever_its_length_and_time() {
    let garage = garage("unseen");
    let slug = garage.add("Mine", TEXT, &[]).unwrap();
    let file = garage.truck_file(&slug);
    let (mut from, mut to) = ("LT265/75R16", "LT275/75R16");
    for round in 0..300 {
        let seen = garage.truck(&slug).unwrap();
        world::edit_unseen(&file, from, to);
        match garage.edit(&slug, seen.hash, resized("LT285/75R16")) {
            Err(Refused::Stale { now, .. }) => assert!(now.text.contains(to), "{round}"),
            _ => panic!("round {round}: an edit by hand was lost"),
        }
        assert!(garage.truck(&slug).unwrap().text.contains(to), "{round}");
        std::mem::swap(&mut from, &mut to);
    }
    world::clear_away(garage.folder());
}

#[test]
fn an_edit_by_hand_during_a_save_is_noticed() {
    let garage = garage("during");
    let slug = garage.add("Mine", TEXT, &[]).unwrap();
    let (file, truck) = (garage.truck_file(&slug), garage.truck(&slug).unwrap());
    let by_hand = || world::edit_unseen(&file, "a joke", "a fact");
    let saved = garage.rewrite(&slug, truck.hash, |text| {
        by_hand();
        Ok(text.replace("LT265", "LT285"))
    });
    assert!(matches!(saved, Err(Refused::Stale { .. })), "{saved:?}");
    let text = world::read_text(&file).unwrap();
    assert!(text.contains("a fact") && text.contains("LT265"), "{text}");
    // The same while a write goes into the record: it is there, and the file is said not to have followed.
    let truck = garage.truck(&slug).unwrap();
    let follow = |truck: &Truck| Ok(truck.text.replace("LT265", "LT285"));
    let both = garage.after_record(&slug, truck.hash, follow, || {
        world::edit_unseen(&file, "a fact", "a joke");
        Ok(7)
    });
    let (recorded, problem) = both.unwrap();
    assert!(recorded == 7 && problem.unwrap().found.contains("another one by now"));
    assert!(world::read_text(&file).unwrap().contains("a joke"));
    world::clear_away(garage.folder());
}

#[cfg(unix)]
#[test]
fn a_vehicle_file_that_is_a_link_stays_one_and_keeps_its_rights() {
    let garage = garage("link");
    let slug = garage.add("Mine", TEXT, &[]).unwrap();
    let (file, elsewhere) = (garage.truck_file(&slug), world::folder_for_a_test("elsewhere"));
    world::become_link(&file, &elsewhere.join("kept.toml"));
    let truck = garage.truck(&slug).unwrap();
    garage.edit(&slug, truck.hash, resized("LT285/75R16")).unwrap();
    assert!(world::read_text(&elsewhere.join("kept.toml")).unwrap().contains("LT285/75R16"));
    assert_eq!(world::link_and_rights(&file), (true, 0o600));
    // A link that leads nowhere has its name too: what comes in takes another.
    world::link(&garage.truck_folder(&slug).join("drive.gpx"), Path::new("nowhere"));
    let arrival = garage.arrival(&slug).unwrap();
    assert_eq!(garage.keep_file(&slug, "drive.gpx", arrival).unwrap(), "drive-2.gpx");
    world::clear_away(garage.folder());
    world::clear_away(&elsewhere);
}
