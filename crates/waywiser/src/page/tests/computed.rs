//! What the program computed, and computes again; what was typed is the owner's word.

use super::Visitor;
use serde_json::Value;
use truing::record::EventKind;

fn recomputed(visitor: &Visitor) -> Value {
    let said = visitor.get("/api/v1/record/check?recompute=true");
    serde_json::from_str(&said.is(200).body).unwrap()
}

/// The findings of the entries that were computed, in order.
fn findings(check: &Value) -> Vec<&str> {
    check["recomputed"].as_array().unwrap().iter().map(|one| one["finding"].as_str().unwrap()).collect()
}

#[test]
fn what_was_computed_comes_to_the_same_again() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    visitor.post(&format!("/trucks/{slug}/choose"), &[("rule", "true"), ("reserve", "1")]).is(303);
    let drive = [("track", "after.gpx"), ("vehicle_log", "after-log.csv"), ("rule", "us-393.82")];
    visitor.post(&format!("/trucks/{slug}/prove/keep"), &drive).is(303);
    let typed = [("kind", "proof"), ("text", "un-r39"), ("value", "conforms")];
    visitor.post(&format!("/trucks/{slug}/record"), &typed).is(303);
    let check = recomputed(&visitor);
    assert_eq!((&check["ok"], findings(&check)), (&Value::Bool(true), vec!["same"; 3]), "{check}");
    let page = visitor.get(&format!("/trucks/{slug}/record?recompute=yes"));
    page.has(&["Computed by the program: 3 entries. Computed again, 3 came to the same", "the owner's word"]);
    // Another file under the name of one that it rests on.
    let track = visitor.app.garage.truck_folder(&slug).join("after.gpx");
    crate::world::write(&track, b"another", true).unwrap();
    assert_eq!(findings(&recomputed(&visitor)), ["same", "same", "not-at-hand"]);
}

#[test]
fn an_entry_that_does_not_come_of_its_inputs_is_found() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    visitor.post(&format!("/trucks/{slug}/choose"), &[("rule", "true")]).is(303);
    let mut ledger = visitor.app.garage.ledger().unwrap();
    let chain = ledger.chain().unwrap();
    let mut forged = chain.entries().last().unwrap().event.clone();
    assert_eq!(forged.kind, EventKind::Choice);
    forged.fields.insert("value".into(), "8.00".into());
    forged.time = crate::world::now();
    ledger.append(forged).unwrap();
    let check = recomputed(&visitor);
    assert_eq!(
        (&check["ok"], findings(&check)),
        (&Value::Bool(false), vec!["same", "same", "another"]),
        "{check}"
    );
    visitor.get("/record?check=now&recompute=yes").has(&["Not in order", "does not come of its inputs"]);
}

#[test]
fn a_paper_carries_how_far_the_record_went() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.post(&format!("/trucks/{slug}/record/take"), &[]).is(303);
    let head = visitor.app.garage.ledger().unwrap().reaches().unwrap().unwrap();
    let groups: Vec<&str> =
        head.head.as_bytes().chunks(4).map(|group| std::str::from_utf8(group).unwrap()).collect();
    let whole = format!("record of {} entries, head {}", head.entries, groups.join(" "));
    for paper in ["job-sheet", "door-frame", "history", "speed-card"] {
        visitor.get_patiently(&format!("/trucks/{slug}/papers/{paper}.html")).is(200).has(&[&whole]);
    }
    visitor.get_patiently("/").has(&[whole.strip_prefix("record").unwrap()]);
    // The beginning is enough to check against.
    let begins = head.head.get(..16).unwrap();
    visitor.get(&format!("/record?head={begins}")).has(&["Whole."]);
    visitor.get("/record?head=0123456789abcdef").is(422).has(&["begins with 0123456789abcdef"]);
    visitor.get("/record?head=0123").is(422).has(&["64 hexadecimal digits"]);
}
