//! A file that ends, stops or fills the program is set aside, named, and can be taken out; everything else goes on.

use super::Visitor;
use crate::garage::{Apart, Garage, Slug};
use crate::work::sample::FILES;
use crate::world::{BREAKS, folder_for_a_test, write};
use std::time::Duration;

fn file(name: &str) -> &'static [u8] {
    FILES.iter().find(|(known, _)| *known == name).unwrap().1
}

fn text(name: &str, track: &str) -> String {
    format!(
        "name = \"{name}\"\n[tire]\nsize = \"LT265/75R16\"\n[[evidence]]\nkind = \"drive\"\ntrack = \"{track}\"\n\
         vehicle_log = \"drive-log.csv\"\n"
    )
}

fn add(garage: &Garage, name: &str, track: &str) -> Slug {
    let files = [(track, file("drive.gpx")), ("drive-log.csv", file("drive-log.csv"))];
    garage.add(name, &text(name, track), &files).unwrap()
}

/// The page names the file and what it did; taking the piece out leaves a page that answers.
fn named_and_taken_out(visitor: &Visitor, slug: &Slug, track: &str, why: &str) {
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    page.is(200).has(&["Set aside", track, why, "Take it out", "Try again"]).lacks(&["Reading the files"]);
    for stage in ["choose", "set", "prove"] {
        visitor.get_patiently(&format!("/trucks/{slug}/{stage}")).is(422).has(&[track, why]);
    }
    let said = visitor.program_with("GET", &format!("/api/v1/trucks/{slug}/measure"), &[], b"");
    said.is(422).has(&[track, why]);
    visitor.get("/").has(&["Needs a look"]);
    let version = page.hidden("version");
    visitor.post(&format!("/trucks/{slug}/part/evidence/0/remove"), &[("version", &version)]).is(303);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).is(200).lacks(&["Set aside"]);
    visitor.program_with("GET", &format!("/api/v1/trucks/{slug}/measure"), &[], b"").is(200);
}

#[test]
fn a_fault_is_caught_and_the_other_trucks_are_read() {
    let visitor = Visitor::new();
    let track = format!("{BREAKS}.gpx");
    let bad = add(&visitor.app.garage, "A bad one", &track);
    add(&visitor.app.garage, "Good", "drive.gpx");
    // The garage reads on in the background, past the bad one.
    visitor.get_patiently("/").has(&["Needs a look", "Good"]).lacks(&["Reading its files"]);
    // What was set aside is not read again by the next start.
    let next = Visitor::at(visitor.app.garage.folder().to_path_buf());
    next.get("/").has(&["A bad one"]);
    named_and_taken_out(&next, &bad, &track, "a fault of waywiser itself");
}

#[test]
fn a_fault_in_what_is_looked_at_names_the_file() {
    let (visitor, slug) = Visitor::with_sample();
    let track = format!("{BREAKS}.gpx");
    let files =
        [("track", track.as_str(), file("drive.gpx")), ("vehicle_log", "log.csv", file("drive-log.csv"))];
    visitor
        .upload_with("/drive", &[], &files)
        .is(500)
        .has(&[&track, "a fault of waywiser itself"])
        .lacks(&[".looked-at-"]);
    visitor.program("/api/v1/drive", &[], &files).is(500).has(&[&track]);
    let judged = visitor.upload_with(&format!("/trucks/{slug}/prove"), &[], &files);
    visitor.get_patiently(judged.is(303).location()).is(500).has(&[&track, "a fault of waywiser itself"]);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).is(200);
}

#[test]
fn a_file_with_which_the_program_was_ended_waits_for_its_owner() {
    let folder = folder_for_a_test("ended");
    let garage = Garage::at(&folder);
    let (first, slug) = (add(&garage, "First", "drive.gpx"), add(&garage, "Second", "drive.gpx"));
    // As a kill leaves it: the note names the file, and nobody holds it.
    write(&folder.join(format!("trucks/{first}/.reading")), b"drive.gpx", true).unwrap();
    write(&folder.join(format!("trucks/{slug}/.reading")), b"drive.gpx", true).unwrap();
    let visitor = Visitor::of(garage);
    let why = "waywiser was ended while it was read";
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    page.is(200).has(&["drive.gpx", why]);
    visitor.post(&format!("/trucks/{slug}/try-again"), &[]).is(303);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).is(200).lacks(&["Set aside"]);
    visitor.program_with("GET", &format!("/api/v1/trucks/{first}/measure"), &[], b"").is(422).has(&[why]);
    let again = visitor.program_with("POST", &format!("/api/v1/trucks/{first}/try-again"), &[], b"");
    again.is(200).has(&["version"]);
    visitor.program_with("GET", &format!("/api/v1/trucks/{first}/measure"), &[], b"").is(200);
    crate::world::clear_away(&folder);
}

/// A garage whose files are read apart by a script; `$2` is the truck's folder there.
#[cfg(unix)]
fn with_script(script: &str, most: Duration) -> (Visitor, Slug) {
    let words = ["-c", script, "sh"].map(Into::into).to_vec();
    let apart = Apart { program: ("sh".into(), words), time: (most, Duration::ZERO), memory_bytes: 64 << 20 };
    let garage = Garage::at(folder_for_a_test("apart")).reading_apart(Some(apart));
    let slug = add(&garage, "One", "drive.gpx");
    (Visitor::of(garage), slug)
}

#[cfg(unix)]
#[test]
fn a_file_that_never_ends_fills_the_memory_or_ends_the_program_is_named() {
    let check = |does: &str, why: &str| {
        let script = format!("printf drive.gpx > \"$2/.reading\"; {does}");
        let (visitor, slug) =
            with_script(&script, Duration::from_secs(if why.starts_with("no end") { 3 } else { 60 }));
        named_and_taken_out(&visitor, &slug, "drive.gpx", why);
        crate::world::clear_away(visitor.app.garage.folder());
    };
    check("while :; do :; done", "no end within 3 s");
    check("kill -9 $$", "a fault of waywiser itself");
    if cfg!(target_os = "linux") {
        check("x=1234567890123456; while :; do x=$x$x; done", "more than 64 MB of memory");
    }
}

#[cfg(unix)]
#[test]
fn what_came_to_its_end_apart_is_read_and_not_tried_again() {
    let (visitor, slug) = with_script("echo one >> \"$2/.tries\"", Duration::from_secs(60));
    let folder = visitor.app.garage.truck_folder(&slug);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).is(200).lacks(&["Set aside"]);
    let version = visitor.app.garage.truck(&slug).unwrap().hash;
    visitor.app.garage.rename(&slug, version, "Two").unwrap();
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).is(200).has(&["Two"]);
    assert_eq!(crate::world::read_text(&folder.join(".tries")).unwrap(), "one\n", "its files are the same");
    crate::world::clear_away(visitor.app.garage.folder());
}

#[cfg(unix)]
#[test]
fn the_vehicle_file_can_be_changed_while_its_files_are_read() {
    let (visitor, slug) =
        with_script("printf drive.gpx > \"$2/.reading\"; exec sleep 60", Duration::from_secs(4));
    visitor.get(&format!("/trucks/{slug}/measure")).has(&["Reading the files"]);
    let truck = visitor.app.garage.truck(&slug).unwrap();
    visitor.app.garage.rename(&slug, truck.hash, "Changed meanwhile").unwrap();
    assert_eq!(visitor.app.garage.truck(&slug).unwrap().name, "Changed meanwhile");
    crate::world::clear_away(visitor.app.garage.folder());
}
