//! The record of the whole garage: what goes out of it and comes in.

use super::Visitor;
use crate::ledger::Ledger;
use std::time::Duration;

fn note(visitor: &Visitor, slug: &str, text: &str) {
    visitor.post(&format!("/trucks/{slug}/record"), &[("kind", "note"), ("text", text)]).is(303);
}

fn import(visitor: &Visitor, bytes: &[u8]) -> super::visitor::Said {
    visitor.upload_as("/record/import", &visitor.token(), &[("exported", "record.jsonl", bytes)])
}

fn entries(visitor: &Visitor) -> u64 {
    let mut count = 0;
    visitor.app.garage.ledger().unwrap().each(|_| count += 1).unwrap();
    count
}

#[test]
fn an_empty_garage_has_a_way_in_and_nothing_to_copy() {
    let visitor = Visitor::new();
    let page = visitor.get("/record");
    page.is(200).has(&["Nothing is recorded yet", "Take it in", "Back to the garage"]);
    page.lacks(&["record.sqlite"]);
    visitor.get("/record.sqlite").is(404).has(&["Nothing is recorded yet"]);
    visitor.post("/record/backup", &[]).is(404);
}

#[test]
fn the_whole_record_is_taken_elsewhere() {
    let (one, slug) = Visitor::with_sample();
    one.post(&format!("/trucks/{slug}/record/take"), &[]).is(303);
    note(&one, slug.as_str(), "from the first garage");
    let lines = one.get("/record.jsonl").is(200).body.clone();

    let other = Visitor::new();
    let said = import(&other, lines.as_bytes());
    let count = entries(&one);
    let page = other.get(said.is(303).location());
    page.has(&[&format!("All {count} entries of the file were added"), "The green hauler"]);
    page.has(&[
        "No truck of this garage",
        "Add it to this garage",
        "vehicle-file?vehicle=The%20green%20hauler",
    ]);
    assert_eq!(entries(&other), count);
    let again = import(&other, lines.as_bytes());
    other.get(again.is(303).location()).has(&["are here already"]);

    let file = other.get("/record/vehicle-file?vehicle=The%20green%20hauler");
    file.is(200).has(&["name = \"The green hauler\""]);
    other.get("/record/vehicle-file?vehicle=nobody").is(404);
    let brought = other.post("/record/bring", &[("vehicle", "The green hauler")]);
    assert_eq!(brought.is(303).location(), "/trucks/the-green-hauler/describe");
    other.get("/trucks/the-green-hauler/record").is(200).has(&["from the first garage"]);
    other.get("/record").lacks(&["No truck of this garage"]).has(&["/trucks/the-green-hauler/record"]);
    other.post("/record/bring", &[("vehicle", "The green hauler")]).is(422).has(&["which another truck has"]);
}

#[test]
fn an_import_is_all_or_nothing() {
    let (one, slug) = Visitor::with_sample();
    note(&one, slug.as_str(), "one");
    let first = one.get("/record.jsonl").body.clone();
    note(&one, slug.as_str(), "two");
    let both = one.get("/record.jsonl").body.clone();

    let other = Visitor::new();
    import(&other, first.as_bytes()).is(303);
    let changed = both.replace("two", "too");
    import(&other, changed.as_bytes()).is(422).has(&["Nothing was changed", "The whole record"]);
    import(&other, b"not a record\n").is(422).has(&["line 1"]).lacks(&[".looked-at-"]);
    import(&other, &both.as_bytes()[..both.len() - 20]).is(422);
    assert_eq!(entries(&other), 1, "nothing of what was refused is there");
    // A record that went another way.
    let slug =
        other.app.garage.add("Another", "name = \"Another\"\n[tire]\nsize = \"LT265/75R16\"\n", &[]).unwrap();
    note(&other, slug.as_str(), "its own");
    import(&other, both.as_bytes()).is(422).has(&["entry 2"]);
    assert_eq!(entries(&other), 2);
    other.upload_as("/record/import", "wrong", &[("exported", "record.jsonl", first.as_bytes())]).is(403);
    other.upload_as("/record/import", &other.token(), &[]).is(422).has(&["one file"]);
}

#[test]
fn copies_are_whole_records() {
    let (visitor, slug) = Visitor::with_sample();
    note(&visitor, slug.as_str(), "kept");
    let said = visitor.get("/record.sqlite");
    assert_eq!(said.is(200).headers["content-type"], "application/vnd.sqlite3");
    assert!(said.headers["content-disposition"].to_str().unwrap().contains("record-2"));
    assert!(said.body.starts_with("SQLite format 3"));
    let made = visitor.post("/record/backup", &[]);
    visitor.get(made.is(303).location()).has(&["A backup was made in the folder `backups`"]);
    let (backups, _) = crate::world::files_under(&visitor.app.garage.folder().join("backups")).unwrap();
    let elsewhere = crate::world::folder_for_a_test("backup");
    crate::world::make_folder(&elsewhere).unwrap();
    let mut bytes = Vec::new();
    crate::world::feed(&backups[0], |piece| bytes.extend_from_slice(piece)).unwrap();
    crate::world::write(&elsewhere.join(crate::ledger::FILE), &bytes, true).unwrap();
    let ledger = Ledger::open_existing(&elsewhere, Duration::from_secs(5)).unwrap();
    assert_eq!(ledger.head().unwrap(), visitor.app.garage.ledger().unwrap().head().unwrap());
    crate::world::clear_away(&elsewhere);
    let left = crate::world::folders_in(visitor.app.garage.folder());
    assert_eq!(left, ["backups", "trucks"], "the copy on its way out is gone");
}

#[test]
fn the_whole_record_is_checked_and_rescued() {
    let (visitor, slug) = Visitor::with_sample();
    note(&visitor, slug.as_str(), "kept");
    visitor.get("/record?check=now").is(200).has(&["Whole.", "1 entries were checked"]);
    visitor.get("/record?entries=9").has(&["Not in order.", "cut off"]);
    let page = visitor.post("/record/rescue", &[]);
    page.is(200).has(&["1 entries could be read", "record-damaged-", "Download what could be read"]);
    let address = page.body.split("href=\"/record/rescued/").nth(1).unwrap().split('"').next().unwrap();
    let lines = visitor.get(&format!("/record/rescued/{address}"));
    assert_eq!(lines.is(200).body, visitor.get("/record.jsonl").body);
    for other in ["record.sqlite", "..%2Fsettings.toml", "record-damaged-none.sqlite"] {
        visitor.get(&format!("/record/rescued/{other}")).is(404);
    }
}

#[test]
fn a_record_that_cannot_be_read_says_so_and_offers_what_is_left() {
    let visitor = Visitor::new();
    crate::world::write(&visitor.app.garage.folder().join(crate::ledger::FILE), &[b'x'; 8192], true).unwrap();
    let page = visitor.get("/record");
    page.is(200).has(&["To look at", "Set a copy aside and read it"]);
    page.lacks(&[&visitor.app.garage.folder().display().to_string()]);
    visitor.post("/record/rescue", &[]).is(200).has(&["0 entries could be read"]);
}

#[test]
fn what_is_due_and_what_was_burned_opens() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/record");
    let add = |fields: &[(&str, &str)]| {
        visitor.post(&address, fields).is(303);
    };
    add(&[("kind", "odometer"), ("odometer", "128000.0 mi")]);
    visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    visitor.post(&format!("/trucks/{slug}/choose"), &[("rule", "true")]).is(303);
    add(&[("kind", "service"), ("text", "engine oil"), ("value", "5000 mi"), ("odometer", "128000.0 mi")]);
    add(&[("kind", "fuel"), ("value", "20 gal"), ("odometer", "128000.0 mi")]);
    add(&[("kind", "fuel"), ("value", "20 gal"), ("odometer", "128285.0 mi")]);
    visitor.get(&address).is(200).has(&[
        "engine oil, true distance left: <strong>",
        "It was done last at entry",
        "Fuel of entry",
        "Distance over volume",
        "the pump's own error",
        "JCGM 100:2008, 5.2",
    ]);
    let part = visitor.get(&format!("{address}?from=128000.0+mi&to=128100.0+mi"));
    part.is(200).has(&["The odometer counted 100.0 mi", "value=\"128100.0 mi\""]);
    visitor.get(&format!("{address}?from=soon")).is(422).has(&["a day such as"]);
}
