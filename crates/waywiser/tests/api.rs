//! The whole story by the programming interface: a truck, its drive, the choice, the write, the proof, the record; the same
//! reports as the command line's, and what is refused.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "what is tested are answers and files")]

mod multipart;
mod serving;

use serde_json::{Value, json};
use serving::{Served, add_sample, sample};
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
    check("/set?shows=1461", &["set", "truck.toml", "--shows", "1461"]);
    check("/set?to=1425", &["set", "truck.toml", "--to", "1425"]);
    check(
        "/set?to=1215&repeat=5&repeat_after=2&even_if_worse=true",
        &["set", "truck.toml", "--to", "1215", "--repeat", "5", "--repeat-after", "2", "--even-if-worse"],
    );
    let drive = ["--track", "after.gpx", "--vehicle-log", "after-log.csv", "--rule", "us-393.82"];
    check(
        "/prove?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82",
        &[&["prove", "truck.toml"], &drive[..]].concat(),
    );
    let by_address = |path: &str| served.get(&format!("/api/v1{path}")).json();
    assert_eq!(by_address("/rules"), command_line(&["describe", "rules"]));
    assert_eq!(by_address("/schema"), command_line(&["describe", "vehicle", "--schema"]));
    assert_eq!(by_address("/keys?section=plan"), command_line(&["describe", "keys", "plan"]));
    assert_eq!(by_address("/starting-file?kind=tires"), command_line(&["describe", "file", "tires"]));
    assert_eq!(by_address("/tire?size=LT275%2F75R17"), command_line(&["describe", "tire", "LT275/75R17"]));
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
    let write = json!({ "from": "1479", "to": "1416", "odometer": "128411.0 mi" });
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
        post("/set", &[("if-match", now)], json!({ "from": "1416", "to": "1413", "odometer": "1000 mi" }));
    assert_eq!(back.status, 422, "{}", back.body);
    assert_eq!((entries(), served.get(&truck).json()), (whole, after));

    let trial = json!({ "track": "after.gpx", "vehicle_log": "after-log.csv", "rule": "us-393.82" });
    let proof = post("/prove", &[], trial).json();
    assert_eq!(proof["fields"]["verdict"], "conforms");
    let state = served.get(&format!("{truck}/record")).json()["state"].clone();
    assert_eq!((&state["setting"], &state["writes_left"]), (&json!("1416"), &json!(4)));
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
    // A form of a page from before the server was started again, with a file in it.
    let (kind, form) = multipart::form(&[("token", "old")], &[("track", "drive.gpx", &body)]);
    let kind = ("content-type", kind.as_str());
    for path in [format!("{truck}/files"), format!("{truck}/prove")] {
        let said = served.try_ask("POST", &path, &[("origin", &own), kind], &form).unwrap();
        assert_eq!(said.status, 403, "{path}: {}", said.body);
        assert!(said.body.contains("Load the page again"), "{path}: {}", said.body);
    }
}

#[test]
fn an_own_routine_gives_the_steps_of_the_command_line() {
    let served = Served::start("routine");
    let truck = add_sample(&served);
    let own = "Turn the key.\n{pressing}\n? It shows {target_display}.\n< Turn it back.\n! Press both.\n";
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("serving").join("procedure.txt");
    std::fs::write(&file, own).unwrap();
    let before = served.get(&format!("{truck}/routine")).json();
    assert_eq!(before["text"], "");
    let keep = |text: &str, version: &Value| {
        let body = json!({ "text": text, "version": version }).to_string();
        served.change("POST", &format!("{truck}/routine"), &[], body.as_bytes())
    };
    let kept = keep(own, &before["version"]);
    assert_eq!((kept.status, &kept.json()["text"]), (200, &json!(own)), "{}", kept.body);
    assert_eq!(keep("Other.", &before["version"]).status, 409, "the version is gone");
    let mut said = served.get(&format!("{truck}/set")).json();
    let mut expected = command_line(&["set", "truck.toml", "--procedure", file.to_str().unwrap()]);
    // The file is called otherwise where its problems name it.
    for one in [&mut said, &mut expected] {
        one.as_object_mut().unwrap().remove("problems");
    }
    assert_eq!(said, expected);
}

#[test]
fn many_drives_say_what_each_says_alone() {
    let served = Served::start("batch");
    let (track, log) = (sample("drive.gpx"), sample("drive-log.csv"));
    let files: [(&str, &str, &[u8]); 3] = [
        ("files", "a.gpx", &track),
        ("files", "a-log.csv", &log),
        ("files", "broken.csv", b"\x1f\x8b\0\0nothing"),
    ];
    let (kind, form) = multipart::form(&[], &files);
    let kind = [("content-type", kind.as_str())];
    let said = served.change("POST", "/api/v1/batch", &kind, &form);
    assert_eq!(said.status, 200, "{}", said.body);
    let report = said.json();
    assert_eq!((&report["drives"], &report["measured"]), (&json!(2), &json!(1)));
    let alone = command_line(&["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"]);
    let drive = &report["rows"][0]["drive"];
    for key in
        ["reading_ratio", "ratio_by_distance", "offset_m_per_s", "clock_lag_s", "distance_m", "diagnosis"]
    {
        assert_eq!(drive[key], alone[key], "{key}");
    }
    assert!(report["rows"][1]["problems"][0].as_str().unwrap().contains("broken.csv"), "{report}");
    assert_eq!(served.try_ask("POST", "/api/v1/batch", &kind, &form).unwrap().status, 403);
}

#[test]
fn one_drive_and_one_recording_are_those_of_the_command_line() {
    let served = Served::start("look-at");
    let post = |path: &str, fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]| {
        let (kind, form) = multipart::form(fields, files);
        let said = served.change("POST", path, &[("content-type", &kind)], &form);
        assert_eq!(said.status, 200, "{path}: {}", said.body);
        said.json()
    };
    let (track, log) = (sample("drive.gpx"), sample("drive-log.csv"));
    let files: [(&str, &str, &[u8]); 2] =
        [("track", "drive.gpx", &track), ("vehicle_log", "drive-log.csv", &log)];
    let expected =
        command_line(&["measure", "drive", "--track", "drive.gpx", "--vehicle-log", "drive-log.csv"]);
    assert_eq!(post("/api/v1/drive", &[], &files), expected);
    let odometer = [("odometer_start", "128371.0 mi"), ("odometer_end", "128382.0 mi")];
    let flags = ["--odometer-start", "128371.0 mi", "--odometer-end", "128382.0 mi"];
    let expected = command_line(&[&["measure", "drive", "--track", "drive.gpx"], &flags[..]].concat());
    assert_eq!(post("/api/v1/drive", &odometer, &files[..1]), expected);

    let wav = Path::new(env!("CARGO_TARGET_TMPDIR")).join("serving").join("wire.wav");
    let wav = wav.to_str().unwrap();
    let signal = ["--counts-per-mile", "8000", "--speed", "30 mph", "--lasting", "3 s"];
    command_line(&[&["bench-signal", "--force", "--out", wav], &signal[..]].concat());
    let bytes = std::fs::read(wav).unwrap();
    let files: [(&str, &str, &[u8]); 1] = [("file", "wire.wav", &bytes)];
    let said = post("/api/v1/recording", &[("distance", "0.025 mi"), ("channel", "1")], &files);
    let expected = command_line(&["measure", "pulses", wav, "--distance", "0.025 mi", "--channel", "1"]);
    assert_eq!(said, expected);
}

#[test]
fn a_signal_for_the_bench_is_that_of_the_command_line() {
    let served = Served::start("bench");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("serving");
    let out = folder.join("bench.csv");
    let query = "counts_per_mile=8000&speeds=20,40mph&lasting=3%20s&ring_teeth=96&missing_tooth=12";
    let fault = ["--ring-teeth", "96", "--missing-tooth", "12", "--force", "--out", out.to_str().unwrap()];
    let signal = ["bench-signal", "--counts-per-mile", "8000", "--speeds", "20,40mph", "--lasting", "3 s"];
    let written = command_line(&[&signal[..], &fault].concat());
    let report = served.get(&format!("/api/v1/bench?{query}")).json();
    for key in ["pulses", "duration_s", "table", "cautions"] {
        assert_eq!(report[key], written[key], "{key}");
    }
    let edges = served.get(&format!("/api/v1/bench/signal.csv?{query}"));
    assert_eq!(edges.body, std::fs::read_to_string(&out).unwrap());
    assert!(served.get(&format!("/api/v1/bench/signal.wav?{query}")).body.starts_with("RIFF"));
    let refused = served.get("/api/v1/bench?speeds=20mph");
    assert_eq!((refused.status, refused.json()["problems"].is_array()), (422, true), "{}", refused.body);
}

#[test]
fn the_record_goes_out_and_comes_in() {
    let served = Served::start("carry");
    let truck = add_sample(&served);
    let ours = |path: &str, body: &[u8]| served.change("POST", path, &[], body);
    let taken = ours(&format!("{truck}/take"), b"").json();
    assert_eq!(taken["added"][0]["kind"], "vehicle", "{taken}");
    assert_eq!(ours(&format!("{truck}/take"), b"").json()["added"], json!([]), "the same is not taken twice");
    let count = taken["added"].as_array().unwrap().len();
    let lines = served.get("/api/v1/record/entries.jsonl").body;
    assert_eq!(lines.lines().count(), count);
    assert_eq!(
        served.get("/api/v1/record/entries.csv").body.lines().next().unwrap().split(',').next(),
        Some("sequence")
    );
    assert!(served.get("/api/v1/record/copy.sqlite").body.starts_with("SQLite format 3"));
    assert_eq!(served.get("/api/v1/record").json()["vehicles"][0]["vehicle"], "The green hauler");
    let file = served.get("/api/v1/record/vehicle-file?vehicle=The%20green%20hauler").body;
    assert!(file.contains("name = \"The green hauler\""), "{file}");
    let backup = ours("/api/v1/record/backup", b"").json();
    assert!(served.garage.join(backup["file"].as_str().unwrap()).is_file(), "{backup}");
    let rescued = ours("/api/v1/record/rescue", b"").json();
    assert_eq!((&rescued["entries"], &rescued["lines"]), (&json!(count), &json!(lines)));

    let other = Served::start("carry-other");
    let import = |body: &[u8]| other.change("POST", "/api/v1/record/import", &[], body);
    assert_eq!(import(lines.as_bytes()).json(), json!({ "added": count, "in_file": count }));
    assert_eq!(import(lines.as_bytes()).json()["added"], 0);
    let refused = import(lines.replace("hauler", "howler").as_bytes());
    assert_eq!((refused.status, refused.json()["error"].is_string()), (422, true), "{}", refused.body);
    assert_eq!(other.get("/api/v1/record/entries.jsonl").body, lines);
    let none = other.get("/api/v1/record/vehicle-file?vehicle=nobody");
    assert_eq!(
        (none.status, none.json()["error"].is_string()),
        (404, true),
        "errors are JSON: {}",
        none.body
    );
}
