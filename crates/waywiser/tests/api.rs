//! The whole story by the programming interface: a truck, its drive, the choice, the write, the proof, the record; the same
//! reports as the command line's, and what is refused.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "what is tested are answers and files")]

mod serving;

use serde_json::{Value, json};
use serving::{Served, add_sample};
use std::path::Path;
use std::process::Command;

fn command_line(arguments: &[&str]) -> Value {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo");
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let output = command.args(arguments).arg("--json").current_dir(demo).output().unwrap();
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn the_same_reports_as_the_command_line() {
    let served = Served::start("same");
    let truck = add_sample(&served);
    let check = |path: &str, arguments: &[&str]| {
        let said = served.get(&format!("{truck}{path}"));
        assert_eq!(said.status, 200, "{path}: {}", said.body);
        assert_eq!(said.json(), command_line(arguments), "{path}");
    };
    check("/measure", &["measure", "vehicle", "truck.toml"]);
    check("/describe", &["describe", "vehicle", "truck.toml"]);
    check("/choose", &["choose", "truck.toml"]);
    check("/choose?rule=un-r39&reserve=1", &["choose", "truck.toml", "--rule", "un-r39", "--reserve", "1"]);
    check("/set", &["set", "truck.toml"]);
    check("/set?shows=8.64", &["set", "truck.toml", "--shows", "8.64"]);
    check("/set?to=8.40", &["set", "truck.toml", "--to", "8.40"]);
    let drive = ["--track", "after.gpx", "--vehicle-log", "after-log.csv", "--rule", "us-393.82"];
    check(
        "/prove?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82",
        &[&["prove", "truck.toml"], &drive[..]].concat(),
    );
    let by_address = |path: &str| served.get(&format!("/api/v1{path}")).json();
    assert_eq!(by_address("/rules"), command_line(&["describe", "rules"]));
    assert_eq!(by_address("/tire?size=LT285%2F75R16"), command_line(&["describe", "tire", "LT285/75R16"]));
    assert_eq!(by_address("/openapi.json"), waywiser::page::description());
}

#[test]
fn a_write_is_kept_in_both_places_or_in_none() {
    let served = Served::start("write");
    let truck = add_sample(&served);
    let post = |path: &str, headers: &[(&str, &str)], body: Value| {
        served.change("POST", &format!("{truck}{path}"), headers, body.to_string().as_bytes())
    };
    let kept = post("/choose", &[], json!({}));
    let kinds: Vec<Value> = kept.json().as_array().unwrap().iter().map(|one| one["kind"].clone()).collect();
    assert_eq!(kinds, ["estimate", "choice"], "{}", kept.body);

    let before = served.get(&truck).json();
    let version = before["version"].as_str().unwrap();
    let write = json!({ "from": "8.76", "to": "8.32", "odometer": "128411.0 mi" });
    let made = post("/set", &[("if-match", version)], write.clone());
    assert_eq!((made.status, made.json()["kind"].as_str()), (200, Some("write")), "{}", made.body);
    let after = served.get(&truck).json();
    assert!(after["file"].as_str().unwrap().contains("[[written]]"), "{after}");
    assert_eq!(after["problems"], json!([]), "the file is in order after the write");

    let entries = || served.get("/api/v1/record/check").json();
    let whole = entries();
    assert_eq!(whole["ok"], true);
    // The version is gone: the second is told, and neither the file nor the record changes.
    assert_eq!(post("/set", &[("if-match", version)], write.clone()).status, 409);
    assert_eq!(post("/set", &[], write).status, 422, "a write without a version");
    // A reading below the last one is refused by the record, and the file stays.
    let now = after["version"].as_str().unwrap();
    let back =
        post("/set", &[("if-match", now)], json!({ "from": "8.32", "to": "8.30", "odometer": "1000 mi" }));
    assert_eq!(back.status, 422, "{}", back.body);
    assert_eq!((entries(), served.get(&truck).json()), (whole, after));

    let trial = json!({ "track": "after.gpx", "vehicle_log": "after-log.csv", "rule": "us-393.82" });
    let proof = post("/prove", &[], trial).json();
    assert_eq!(proof["fields"]["verdict"], "conforms");
    let state = served.get(&format!("{truck}/record")).json()["state"].clone();
    assert_eq!((&state["setting"], &state["writes_left"]), (&json!("8.32"), &json!(2)));
    assert_eq!(state["proved"], json!(["us-393.82", "conforms"]));
}

#[test]
fn what_is_refused() {
    let served = Served::start("refused");
    let truck = add_sample(&served);
    let status = |method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]| {
        served.try_ask(method, path, headers, body).unwrap().status
    };
    let ours = ("waywiser-client", "test");
    let note = br#"{ "kind": "note", "text": "quiet road" }"#;
    let record = format!("{truck}/record");
    assert_eq!(status("POST", &record, &[], note), 403, "without the header");
    assert_eq!(status("POST", &record, &[ours, ("origin", "http://elsewhere.example")], note), 403);
    assert_eq!(status("POST", &record, &[ours, ("sec-fetch-site", "cross-site")], note), 403);
    assert_eq!(status("POST", &record, &[ours], b"no json"), 422);
    assert_eq!(status("POST", &record, &[ours], br#"{ "kind": "note", "unknown": 1 }"#), 422);
    assert_eq!(status("POST", "/api/v1/trucks", &[ours], b"name = "), 422);
    assert_eq!(status("GET", "/api/v1/trucks/none/choose", &[], b""), 404);
    assert_eq!(status("GET", &format!("{truck}/prove?track=../../record.sqlite"), &[], b""), 422);
    assert_eq!(status("POST", &record, &[ours], note), 200, "and what is right is taken");
    let said = served.get("/api/v1/trucks/none/choose").json();
    assert!(said["error"].is_string() && said["problems"].is_array(), "errors are JSON: {said}");
}

/// A browser shows an answer only after it has sent everything: what is refused is read to its end all the same.
#[test]
fn what_is_too_much_gets_its_answer_over_the_line() {
    let served = Served::start("too-much");
    let truck = add_sample(&served).replace("/api/v1", "");
    let body = vec![b'a'; 8 << 20];
    let own = format!("http://{}", served.address);
    let check = |path: &str, headers: &[(&str, &str)], status: u16, says: &str| {
        let said = served.try_ask("POST", path, headers, &body);
        let said = said.unwrap_or_else(|error| panic!("{path}: the connection broke: {error}"));
        assert_eq!(said.status, status, "{path}: {}", said.body);
        assert!(said.body.contains(says) && said.body.contains("href=\"/"), "{path}: {}", said.body);
    };
    check("/add", &[("origin", &own)], 413, "512 KB");
    check("/add", &[("origin", "http://elsewhere.example")], 403, "Another site");
    // A form of a page from before the server was started anew, with a file in it.
    let mut form = b"--parts\r\ncontent-disposition: form-data; name=\"token\"\r\n\r\nold\r\n--parts\r\n\
        content-disposition: form-data; name=\"track\"; filename=\"drive.gpx\"\r\n\r\n"
        .to_vec();
    form.extend(&body);
    form.extend(b"\r\n--parts--\r\n");
    let kind = ("content-type", "multipart/form-data; boundary=parts");
    for path in [format!("{truck}/files"), format!("{truck}/prove")] {
        let said = served.try_ask("POST", &path, &[("origin", &own), kind], &form).unwrap();
        assert_eq!(said.status, 403, "{path}: {}", said.body);
        assert!(said.body.contains("Load the page again"), "{path}: {}", said.body);
    }
}
