//! Every operation that changes a garage, ended or failing at each point at which it changes a file: nothing is lost,
//! nothing is there twice, and what is said is so.

use super::Visitor;
use crate::cli::run_these;
use crate::garage::{Garage, Slug};
use crate::ledger::{Finding, check};
use crate::world::faults::{Fault, arm};
use crate::world::{clear_away, copy_for_a_test, folder_for_a_test};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Duration;
use truing::record::{EventKind, Expected};

const NAME: &str = "The grey half-ton";
const TEXT: &str = "name = \"The grey half-ton\"\n[tire]\nsize = \"LT265/75R16\"\n[adjuster]\nkind = \"stepped-constant\"\n\
    counts_per_mile_per_unit = 8000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\nwraps = true\n\
    present = \"8.20\"\nwrites_left = 4\n";
const SLUG: &str = "the-grey-half-ton";

/// What came of an operation.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Came {
    /// It was confirmed.
    Done,
    /// It was refused, and nothing was changed.
    Refused,
    /// The record has it, and it was said that the file could not follow.
    Half,
    /// It was said that the file was changed, and that the disk may not keep it.
    Unsure,
}

/// One operation.
struct Tried {
    name: &'static str,
    /// Makes the garage in which it is tried.
    start: fn(&Path),
    /// Does it; what it sends is the same each time.
    act: fn(&Path) -> Came,
    /// Whether the record and the vehicle file belong together, as for a write.
    is_write: bool,
    /// Whether sending it again may be refused because it was done already.
    is_known_again: bool,
}

/// How a garage stands: entries, writes among them, and the text of each vehicle file.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stands {
    entries: u64,
    writes: usize,
    files: Vec<String>,
}

fn stands(folder: &Path) -> Stands {
    let garage = Garage::at(folder);
    let (mut entries, mut writes) = (0, 0);
    if garage.has_record() {
        let checked = check(folder, &Expected::default(), Duration::from_secs(5));
        assert_eq!(checked.finding, Finding::Whole, "{:?}", checked.problems);
        entries = checked.entries;
        let chain = garage.ledger().unwrap().chain().unwrap();
        writes = chain.entries().iter().filter(|entry| entry.event.kind == EventKind::Write).count();
    }
    let text = |slug: &Slug| garage.truck(slug).unwrap().text.clone();
    let files = garage.slugs().iter().map(text).collect();
    Stands { entries, writes, files }
}

fn differs(folder: &Path) -> bool {
    let garage = Garage::at(folder);
    garage.slugs().iter().any(|slug| !garage.differences(&garage.truck(slug).unwrap()).unwrap().is_empty())
}

/// Tries an operation with a fault at each point. How many points there were.
fn at_every_point(tried: &Tried, fault: Fault) -> usize {
    let template = folder_for_a_test("crash-start");
    (tried.start)(&template);
    let before = stands(&template);
    let counted = copied(&template);
    let armed = arm(&counted, fault, None);
    assert_eq!((tried.act)(&counted), Came::Done, "{} without a fault", tried.name);
    let points = armed.met();
    drop(armed);
    let after = stands(&counted);
    assert_ne!(before, after, "{} changes something", tried.name);
    for (at, point) in points.iter().enumerate() {
        let folder = copied(&template);
        let armed = arm(&folder, fault, Some(at));
        let came = (tried.act)(&folder);
        drop(armed);
        let place = format!("{} {fault:?} at {at}: {:?} of {}", tried.name, point.0, point.1.display());
        held(tried, &folder, fault, came, [&before, &after], &place);
        clear_away(&folder);
    }
    clear_away(&template);
    clear_away(&counted);
    points.len()
}

/// What must hold after a fault, and after the same was sent again.
fn held(tried: &Tried, folder: &Path, fault: Fault, came: Came, [before, after]: [&Stands; 2], place: &str) {
    let now = stands(folder);
    assert!(now.entries == before.entries || now.entries == after.entries, "{place}: {now:?}");
    assert!(now.files == before.files || now.files == after.files, "{place}: {now:?}");
    if tried.is_write {
        let (has_entry, has_file) = (now.entries == after.entries, now.files == after.files);
        assert!(has_entry || !has_file, "{place}: the file without the record");
        assert_eq!(differs(folder), has_entry && !has_file, "{place}: a difference is noticed");
    }
    // Whoever was killed has said nothing that anybody heard.
    if fault != Fault::Killed {
        match came {
            Came::Done => assert_eq!(&now, after, "{place}: it was confirmed"),
            Came::Refused => assert_eq!(&now, before, "{place}: it was said that nothing was changed"),
            Came::Half => {
                assert_eq!((now.entries, now.files), (after.entries, before.files.clone()), "{place}")
            }
            Came::Unsure => assert_eq!(&now, after, "{place}: it was said that the file was changed"),
        }
    }
    let again = (tried.act)(folder);
    assert!(again == Came::Done || tried.is_known_again, "{place}: again {again:?}");
    assert_eq!(&stands(folder), after, "{place}: once, and whole");
    assert!(!differs(folder), "{place}");
}

fn copied(template: &Path) -> PathBuf {
    let folder = folder_for_a_test("crash");
    copy_for_a_test(template, &folder);
    folder
}

fn of_status(said: &super::visitor::Said) -> Came {
    match said.status.as_u16() {
        200..=399 => Came::Done,
        _ if said.body.contains("The file holds what was sent") => Came::Unsure,
        _ if said.body.contains("The write is in the record") => Came::Half,
        _ => Came::Refused,
    }
}

fn of_code(code: ExitCode) -> Came {
    if code == ExitCode::SUCCESS { Came::Done } else { Came::Refused }
}

/// A garage with one truck and an entry.
fn with_truck(folder: &Path) {
    let visitor = Visitor::at(folder.to_path_buf());
    visitor.app.garage.add(NAME, TEXT, &[]).unwrap();
    let truck = visitor.app.garage.truck(&Slug::read(SLUG).unwrap()).unwrap();
    crate::page::keep::file(&visitor.app, &truck).unwrap();
}

/// The same before anything was recorded.
fn with_truck_alone(folder: &Path) {
    let visitor = Visitor::at(folder.to_path_buf());
    visitor.app.garage.add(NAME, TEXT, &[]).unwrap();
}

fn empty(folder: &Path) {
    crate::world::make_folders(folder).unwrap();
}

/// The version of the file of [`TEXT`]: what is sent names it each time, whatever the file is by then.
fn version() -> String {
    truing::record::Hash::new(TEXT.as_bytes()).to_string()
}

fn exported() -> Vec<u8> {
    let folder = folder_for_a_test("crash-export");
    with_truck(&folder);
    let note =
        ["record", "add", "note", "--vehicle", NAME, "--text", "quiet", "--garage", folder.to_str().unwrap()];
    assert_eq!(run_these(&note), ExitCode::SUCCESS);
    let lines = Visitor::at(folder.clone()).get("/record.jsonl").body.into_bytes();
    clear_away(&folder);
    lines
}

/// An export that stays the same however often it is sent.
fn export() -> &'static [u8] {
    static LINES: std::sync::OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    LINES.get_or_init(exported)
}

fn page(folder: &Path, address: &str, fields: &[(&str, &str)]) -> Came {
    of_status(&Visitor::at(folder.to_path_buf()).post(address, fields))
}

fn api(folder: &Path, method: &str, address: &str, headers: &[(&str, &str)], body: &[u8]) -> Came {
    of_status(&Visitor::at(folder.to_path_buf()).program_with(method, address, headers, body))
}

fn command(folder: &Path, words: &[&str]) -> Came {
    of_code(run_these(&[words, &["--garage", folder.to_str().unwrap()]].concat()))
}

fn set_by_page(folder: &Path) -> Came {
    let version = version();
    let fields = [
        ("version", version.as_str()),
        ("adjuster", "stepped-constant"),
        ("from", "8.20"),
        ("to", "7.86"),
        ("odometer", "1000 mi"),
        ("request", "page-1"),
    ];
    page(folder, &format!("/trucks/{SLUG}/set"), &fields)
}

fn set_by_api(folder: &Path) -> Came {
    let version = version();
    let headers =
        [("if-match", version.as_str()), ("idempotency-key", "k-1"), ("content-type", "application/json")];
    api(folder, "POST", &format!("/api/v1/trucks/{SLUG}/set"), &headers, br#"{"from": "8.20", "to": "7.86"}"#)
}

/// Adds the write and brings the file up to it, which is two commands.
fn set_by_command(folder: &Path) -> Came {
    let write = ["record", "add", "write", "--vehicle", NAME, "--value", "7.86", "--request", "c-1"];
    let added = command(folder, &write);
    let repaired = command(folder, &["record", "repair", "--vehicle", NAME, "--right", "record"]);
    match (added, repaired) {
        (Came::Done, Came::Done) => Came::Done,
        (Came::Done, _) if differs(folder) => Came::Half,
        (Came::Done, _) => Came::Unsure,
        _ => Came::Refused,
    }
}

fn edit_by_page(folder: &Path) -> Came {
    let version = version();
    let fields = [("version", version.as_str()), ("keys", "size"), ("size", "LT285/75R16")];
    page(folder, &format!("/trucks/{SLUG}/part/tire/0"), &fields)
}

fn edit_by_api(folder: &Path) -> Came {
    let (version, text) = (version(), TEXT.replace("LT265", "LT285"));
    api(folder, "PUT", &format!("/api/v1/trucks/{SLUG}"), &[("if-match", &version)], text.as_bytes())
}

const NOTE: [(&str, &str); 3] = [("kind", "note"), ("text", "quiet road"), ("request", "page-2")];

fn entry_by_page(folder: &Path) -> Came {
    page(folder, &format!("/trucks/{SLUG}/record"), &NOTE)
}

fn entry_with_file_by_page(folder: &Path) -> Came {
    let address = format!("/trucks/{SLUG}/record/add");
    let visitor = Visitor::at(folder.to_path_buf());
    of_status(&visitor.upload_with(&address, &NOTE, &[("source", "receipt.txt", b"paid")]))
}

fn entry_by_api(folder: &Path) -> Came {
    let headers = [("idempotency-key", "k-2"), ("content-type", "application/json")];
    let body = br#"{"kind": "note", "text": "quiet road"}"#;
    api(folder, "POST", &format!("/api/v1/trucks/{SLUG}/record"), &headers, body)
}

fn entry_by_command(folder: &Path) -> Came {
    command(folder, &["record", "add", "note", "--vehicle", NAME, "--text", "quiet road", "--request", "c-2"])
}

fn take_by_page(folder: &Path) -> Came {
    page(folder, &format!("/trucks/{SLUG}/record/take"), &[])
}

fn take_by_api(folder: &Path) -> Came {
    api(folder, "POST", &format!("/api/v1/trucks/{SLUG}/take"), &[], b"")
}

fn advice_by_page(folder: &Path) -> Came {
    page(folder, &format!("/trucks/{SLUG}/choose"), &[("rule", "true"), ("request", "page-3")])
}

/// A write that only the record has, as an entry from the command line is.
fn with_difference(folder: &Path) {
    with_truck(folder);
    let write = ["record", "add", "write", "--vehicle", NAME, "--value", "7.86"];
    assert_eq!(command(folder, &write), Came::Done);
    assert!(differs(folder));
}

fn file_repaired_by_page(folder: &Path) -> Came {
    page(folder, &format!("/trucks/{SLUG}/record/repair"), &[("right", "record")])
}

fn record_repaired_by_page(folder: &Path) -> Came {
    page(folder, &format!("/trucks/{SLUG}/record/repair"), &[("right", "file")])
}

fn truck_by_page(folder: &Path) -> Came {
    page(folder, "/add", &[("name", NAME), ("size", "LT265/75R16")])
}

fn truck_by_api(folder: &Path) -> Came {
    api(folder, "POST", "/api/v1/trucks", &[], TEXT.as_bytes())
}

fn import_by_page(folder: &Path) -> Came {
    let visitor = Visitor::at(folder.to_path_buf());
    of_status(&visitor.upload_as(
        "/record/import",
        &visitor.token(),
        &[("exported", "record.jsonl", export())],
    ))
}

fn import_by_api(folder: &Path) -> Came {
    api(folder, "POST", "/api/v1/record/import", &[], export())
}

fn import_by_command(folder: &Path) -> Came {
    let file = folder.with_extension("jsonl");
    crate::world::write(&file, export(), true).unwrap();
    let came = command(folder, &["record", "import", file.to_str().unwrap()]);
    crate::world::remove(&file);
    came
}

const fn tried(name: &'static str, start: fn(&Path), act: fn(&Path) -> Came) -> Tried {
    Tried { name, start, act, is_write: false, is_known_again: false }
}

const ALL: [Tried; 22] = [
    Tried { is_write: true, ..tried("set, page", with_truck, set_by_page) },
    Tried { is_write: true, ..tried("set, interface", with_truck, set_by_api) },
    Tried { is_write: true, ..tried("set, command line", with_truck, set_by_command) },
    Tried { is_write: true, ..tried("set and take, page", with_truck_alone, set_by_page) },
    Tried { is_write: true, ..tried("set and take, interface", with_truck_alone, set_by_api) },
    Tried { is_known_again: true, ..tried("edit, page", with_truck, edit_by_page) },
    Tried { is_known_again: true, ..tried("edit, interface", with_truck, edit_by_api) },
    tried("entry, page", with_truck, entry_by_page),
    tried("entry with file, page", with_truck, entry_with_file_by_page),
    tried("entry, interface", with_truck, entry_by_api),
    tried("entry, command line", with_truck, entry_by_command),
    tried("first entry, command line", with_truck_alone, entry_by_command),
    tried("take, page", with_truck_alone, take_by_page),
    tried("take, interface", with_truck_alone, take_by_api),
    Tried { is_known_again: true, ..tried("truck, page", empty, truck_by_page) },
    Tried { is_known_again: true, ..tried("truck, interface", empty, truck_by_api) },
    tried("advice, page", with_truck, advice_by_page),
    tried("repair of the file, page", with_difference, file_repaired_by_page),
    tried("repair of the record, page", with_difference, record_repaired_by_page),
    tried("import, page", empty, import_by_page),
    tried("import, interface", empty, import_by_api),
    tried("import, command line", empty, import_by_command),
];

fn all(fault: Fault) {
    let mut sum = 0;
    for tried in &ALL {
        let points = at_every_point(tried, fault);
        assert!(points > 0 || fault == Fault::Unsynced, "{} meets none", tried.name);
        println!("{fault:?}, {}: {points} points", tried.name);
        sum += points;
    }
    println!("{fault:?}: {sum} points in all, 0 lost or doubled");
}

#[test]
fn killed_at_every_point() {
    all(Fault::Killed);
}

#[test]
fn a_full_disk_at_every_point() {
    all(Fault::Full);
}

#[test]
fn a_disk_that_does_not_sync_at_every_point() {
    all(Fault::Unsynced);
}

#[test]
fn a_disk_that_takes_no_writes_at_every_point() {
    all(Fault::ReadOnly);
}

#[test]
fn nothing_is_met_where_nothing_is_armed() {
    let folder = folder_for_a_test("unarmed");
    let elsewhere = arm(&folder.join("elsewhere"), Fault::Killed, Some(0));
    with_truck(&folder);
    assert_eq!(elsewhere.met(), []);
    drop(elsewhere);
    clear_away(&folder);
}
