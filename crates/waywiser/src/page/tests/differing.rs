//! Record and vehicle file: the record first, a difference told wherever the truck is opened, and repaired either way.

use super::Visitor;
use crate::garage::Slug;
use serde_json::Value;
use truing::record::{EventKind, VehicleState};

const NAME: &str = "The grey half-ton";
const TEXT: &str = "name = \"The grey half-ton\"\n[tire]\nsize = \"LT265/75R16\"\n[adjuster]\nkind = \"stepped-constant\"\n\
    counts_per_mile_per_unit = 8000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\nwraps = true\n\
    present = \"8.20\"\nwrites_left = 4\n";

/// A truck whose file was taken in.
fn taken() -> (Visitor, Slug) {
    let (visitor, slug) = Visitor::with(NAME, TEXT, &[]);
    visitor.post(&format!("/trucks/{slug}/record/take"), &[]).is(303);
    (visitor, slug)
}

/// An entry as the command line adds it: to the record alone.
fn add(visitor: &Visitor, kind: EventKind, fields: &[(&str, &str)]) {
    let draft = truing::record::Draft::new(crate::world::now(), NAME, kind, fields);
    visitor.app.garage.ledger().unwrap().append(draft).unwrap();
}

fn text(visitor: &Visitor, slug: &Slug) -> String {
    visitor.app.garage.truck(slug).unwrap().text.clone()
}

fn state(visitor: &Visitor) -> VehicleState {
    VehicleState::from_entries(&visitor.app.garage.ledger().unwrap().of_vehicle(NAME).unwrap())
}

fn differences(visitor: &Visitor, slug: &Slug) -> usize {
    visitor.app.garage.differences(&visitor.app.garage.truck(slug).unwrap()).unwrap().len()
}

#[test]
fn a_difference_is_told_wherever_the_truck_is_opened() {
    let (visitor, slug) = taken();
    visitor.get_patiently(&format!("/trucks/{slug}/choose")).is(200).lacks(&["Repair it"]);
    add(&visitor, EventKind::Write, &[("from", "8.20"), ("to", "7.86")]);
    for stage in ["describe", "measure", "choose", "set", "prove"] {
        let page = visitor.get_patiently(&format!("/trucks/{slug}/{stage}"));
        page.has(&["7.86 as the stored constant", "entry 2", "found 8.20", "record#difference"]);
    }
    visitor
        .get(&format!("/trucks/{slug}/record"))
        .has(&["Record and vehicle file differ", "right: say so in the record"]);
    visitor.get_patiently("/").has(&["Record and vehicle file differ"]);
    let file: Value = serde_json::from_str(&visitor.get(&format!("/api/v1/trucks/{slug}")).body).unwrap();
    assert_eq!(file["differences"].as_array().unwrap().len(), 1);
    // Taking the file in would hide it.
    visitor.post(&format!("/trucks/{slug}/record/take"), &[]).is(303);
    let page = visitor.get(&format!("/trucks/{slug}/describe"));
    let edited = TEXT.replace("writes_left = 4", "writes_left = 4 # as read");
    let version = page.hidden("version");
    visitor
        .program_with("PUT", &format!("/api/v1/trucks/{slug}"), &[("if-match", &version)], edited.as_bytes())
        .is(200);
    visitor.post(&format!("/trucks/{slug}/record/take"), &[]).is(422).has(&["Look at what the module shows"]);
}

#[test]
fn the_file_follows_the_record() {
    let (visitor, slug) = taken();
    add(
        &visitor,
        EventKind::Write,
        &[("from", "8.20"), ("to", "7.86"), ("writes_left_after", "3"), ("odometer", "1000 mi")],
    );
    add(&visitor, EventKind::Write, &[("from", "7.86"), ("to", "7.60"), ("writes_left_after", "2")]);
    visitor.post(&format!("/trucks/{slug}/record/repair"), &[("right", "record")]).is(303);
    let text = text(&visitor, &slug);
    for piece in [
        "present = \"7.60\"",
        "writes_left = 2",
        "from = \"8.20\"\nto = \"7.86\"\nodometer = \"1000 mi\"",
        "from = \"7.86\"\nto = \"7.60\"",
    ] {
        assert!(text.contains(piece), "{piece} in {text}");
    }
    assert_eq!(differences(&visitor, &slug), 0);
    visitor.post(&format!("/trucks/{slug}/record/repair"), &[("right", "neither")]).is(422);
}

#[test]
fn an_entry_says_that_the_file_is_right() {
    // The write was never made.
    let (visitor, slug) = taken();
    add(&visitor, EventKind::Write, &[("from", "8.20"), ("to", "7.86"), ("writes_left_after", "3")]);
    let repair = |visitor: &Visitor, slug: &Slug| {
        let address = format!("/api/v1/trucks/{slug}/repair");
        let said = visitor.program_json(&address, "{\"right\": \"file\"}");
        serde_json::from_str::<Value>(&said.is(200).body).unwrap()
    };
    let said = repair(&visitor, &slug);
    assert_eq!(
        (&said["added"][0]["kind"], &said["added"][0]["fields"]["corrects"]),
        (&"correction".into(), &"2".into())
    );
    let now = state(&visitor);
    assert_eq!(
        (now.setting.map(|(setting, _)| setting), now.writes_left, now.writes_made),
        (Some("8.20".into()), Some(4), 0)
    );
    assert_eq!((differences(&visitor, &slug), text(&visitor, &slug).as_str()), (0, TEXT));

    // The file holds a write that the record lacks.
    let (visitor, slug) = taken();
    add(&visitor, EventKind::Write, &[("from", "8.20"), ("to", "7.86")]);
    let written = "\n[[written]]\ndate = 2026-05-01\nfrom = \"8.20\"\nto = \"7.86\"\n\n[[written]]\ndate = 2026-05-02\nfrom = \"7.86\"\nto = \"7.60\"\n";
    let edited = TEXT.replace("8.20", "7.60").replace("left = 4", "left = 2") + written;
    visitor
        .program_with(
            "PUT",
            &format!("/api/v1/trucks/{slug}"),
            &[("if-match", &truing::record::Hash::new(TEXT.as_bytes()).to_string())],
            edited.as_bytes(),
        )
        .is(200);
    assert_eq!(repair(&visitor, &slug)["added"][0]["kind"], "write");
    let now = state(&visitor);
    assert_eq!(
        (now.setting.map(|(setting, _)| setting), now.writes_left, now.writes_made),
        (Some("7.60".into()), Some(2), 2)
    );
    assert_eq!(differences(&visitor, &slug), 0);
    // A value that no write leads to.
    add(&visitor, EventKind::Write, &[("from", "7.60"), ("to", "9.00")]);
    let text = text(&visitor, &slug).replace("present = \"7.60\"", "present = \"9.10\"");
    let version = visitor.app.garage.truck(&slug).unwrap().hash.to_string();
    visitor.program_with(
        "PUT",
        &format!("/api/v1/trucks/{slug}"),
        &[("if-match", &version)],
        text.as_bytes(),
    );
    if differences(&visitor, &slug) > 0 {
        assert_eq!(repair(&visitor, &slug)["added"].as_array().unwrap().len(), 1);
        assert_eq!(differences(&visitor, &slug), 0);
    }
}

#[test]
fn a_write_from_another_value_asks_for_a_reason() {
    let (visitor, slug) = taken();
    let page = visitor.get_patiently(&format!("/trucks/{slug}/set?to=7.86&screen=99&stored=7.86"));
    let version = page.hidden("version");
    page.has(&["name=\"request\"", "name=\"from_reason\""]);
    let write = |from: &str, reason: &str| {
        let fields = [
            ("version", version.as_str()),
            ("adjuster", "stepped-constant"),
            ("from", from),
            ("from_reason", reason),
            ("to", "7.86"),
        ];
        visitor.post(&format!("/trucks/{slug}/set"), &fields)
    };
    write("8.40", "").is(422).has(&["a write from 8.20", "say why"]);
    assert_eq!(text(&visitor, &slug), TEXT);
    write("8.40", "the shop had stored it").is(303);
    let entry = visitor.app.garage.ledger().unwrap().of_vehicle(NAME).unwrap().pop().unwrap();
    assert_eq!(entry.event.fields["from_reason"], "the shop had stored it");
    // By hand as well.
    let by_hand = |more: &[(&str, &str)]| {
        visitor.post(&format!("/trucks/{slug}/record"), &[&[("kind", "note"), ("text", "x")], more].concat())
    };
    by_hand(&[("request", "page-7")]).is(303);
    by_hand(&[("request", "page-7")]).is(303);
    assert_eq!(visitor.app.garage.ledger().unwrap().of_vehicle(NAME).unwrap().len(), 3);
}

#[test]
fn nobody_types_what_the_program_fills_in() {
    let (visitor, slug) = taken();
    let body = "{\"kind\": \"proof\", \"text\": \"true\", \"value\": \"conforms\", \"fields\": {\"computed_by\": \"1.0\"}}";
    visitor.program_json(&format!("/api/v1/trucks/{slug}/record"), body).is(422).has(&["computed_by"]);
    let typed = [("kind", "proof"), ("text", "true"), ("value", "conforms")];
    visitor.post(&format!("/trucks/{slug}/record"), &typed).is(303);
    visitor.get(&format!("/trucks/{slug}/record")).has(&["the owner's word"]);
    visitor.get_patiently("/").has(&["conforms against true (the owner's word)"]);
}
