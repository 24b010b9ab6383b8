//! What a program sends that cannot be used: told field by field, in the interface's own words.

use super::Visitor;
use super::visitor::HOST;
use axum::body::Body;
use axum::http::{Request, header};
use serde_json::Value;

/// The problems of an answer, which is an error of the interface.
#[track_caller]
fn problems(body: &str) -> Vec<Value> {
    let error: Value = serde_json::from_str(body).unwrap_or_else(|_| panic!("no JSON: {body}"));
    assert!(error["error"].is_string() && error["says"].is_string(), "{error}");
    error["problems"].as_array().unwrap().clone()
}

#[track_caller]
fn is(problem: &Value, (source, part, expected, found, hint): (&str, Option<&str>, &str, &str, &str)) {
    assert_eq!((problem["source"].as_str(), problem["part"].as_str()), (Some(source), part), "{problem}");
    for (name, piece) in [("expected", expected), ("found", found), ("hint", hint)] {
        assert!(problem[name].as_str().unwrap().contains(piece), "{name}: {problem}");
    }
}

#[test]
fn what_stands_in_an_address() {
    let (visitor, slug) = Visitor::with_sample();
    let check = |path: &str, expected: &[(&str, Option<&str>, &str, &str, &str)]| {
        let said = visitor.get(&format!("/api/v1{path}"));
        let found = problems(&said.is(422).body);
        assert_eq!(found.len(), expected.len(), "{found:?}");
        found.iter().zip(expected).for_each(|(problem, expected)| is(problem, *expected));
    };
    let choose = format!("/trucks/{slug}/choose");
    check(
        &format!("{choose}?resrve=2&rule=true&reserve=many"),
        &[
            ("the address", Some("resrve"), "known here", "`resrve`", "Did you mean `reserve`?"),
            ("the address", Some("reserve"), "a whole number", "`many`", ""),
        ],
    );
    check(&format!("{choose}?reserve=-1"), &[("the address", Some("reserve"), "not negative", "`-1`", "")]);
    check(&format!("{choose}?rule=true&rule=un-r39"), &[("the address", Some("rule"), "once", "twice", "")]);
    check(
        "/bench?shape=round&counts_per_mile=1&speed=1mph",
        &[("the address", Some("shape"), "one of square, sine, sensor", "`round`", "")],
    );
    check("/bench?level=loud", &[("the address", Some("level"), "a number", "`loud`", "")]);
    check("/rules?x=1", &[("the address", Some("x"), "known here", "`x`", "None is known here")]);
    visitor.get(&format!("/api/v1{choose}?reserve=&rule=")).is(200);
}

#[test]
fn what_stands_in_a_body() {
    let (visitor, slug) = Visitor::with_sample();
    let check = |body: &str, expected: &[(&str, Option<&str>, &str, &str, &str)]| {
        let said = visitor.program_json(&format!("/api/v1/trucks/{slug}/record"), body);
        let found = problems(&said.is(422).body);
        assert_eq!(found.len(), expected.len(), "{found:?}");
        found.iter().zip(expected).for_each(|(problem, expected)| is(problem, *expected));
    };
    check(
        "no json",
        &[("the body", Some("column 2"), "a JSON object", "expected ident", "an object of fields")],
    );
    check("[1, 2]", &[("the body", None, "a JSON object", "a list", "")]);
    check(
        "{\"kind\": \"note\",\n \"text\": }",
        &[("the body", Some("column 10"), "a JSON object", "expected value", "")],
    );
    check(
        "{\"kind\": 5, \"texd\": \"quiet\", \"fields\": [1]}",
        &[
            ("the body", Some("fields"), "an object with a text", "`[1]`", ""),
            ("the body", Some("kind"), "a text", "`5`", ""),
            ("the body", Some("texd"), "known here", "`texd`", "Did you mean `text`?"),
        ],
    );
    let line = problems(&visitor.program_json(&format!("/api/v1/trucks/{slug}/record"), "{\n,}").body);
    assert_eq!(line[0]["line"], 2, "{line:?}");
}

/// What the library below refuses by itself is JSON for a program too, and a page for a browser.
#[test]
fn what_is_refused_before_anybody_looks() {
    let (visitor, slug) = Visitor::with_sample();
    let ask = |method: &str, address: &str| {
        let request = Request::builder().method(method).uri(address).header(header::HOST, HOST);
        visitor.send(request.header("waywiser-client", "test").body(Body::empty()).unwrap())
    };
    for (method, address, status) in [
        ("GET", "/api/v1/nothing".to_string(), 404),
        ("GET", "/api/v1".into(), 404),
        ("DELETE", "/api/v1/rules".into(), 405),
        ("POST", "/api/v1/batch".into(), 422),
        ("GET", "/api/v1/trucks/none/choose".into(), 404),
    ] {
        let said = ask(method, &address);
        assert!(
            said.headers[header::CONTENT_TYPE].to_str().unwrap().contains("json"),
            "{address}: {}",
            said.body
        );
        problems(&said.is(status).body);
    }
    assert_eq!(ask("DELETE", "/api/v1/rules").headers[header::ALLOW], "GET,HEAD");
    for (method, address, status) in [
        ("DELETE", "/rules".to_string(), 405),
        ("GET", format!("/trucks/{slug}/choose?rule=a&rule=b"), 400),
        ("GET", "/record?imported=many".into(), 400),
    ] {
        let said = ask(method, &address);
        said.is(status).has(&["<h1>", "To the garage"]);
    }
    let foreign = Request::get("/api/v1/rules").header(header::HOST, "elsewhere.example").body(Body::empty());
    problems(&visitor.send(foreign.unwrap()).is(403).body);
}

#[test]
fn an_entry_rests_on_a_file() {
    let (visitor, slug) = Visitor::with_sample();
    // SHA-256 of "abc" begins so: FIPS 180-4, example in NIST's "SHA_All" document.
    let hash = "SHA-256 of the source begins</dt><dd>ba7816bf<";
    let address = format!("/trucks/{slug}/record/add");
    let fields = [("kind", "note"), ("text", "paid"), ("fields", "by=second look\n\nseller = me")];
    let said = visitor.upload_with(&address, &fields, &[("source", "receipt.pdf", b"abc")]);
    visitor.get(said.is(303).location()).is(200).has(&["receipt.pdf", "second look", hash]);
    visitor
        .upload_with(&address, &[("kind", "note"), ("fields", "nothing")], &[])
        .is(422)
        .has(&["name=value"]);
    let record = format!("/api/v1/trucks/{slug}/record");
    let kept = visitor
        .program_json(&record, "{\"kind\": \"note\", \"text\": \"driven\", \"source\": \"drive.gpx\"}");
    let kept: Value = serde_json::from_str(&kept.is(200).body).unwrap();
    assert_eq!(
        (&kept["fields"]["source"], kept["fields"]["source_sha256"].as_str().map(str::len)),
        (&"drive.gpx".into(), Some(64))
    );
    visitor
        .program_json(&record, "{\"kind\": \"note\", \"text\": \"x\", \"source\": \"../../record.sqlite\"}")
        .is(422);
    let chosen = visitor.program_json("/api/v1/settings", "{\"units\": \"metric\"}");
    chosen.is(200).has(&["\"metric\""]);
    visitor.program_json("/api/v1/settings", "{\"units\": \"feet\"}").is(422).has(&["us, metric, mixed"]);
}

#[test]
fn every_paper_is_read_here_too() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    visitor.post(&format!("/trucks/{slug}/choose"), &[]).is(303);
    for (paper, says) in [
        ("job-sheet", "counts down 21 times"),
        ("measuring-sheet", "To fill in"),
        ("proof-sheet", "A drive to prove it"),
        ("sale-sheet", "What the record knows"),
        ("speed-card", "Speeds, mph"),
        ("tires", "How far each would read off"),
        ("history", "What happened when"),
        ("door-frame", "Set to"),
    ] {
        let page = visitor.get(&format!("/trucks/{slug}/papers/{paper}"));
        page.is(200).has(&[says, &format!("papers/{paper}.pdf"), "Save it as one file", "Back to "]);
        let file = visitor.get(&format!("/trucks/{slug}/papers/{paper}.html"));
        file.is(200).has(&["<!DOCTYPE html>", "As of", "default-src 'none'"]);
        let api = visitor.get(&format!("/api/v1/trucks/{slug}/paper.html?document={paper}"));
        assert_eq!(api.is(200).body, file.body, "{paper}");
    }
    // What was chosen of a paper stays with it.
    let card = visitor.get(&format!("/trucks/{slug}/papers?as=page&document=speed-card&gears=2.50"));
    card.is(200).has(&["Engine turns per minute", "speed-card.pdf?gears=2.50"]);
    visitor.get(&format!("/trucks/{slug}/papers/bill")).is(404).has(&["There is no such paper"]);
}
