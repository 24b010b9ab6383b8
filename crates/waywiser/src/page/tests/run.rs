//! The run page, and drives that are handed over by it.

use super::Visitor;
use super::visitor::{HOST, Said};
use crate::garage::Slug;
use axum::body::Body;
use axum::http::{Request, header};
use serde_json::{Value, json};
use std::io::Write;

const RUN: &str = "0123456789abcdef0123456789abcdef";
/// The first page with its script and style at most, as it is sent.
const MOST_BYTES: usize = 40 * 1024;

fn json_of(said: &Said) -> Value {
    serde_json::from_str(&said.body).unwrap_or_else(|_| panic!("no JSON: {}", said.body))
}

fn post(visitor: &Visitor, address: &str, body: &Value) -> Said {
    let request = Request::post(address).header(header::HOST, HOST).header("sec-fetch-site", "same-origin");
    let request = request.header(header::CONTENT_TYPE, "application/json");
    visitor.send(request.body(Body::from(body.to_string())).unwrap())
}

/// A drive at 20 m/s of a truck that reads 5 % fast, as the run page writes it down.
fn drive() -> Vec<Value> {
    let fix = |second: u32| {
        let time = format!("2026-05-01T10:{:02}:{:02}Z", second / 60, second % 60);
        let latitude = 45.0 + f64::from(second) * 20.0 / 111_131.8;
        json!({"run": "fix", "time": time, "delivered": second, "latitude": latitude, "longitude": 9.5, "speed_m_per_s": 20})
    };
    let hold = |start| json!({"run": "hold", "shown": "47 mph", "start": start, "end": start + 30});
    let turned = |shown, at| json!({"run": "odometer", "shown": shown, "at": at});
    let marks = [hold(30), hold(200), turned("1000.0 mi", 40.0), turned("1005.2 mi", 438.5)];
    [json!({"run": "start", "version": 1})].into_iter().chain((0..480).map(fix)).chain(marks).collect()
}

/// Sends these records of the drive, from one number on.
fn send(visitor: &Visitor, truck: &Slug, first: usize, records: &[Value]) -> Said {
    let body = json!({"truck": truck.as_str(), "first": first, "records": records});
    post(visitor, &format!("/run/records/{RUN}"), &body)
}

#[test]
fn the_page_is_small_and_may_ask_for_place_and_screen_alone() {
    let (visitor, _) = Visitor::with_sample();
    let files = ["/run", "/run/app.js", "/run/run.css"].map(|address| visitor.get(address));
    let bytes: usize = files.iter().map(|said| said.is(200).body.len()).sum();
    println!("the run page with script and style: {:.1} KB", bytes as f64 / 1024.0);
    assert!(bytes <= MOST_BYTES, "{bytes} bytes");
    files[0].has(&["The driver never touches this phone", "Local law", "legal by true speed", "/run/app.js"]);
    let policy = |said: &Said| said.headers["permissions-policy"].to_str().unwrap().to_string();
    assert_eq!(policy(&files[0]), "camera=(), microphone=(), geolocation=(self), screen-wake-lock=(self)");
    assert_eq!(policy(&visitor.get("/")), "camera=(), microphone=(), geolocation=(), screen-wake-lock=()");
    let worker = visitor.get("/run/worker.js");
    assert_eq!(worker.is(200).headers["service-worker-allowed"], "/run");
    worker.lacks(&["VERSION"]);
    // Nothing of one garage stands in what is kept for every one.
    files[0].lacks(&["sample", &visitor.app.token]);
}

#[test]
fn what_a_drive_needs_is_told_before_it() {
    let text = "name = \"One\"\n[tire]\nsize = \"LT265/75R16\"\n[[fault]]\ntouches = \"brakes\"\nnote = \"pedal soft\"\n";
    let (visitor, slug) = Visitor::with("One", text, &[]);
    let trucks = json_of(visitor.get("/run/needs").is(200));
    assert_eq!(trucks["trucks"][0], json!({"truck": slug.as_str(), "name": "One"}));
    let needs = json_of(visitor.get(&format!("/run/needs?truck={slug}")).is(200));
    assert_eq!(needs["name"], "One");
    assert_eq!(needs["held_back_by"], json!(["brakes (pedal soft)"]));
    assert!(needs["needle"].as_array().unwrap().len() > 10, "{needs}");
    let said = visitor.get("/run/needs?truck=none");
    assert!(json_of(said.is(404))["says"].as_str().unwrap().contains("no truck of that name"));
}

#[test]
fn a_drive_comes_in_once_and_is_evidence_by_one_tap() {
    let (visitor, slug) = Visitor::with_sample();
    let (records, address) = (drive(), format!("/run/records/{RUN}"));
    let next = |said: &Said| json_of(said)["next"].as_u64().unwrap();
    assert_eq!(next(visitor.get(&address).is(200)), 0);
    assert_eq!(next(send(&visitor, &slug, 0, &records[..300]).is(200)), 300);
    assert_eq!(next(send(&visitor, &slug, 0, &records[..300]).is(200)), 300);
    let hole = send(&visitor, &slug, 310, &records[310..320]);
    assert_eq!((next(hole.is(409)), json_of(&hole)["goes_on"].as_bool()), (300, Some(true)));
    let other = send(&visitor, &slug, 299, &records[298..310]);
    assert!(json_of(other.is(409))["says"].as_str().unwrap().contains("Record 299 is here already"));
    visitor
        .get(&format!("/trucks/{slug}/measure"))
        .has(&["A drive with marks is coming in: 300 records", "Record a drive with a passenger"]);
    assert_eq!(next(send(&visitor, &slug, 300, &records[300..]).is(200)), records.len() as u64);
    let end = |count: usize| {
        post(&visitor, &format!("{address}/end"), &json!({"truck": slug.as_str(), "count": count}))
    };
    assert_eq!(next(end(records.len() + 1).is(409)), records.len() as u64);
    let file = json_of(end(records.len()).is(200))["file"].as_str().unwrap().to_string();
    assert_eq!(file, "run-2026-05-01-0123456789ab.jsonl");
    assert_eq!(json_of(end(records.len()).is(200))["file"], file.as_str());
    // What does it tell? Each of its marks is one tap away.
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure?came={file}"));
    page.is(200).has(&[
        "A drive recorded with marks came in",
        "The dial reads 5.",
        "The odometer reads",
        "Add what the dial showed",
        "Add what the odometer counted",
    ]);
    let added = visitor.post(&format!("/trucks/{slug}/files/{file}/marked"), &[("marked", "holds")]);
    let page = visitor.get_patiently(added.is(303).location());
    page.is(200).has(&["came in and counts", "marked holds"]);
    let text = &visitor.app.garage.truck(&slug).unwrap().text;
    assert!(text.contains(&format!("track = \"{file}\"\nmarked = \"holds\"")), "{text}");
    assert!(text.contains("date = 2026-05-01"), "{text}");
    visitor.post(&format!("/trucks/{slug}/files/{file}/marked"), &[("marked", "holds")]).is(404);
}

#[test]
fn what_is_no_record_or_too_much_is_refused_whole() {
    let (visitor, slug) = Visitor::with_sample();
    let refused = |first: usize, records: Value, expected: &str| {
        let body = json!({"truck": slug.as_str(), "first": first, "records": records});
        let said = post(&visitor, &format!("/run/records/{RUN}"), &body);
        assert!(said.status.is_client_error(), "{}", said.body);
        assert!(json_of(&said)["says"].as_str().unwrap().contains(expected), "{expected}: {}", said.body);
    };
    refused(0, json!([{"run": "fix"}]), "Record 0 is no record");
    refused(0, json!([5]), "Record 0 is no record");
    refused(0, json!([{"run": "start", "text": "x".repeat(5000)}]), "Record 0 is no record");
    refused(0, json!("no list"), "not what the run page sends");
    refused(0, json!(vec![json!({"run": "start"}); 2001]), "2000 records");
    refused(0, json!([{"run": "start", "text": "x".repeat(600 << 10)}]), "512 KB");
    let kind = |kind: &str| {
        let request = Request::post(format!("/run/records/{RUN}")).header(header::HOST, HOST);
        visitor.send(request.header(header::CONTENT_TYPE, kind).body(Body::from("{}")).unwrap())
    };
    kind("text/plain").is(415);
    kind("application/json").is(422);
    let packed = |bytes: &[u8]| {
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(bytes).unwrap();
        let request = Request::post(format!("/run/records/{RUN}")).header(header::HOST, HOST);
        let request =
            request.header(header::CONTENT_TYPE, "application/json").header(header::CONTENT_ENCODING, "gzip");
        visitor.send(request.body(Body::from(packer.finish().unwrap())).unwrap())
    };
    packed(&vec![b' '; 600 << 10]).is(413);
    let empty = json!({"truck": slug.as_str(), "first": 0, "records": []}).to_string();
    assert_eq!(json_of(packed(empty.as_bytes()).is(200))["next"], 0);
    visitor.get("/run/records/..%2ftruck").is(404);
    visitor.get("/run/records/0123").is(404);
    let other = Request::post(format!("/run/records/{RUN}")).header(header::HOST, HOST);
    let other = other
        .header(header::ORIGIN, "http://elsewhere.example")
        .header(header::CONTENT_TYPE, "application/json");
    visitor.send(other.body(Body::from("{}")).unwrap()).is(403);
    assert_eq!(json_of(&visitor.get(&format!("/run/records/{RUN}")))["next"], 0);
}

#[test]
fn what_came_of_a_drive_is_kept_where_no_more_will_come() {
    let (visitor, slug) = Visitor::with_sample();
    send(&visitor, &slug, 0, &drive()[..100]).is(200);
    let kept = visitor.post(&format!("/trucks/{slug}/runs/{RUN}/keep"), &[]);
    let page = visitor.get_patiently(kept.is(303).location());
    page.is(200).has(&["run-2026-05-01-0123456789ab.jsonl"]).lacks(&["is coming in"]);
    // The phone that comes back is told.
    let said = send(&visitor, &slug, 100, &drive()[100..110]);
    assert!(json_of(said.is(409))["says"].as_str().unwrap().contains("has 100 records"));
    visitor.post(&format!("/trucks/{slug}/runs/{RUN}/keep"), &[]).is(404);
}
