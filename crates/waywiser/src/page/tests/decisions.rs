//! Every decision case of `truing/tests/data/decisions.toml` through the programming interface and the page.

#[path = "../../../../truing/tests/decisions/mod.rs"]
mod cases;

use super::Visitor;
use cases::{Case, cases, check};

#[test]
fn every_case_is_decided_so() {
    let visitor = Visitor::new();
    let wrong = |(number, case): (usize, Case)| {
        let slug = visitor.app.garage.add(&format!("Case {number}"), &case.file, &[]).unwrap();
        let said = visitor.get_patiently(&format!("/api/v1/trucks/{slug}/choose"));
        let Ok(answer) = serde_json::from_str(&said.body) else {
            return Some(format!("{}: {}", case.name, said.body));
        };
        if let Err(wrong) = check(&case, &answer) {
            return Some(wrong);
        }
        let page = visitor.get_patiently(&format!("/trucks/{slug}/choose"));
        let headlines: &[&str] = match case.advice.as_str() {
            "write" => &[">Store ", ">Fit ", ">Set ", ">Declare ", ": Set "],
            "leave" => &[">Leave it as it is"],
            "measure-first" => &[">Measure first"],
            _ => &[">Check first"],
        };
        let has = |headline: &&str| page.body.contains(*headline);
        (!headlines.iter().any(has)).then(|| format!("{}: the page has none of {headlines:?}", case.name))
    };
    let wrong: Vec<String> = cases().into_iter().enumerate().filter_map(wrong).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_check_is_passed_by_with_a_reason_only() {
    let case =
        cases().into_iter().find(|case| case.name == "two distances that disagree beyond chance").unwrap();
    let (visitor, slug) = Visitor::with("Odd", &case.file, &[]);
    let set = format!("/trucks/{slug}/set");
    let page = visitor.get_patiently(&set);
    page.is(200).has(&["check it first", "name=\"despite\""]).lacks(&["data-counter", "From and to"]);
    let steps = visitor.get_patiently(&format!("{set}?despite=I+counted+it"));
    steps.is(200).has(&["From and to", "I counted it"]);
    // The form for a held button sends it along.
    steps.form_with("repeat").has(&["name=\"despite\" value=\"I counted it\""]);
    // To the last screen, where the write is kept: the reason goes with it.
    let last = visitor.get_patiently(&format!("{set}?despite=I+counted+it&screen=99&stored=8.60"));
    last.is(200).has(&["name=\"despite\" value=\"I counted it\""]);
    let fields = [
        ("despite", "I counted it".to_string()),
        ("to", last.hidden("to")),
        ("adjuster", last.hidden("adjuster")),
        ("from", "8.20".to_string()),
        ("version", last.hidden("version")),
        ("text", "done at noon".to_string()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    visitor.post(&set, &fields).is(303);
    let record = visitor.get_patiently("/api/v1/record/entries.jsonl");
    record.has(&["Stored although the advice was to check first: I counted it. done at noon"]);
}

#[test]
fn one_sentence_says_how_a_truck_stands() {
    let (visitor, slug) = Visitor::with_sample();
    let line = || {
        // Once somebody looked at it, it is known.
        visitor.get_patiently(&format!("/trucks/{slug}/choose")).is(200);
        let said = visitor.get_patiently("/api/v1/trucks").body;
        let trucks: serde_json::Value = serde_json::from_str(&said).unwrap();
        let line = trucks["trucks"][0]["state"]["line"].as_str().or(trucks[0]["state"]["line"].as_str());
        crate::page::fields::capitalised(line.unwrap_or_else(|| panic!("{said}")))
    };
    let everywhere = |expected: &[&str]| {
        let line = line();
        expected.iter().for_each(|part| assert!(line.contains(part), "{part}: {line}"));
        let pages = ["/".to_string()]
            .into_iter()
            .chain(["describe", "prove", "record"].map(|page| format!("/trucks/{slug}/{page}")));
        for page in pages {
            visitor.get_patiently(&page).is(200).has(&[&line]);
        }
    };
    everywhere(&["Reads ", "1479 is stored", "5 writes left", "unproved", "next: store 1416."]);
    let version = visitor.get_patiently(&format!("/trucks/{slug}/describe")).hidden("version");
    let write = [("adjuster", "stepped-constant"), ("from", "1479"), ("to", "1416"), ("version", &version)];
    visitor.post(&format!("/trucks/{slug}/set"), &write).is(303);
    everywhere(&[
        "Reads true",
        "1416 is stored since ",
        "4 writes left",
        "unproved; next: prove it on the road.",
    ]);
}

#[test]
fn the_miscount_stands_with_the_papers() {
    let (visitor, slug) = Visitor::with_sample();
    let record = format!("/trucks/{slug}/record");
    for entry in [
        [("kind", "odometer"), ("odometer", "128371.0 mi")],
        [("kind", "estimate"), ("value", "0.960 +/- 0.003")],
        [("kind", "odometer"), ("odometer", "129371.0 mi")],
    ] {
        visitor.post(&record, &entry).is(303);
    }
    // 1000 mi counted at 0.96 are 1041.7 driven.
    visitor
        .get_patiently(&record)
        .is(200)
        .has(&["the odometer counted 1000 mi, and 1042 mi were driven", "42 mi too few"]);
}
