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
        let headline = match case.advice.as_str() {
            "write" => ">Store ",
            "leave" => ">Leave it as it is.",
            "measure-first" => ">Measure first.",
            _ => ">Check first.",
        };
        (!page.body.contains(headline)).then(|| format!("{}: the page has no {headline}", case.name))
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
