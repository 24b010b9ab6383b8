//! What a truck is called and under which name the record keeps it.

use super::super::answers::{Wish, choice_report};
use super::super::blocks;
use super::Visitor;
use crate::garage::{Garage, Slug};
use crate::ledger::Ledger;
use std::time::Duration;
use truing::record::{Draft, EventKind};
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::{Block, Document, TableId};
use truing::units::Units;

fn note(visitor: &Visitor, slug: &str, text: &str) {
    let fields = [("kind", "note"), ("text", text)];
    visitor.post(&format!("/trucks/{slug}/record"), &fields).is(303);
}

fn record(visitor: &Visitor, slug: &str) -> super::visitor::Said {
    visitor.get(&format!("/trucks/{slug}/record"))
}

#[test]
fn two_sample_trucks_have_a_record_each() {
    let visitor = Visitor::new();
    let added: Vec<String> =
        (0..2).map(|_| visitor.post("/sample", &[]).is(303).location().to_string()).collect();
    let slugs: Vec<&str> = added.iter().map(|address| address.split('/').nth(2).unwrap()).collect();
    note(&visitor, slugs[0], "of the first");
    note(&visitor, slugs[1], "of the second");
    record(&visitor, slugs[0]).has(&["of the first"]).lacks(&["of the second"]);
    record(&visitor, slugs[1]).has(&["of the second", "The green hauler 2"]).lacks(&["of the first"]);
}

#[test]
fn trucks_that_came_with_one_name_have_a_record_each() {
    let (visitor, first) = Visitor::with("One", "name = \"One\"\n[tire]\nsize = \"LT265/75R16\"\n", &[]);
    let second =
        visitor.app.garage.add("One", "name = \"One\"\n[tire]\nsize = \"LT275/75R17\"\n", &[]).unwrap();
    note(&visitor, first.as_str(), "of the first");
    note(&visitor, second.as_str(), "of the second");
    record(&visitor, first.as_str()).has(&["of the first"]).lacks(&["of the second"]);
    record(&visitor, second.as_str()).has(&["of the second", "begun with: One (2)"]).lacks(&["of the first"]);
}

#[test]
fn a_new_name_does_not_part_a_truck_from_its_record() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}");
    note(&visitor, slug.as_str(), "before");
    let version = visitor.get_patiently(&format!("{address}/describe")).hidden("version");
    let name = |name: &str, version: &str| {
        visitor.post(&format!("{address}/name"), &[("version", version), ("name", name)])
    };
    name("", &version).is(422).has(&["Any name will do"]);
    name("Grandfather's", &version).is(303);
    name("Another", &version).is(409).has(&["changed meanwhile"]);
    visitor.get_patiently(&format!("{address}/describe")).has(&["Grandfather's"]);
    let file = visitor.app.garage.truck(&slug).unwrap().text.clone();
    assert!(file.contains("name = \"Grandfather's\""), "{file}");
    note(&visitor, slug.as_str(), "after");
    record(&visitor, slug.as_str()).has(&["before", "after", "begun with: The green hauler"]);
    let ledger = visitor.app.garage.ledger().unwrap();
    assert_eq!(ledger.vehicles().unwrap(), ["The green hauler"], "one vehicle in the record");
}

#[test]
fn a_garage_from_before_keeps_its_records() {
    let folder = crate::world::folder_for_a_test("from-before");
    let text = |name: &str| format!("name = \"{name}\"\n[tire]\nsize = \"LT265/75R16\"\n");
    for (slug, name) in [("one", "One"), ("two", "Two"), ("two-again", "Two")] {
        let file = folder.join("trucks").join(slug).join("truck.toml");
        crate::world::write(&file, text(name).as_bytes(), true).unwrap();
    }
    let mut ledger = Ledger::open(&folder, Duration::from_secs(5)).unwrap();
    for name in ["One", "Two"] {
        let time = "2026-05-02T10:00:00Z".parse().unwrap();
        ledger.append(Draft::new(time, name, EventKind::Note, &[("text", "old")])).unwrap();
    }
    let garage = Garage::at(&folder);
    let entries = |garage: &Garage, slug: &str| {
        let truck = garage.truck(&Slug::read(slug).unwrap()).unwrap();
        garage.ledger().unwrap().of_vehicle(&garage.recorded_as(&truck)).unwrap().len()
    };
    assert_eq!(entries(&garage, "one"), 1, "found under its name, before anything is settled");
    garage.settle_record_names().unwrap();
    assert_eq!([entries(&garage, "one"), entries(&garage, "two"), entries(&garage, "two-again")], [1, 1, 0]);
    // The name is changed by hand, in the file.
    crate::world::write(&folder.join("trucks/one/truck.toml"), text("Uno").as_bytes(), true).unwrap();
    let later = Garage::at(&folder);
    assert_eq!(entries(&later, "one"), 1, "a garage opened again still finds it");
    // A list of names that cannot be read loses nothing: nothing is recorded until it is mended.
    crate::world::write(&folder.join("record-names.toml"), b"one = ", true).unwrap();
    let truck = later.truck(&Slug::read("one").unwrap()).unwrap();
    let refused = later.ledger_for(&truck).err().unwrap();
    assert!(refused[0].hint.contains("nothing is added"), "{refused:?}");
    crate::world::clear_away(&folder);
}

/// The sample truck on its way, with this for its axle.
fn planning(axle: &str) -> (Visitor, Slug) {
    let [(_, text), files @ ..] = &crate::work::sample::FILES;
    let text = std::str::from_utf8(text).unwrap().replace("\"46/11\"", axle);
    let plan = "\n[[plan]]\ntires = \"LT275/75R17\"\nmiles = 12000\n";
    Visitor::with("sample", &(text + plan), files)
}

#[test]
fn tables_are_found_under_any_caption_and_in_any_units() {
    let ids = [
        TableId::Settings,
        TableId::ErrorBySpeed,
        TableId::RoadToCome,
        TableId::Changes,
        TableId::Measurements,
        TableId::WhatPasses,
        TableId::Evidence,
        TableId::Hardware,
    ];
    let rows = |document: &Document| blocks::tables(document, &ids).into_string().matches("<tr").count();
    let trucks = [planning("\"46/11\""), planning("[\"46/11\", \"41/11\"]")];
    for units in Units::ALL {
        let mut found = Vec::new();
        for (visitor, slug) in &trucks {
            let known = visitor.app.garage.known(slug).unwrap();
            let (vehicle, estimate) = (&known.loaded.vehicle, &known.estimate);
            for mut document in [
                choice_report(&known, &Wish::default(), units).unwrap().document(),
                DescriptionReport::new(vehicle, estimate, Vec::new(), units).document(),
                VehicleReport::new(vehicle, estimate, Vec::new(), units).document(),
            ] {
                let before = rows(&document);
                for block in &mut document.blocks {
                    if let Block::Table(table) = block {
                        found.extend(table.id);
                        table.caption = "x".into();
                    }
                }
                assert_eq!(rows(&document), before, "{units:?}: {document:?}");
            }
        }
        ids.iter().for_each(|id| assert!(found.contains(id), "{units:?}: no {id:?} in {found:?}"));
    }
}

#[test]
fn an_owner_in_kilometres_sees_the_road_to_come() {
    let (visitor, slug) = planning("\"46/11\"");
    for (units, caption) in [("us", "The miles to come"), ("metric", "The kilometres to come")] {
        visitor.post("/settings", &[("units", units)]).is(303);
        visitor.get_patiently(&format!("/trucks/{slug}/choose")).is(200).has(&[caption]);
    }
}
