//! The life of one vehicle through the ledger, then every row read back.

#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are the files themselves"
)]

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

const TRUCK: &str = "The grey half-ton";

struct Said {
    code: i32,
    out: String,
    err: String,
}

fn record(garage: &Path, arguments: &[&str]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let output = command.arg("record").args(arguments).arg("--garage").arg(garage).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Said { code: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) }
}

fn answer(garage: &Path, arguments: &[&str]) -> Value {
    let said = record(garage, &[arguments, &["--json"]].concat());
    assert_eq!(said.code, 0, "{arguments:?}: {}{}", said.out, said.err);
    serde_json::from_str(&said.out).unwrap()
}

fn add(garage: &Path, kind: &str, arguments: &[&str]) -> Value {
    answer(garage, &[&["add", kind, "--vehicle", TRUCK], arguments].concat())
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("story").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Kind, then arguments, of everything that happens to the truck.
const LIFE: [(&str, &[&str]); 17] = [
    ("vehicle", &["--value", "8.20", "--field", "writes_left=4"]),
    ("odometer", &["--odometer", "100000 mi"]),
    ("service", &["--text", "engine oil", "--value", "5000 mi", "--odometer", "100000 mi"]),
    ("fuel", &["--value", "10 gal", "--odometer", "100000 mi"]),
    ("fuel", &["--value", "20 gal", "--odometer", "100194"]),
    ("equipment", &["--text", "tires", "--value", "LT265/75R16", "--odometer", "101000 mi"]),
    ("evidence", &["--text", "rollout", "--value", "5 turns, 40 ft 3 1/2 in"]),
    ("estimate", &["--value", "0.960 +/- 0.003"]),
    ("choice", &["--text", "write", "--value", "7.87"]),
    ("write", &["--value", "7.87", "--odometer", "101960 mi"]),
    ("proof", &["--text", "us-393.82", "--value", "conforms"]),
    ("fault-opened", &["--text", "pedal soft", "--value", "brakes"]),
    ("fault-mended", &["--value", "12"]),
    ("odometer", &["--odometer", "102690 mi"]),
    ("correction", &["--value", "14", "--odometer", "102960 mi"]),
    ("note", &["--text", "quiet \"road\", é"]),
    ("odometer", &["--odometer", "103960 mi"]),
];

fn lived(name: &str) -> PathBuf {
    let garage = folder(name);
    for (index, (kind, arguments)) in LIFE.iter().enumerate() {
        let added = add(&garage, kind, arguments);
        assert_eq!(added["sequence"], index + 1);
        assert_eq!(added["hash"].as_str().unwrap().len(), 64);
    }
    garage
}

#[test]
fn every_row_is_read_back() {
    let garage = lived("rows");
    let check = answer(&garage, &["check"]);
    assert_eq!((&check["ok"], &check["entries"]), (&Value::Bool(true), &Value::from(LIFE.len())));
    let export = record(&garage, &["export"]).out;
    let rows: Vec<Value> = export.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(rows.len(), LIFE.len());
    let mut previous = "0".repeat(64);
    for (row, (kind, arguments)) in rows.iter().zip(LIFE) {
        assert_eq!((&row["kind"], &row["vehicle"]), (&Value::from(kind), &Value::from(TRUCK)));
        assert_eq!(row["previous"], previous.as_str());
        previous = row["hash"].as_str().unwrap().to_string();
        let fields = row["fields"].as_object().unwrap();
        for typed in arguments.iter().skip(1).step_by(2) {
            let typed = typed.split('=').next_back().unwrap();
            let is_kept = fields.values().any(|value| value.as_str().unwrap().starts_with(typed));
            assert!(is_kept, "{typed} in {fields:?}");
        }
    }
    assert_eq!(check["head"], previous.as_str());
    // What the record itself knew is filled in.
    let write = &rows[9]["fields"];
    assert_eq!((&write["from"], &write["to"]), (&Value::from("8.20"), &Value::from("7.87")));
    assert_eq!((&write["writes_left_before"], &write["writes_left_after"]), (&"4".into(), &"3".into()));
    assert_eq!(
        rows[4]["fields"]["odometer"], "100194 mi",
        "a bare number is in the unit of the last reading"
    );
    let csv = record(&garage, &["export", "--csv"]).out;
    assert_eq!(csv.matches("\r\n").count(), LIFE.len() + 1);
}

#[test]
fn the_state_is_what_happened() {
    let garage = lived("state");
    let state = &answer(&garage, &["show"])["vehicles"][0];
    assert_eq!(state["setting"], "7.87");
    assert_eq!((&state["writes_left"], &state["writes_made"]), (&3.into(), &1.into()));
    assert_eq!(state["proved"][1], "conforms");
    assert_eq!(state["open_faults"], Value::Array(vec![]));
    // 0.960 x 8.20 / 7.87 after the write.
    let ratio = state["reading_ratio"]["value"].as_f64().unwrap();
    assert!((ratio - 0.960 * 8.20 / 7.87).abs() < 1e-9, "{ratio}");
    let history = answer(&garage, &["show", "--vehicle", TRUCK]);
    assert_eq!(history["entries"].as_array().unwrap().len(), LIFE.len());
    // 194 mi on 20 gal; true miles before the first estimate are not known over a change of tires.
    assert!((history["fuel"][0]["indicated_mi_per_us_gal"].as_f64().unwrap() - 9.7).abs() < 1e-9);
    assert_eq!(history["fuel"][0]["true_mi_per_us_gal"], Value::Null);
}

#[test]
fn true_distance_between_readings_and_over_the_write() {
    let garage = lived("distance");
    let miles = |from: &str, to: &str| {
        let found = answer(&garage, &["distance", "--vehicle", TRUCK, "--from", from, "--to", to]);
        let v = &found["distance_mi"];
        (v["value"].as_f64().unwrap(), v["standard_uncertainty"].as_f64().unwrap())
    };
    // 960 mi read 4 % slow are 1000.
    let (value, u) = miles("101000 mi", "101960 mi");
    assert!((value - 1000.0).abs() < 1e-6, "{value}");
    // 0.003/0.960 of the estimate, 0.5 % of wear, two readings of 1 mi: sqrt(2/12)/0.96.
    let by_hand = ((1000.0_f64 * 0.003 / 0.960).powi(2) + 5.0_f64.powi(2) + 2.0 / 12.0 / 0.96 / 0.96).sqrt();
    assert!((u - by_hand).abs() < 1e-6, "{u} {by_hand}");
    let after = 1000.0 / (0.960 * 8.20 / 7.87);
    let (value, _) = miles("101960 mi", "102960 mi");
    assert!((value - after).abs() < 1e-6, "{value}");
    let (value, _) = miles("101000 mi", "103960 mi");
    assert!((value - 1000.0 - 2.0 * after).abs() < 1e-6, "{value}");
    let whole = answer(&garage, &["distance", "--vehicle", TRUCK]);
    assert_eq!(whole["distance_m"], Value::Null);
    assert!(whole["unknowable"][0].as_str().unwrap().contains("from the beginning on"), "{whole}");
}

#[test]
fn paper_finds_a_cut_tail_and_a_rewritten_whole() {
    let garage = lived("paper");
    let paper = answer(&garage, &["check"]);
    let (head, entries) = (paper["head"].as_str().unwrap(), paper["entries"].to_string());
    let against_paper = ["check", "--expect-head", head, "--expect-entries", &entries];
    assert_eq!(record(&garage, &against_paper).code, 0);
    let export = record(&garage, &["export"]).out;
    let cut: String = export.lines().take(9).map(|line| format!("{line}\n")).collect();
    let other = folder("paper-cut");
    let file = other.join("cut.jsonl");
    std::fs::write(&file, cut).unwrap();
    assert_eq!(answer(&other, &["import", file.to_str().unwrap()])["added"], 9);
    assert_eq!(record(&other, &["check"]).code, 0, "by itself a cut tail does not show");
    let said = record(&other, &[&against_paper[..], &["--json"]].concat());
    let found: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!((said.code, &found["ok"], &found["entries"]), (1, &Value::Bool(false), &9.into()));
    let rewritten = lived("paper-rewritten");
    assert_eq!(record(&rewritten, &against_paper).code, 1);
    // The rest follows, and a changed file is refused.
    std::fs::write(&file, export.replacen("7.87", "7.88", 1)).unwrap();
    let said = record(&other, &["import", file.to_str().unwrap()]);
    assert!(said.code == 1 && said.err.contains("entry 9"), "{}", said.err);
    std::fs::write(&file, &export).unwrap();
    assert_eq!(answer(&other, &["import", file.to_str().unwrap()])["added"], LIFE.len() - 9);
    assert_eq!(record(&other, &against_paper).code, 0);
    assert_eq!(record(&other, &["export"]).out, export);
}

#[test]
fn what_is_wrong_is_said_and_nothing_is_added() {
    let garage = lived("wrong");
    let check = |arguments: &[&str], words: &str| {
        let said = record(&garage, &[&["add"], arguments].concat());
        assert!(said.code == 1 && said.err.contains(words), "{arguments:?}: {} {}", said.code, said.err);
    };
    check(&["odometre", "--vehicle", TRUCK], "`odometer`");
    check(&["odometer", "--vehicle", TRUCK, "--odometer", "99 mi"], "roll-over");
    check(&["odometer", "--vehicle", "New", "--new-vehicle", "--odometer", "99"], "99 mi");
    check(
        &["odometer", "--vehicle", "New", "--odometer", "99 mi"],
        "If it is a vehicle that is not in the record yet",
    );
    check(&["odometer", "--vehicle", TRUCK, "--odometer", "-9 mi"], "odometer");
    check(&["correction", "--vehicle", "New", "--new-vehicle", "--value", "3"], "same vehicle");
    check(&["note", "--vehicle", TRUCK], "text");
    assert_eq!(answer(&garage, &["check"])["entries"], LIFE.len());
    assert_eq!(record(&folder("nobody"), &["check"]).code, 1);
    assert_eq!(record(&garage, &["show", "--vehicle", "Nobody"]).code, 1);
}

#[test]
fn a_replaced_odometer_is_an_event_and_gives_a_notice() {
    let garage = lived("replaced");
    add(&garage, "roll-over", &["--value", "200000 mi"]);
    add(&garage, "odometer", &["--odometer", "12 mi"]);
    add(
        &garage,
        "equipment",
        &["--text", "odometer", "--field", "odometer_before=20 mi", "--odometer", "0 mi"],
    );
    add(&garage, "odometer", &["--odometer", "100 mi"]);
    assert_eq!(answer(&garage, &["check"])["ok"], true);
    let papers = &["papers", "--vehicle", TRUCK, "--model-year", "1994", "--transfer", "2026-11-25"];
    let papers = answer(&garage, papers);
    assert_eq!(papers["door_frame"][0]["mileage_before"], "20 mi");
    assert_eq!(papers["reading_mi"], 100);
    assert!(papers["exempt"].as_str().unwrap().contains("2010"));
    assert!(papers["statements"][1]["facts"][0].as_str().unwrap().contains("rolled over"));
    let said = record(&garage, &["papers", "--vehicle", TRUCK]);
    assert!(said.out.contains("not legal advice"), "{}", said.out);
}

#[test]
fn a_vehicle_file_goes_in_and_comes_out_without_places() {
    let garage = folder("file");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo/truck.toml");
    let file = sample.to_str().unwrap();
    let taken = answer(&garage, &["take", file]);
    assert!(taken["added"].as_array().unwrap().len() > 1, "{taken}");
    assert_eq!(answer(&garage, &["take", file])["added"], Value::Array(vec![]), "once is enough");
    let text = std::fs::read_to_string(&sample).unwrap();
    let name = answer(&garage, &["show"])["vehicles"][0]["vehicle"].as_str().unwrap().to_string();
    assert_eq!(record(&garage, &["give", "--vehicle", &name]).out, text);
    let export = record(&garage, &["export"]).out;
    assert!(export.contains("track_sha256"), "{export}");
    assert!(!export.contains("lat=") && !export.contains("<trkpt"));
    assert_eq!(answer(&garage, &["check"])["ok"], true);
}

/// The page calls a truck something else; its record stays, and the command line finds it under both names.
#[test]
fn a_truck_that_is_called_something_else_is_found_under_both_names() {
    let garage = folder("called");
    let read = |name: &str, odometer: &str| {
        answer(&garage, &["add", "odometer", "--vehicle", name, "--odometer", odometer]);
    };
    read("Old name", "1000 mi");
    std::fs::create_dir_all(garage.join("trucks/one")).unwrap();
    let text = "name = \"New name\"\n[tire]\nsize = \"LT265/75R16\"\n";
    std::fs::write(garage.join("trucks/one/truck.toml"), text).unwrap();
    std::fs::write(garage.join("record-names.toml"), "one = \"Old name\"\n").unwrap();
    read("New name", "1100");
    for name in ["Old name", "New name"] {
        let shown = answer(&garage, &["show", "--vehicle", name]);
        assert_eq!(shown["entries"].as_array().unwrap().len(), 2, "{name}: {shown}");
        assert_eq!(answer(&garage, &["distance", "--vehicle", name])["readings"], 2, "{name}");
    }
    let file = garage.join("trucks/one/truck.toml");
    record(&garage, &["take", file.to_str().unwrap()]);
    let given = record(&garage, &["give", "--vehicle", "New name"]);
    assert_eq!(given.out, text, "{}", given.err);
    let states = answer(&garage, &["show"]);
    assert_eq!(states["vehicles"].as_array().unwrap().len(), 1, "one vehicle in the record: {states}");
    let unknown = record(&garage, &["show", "--vehicle", "Another"]);
    assert_eq!(unknown.code, 1);
    assert!(unknown.err.contains("Old name (called New name now)"), "{}", unknown.err);
}

#[test]
fn a_sale_is_told_the_miscount_in_numbers() {
    let garage = folder("miscount");
    let none = |garage: &Path| answer(garage, &["papers", "--vehicle", TRUCK])["miscount"].clone();
    add(&garage, "vehicle", &["--value", "8.20", "--field", "writes_left=4"]);
    add(&garage, "odometer", &["--odometer", "100000 mi"]);
    assert!(none(&garage).is_null());
    add(&garage, "estimate", &["--value", "0.960 +/- 0.003"]);
    add(&garage, "write", &["--value", "7.87", "--odometer", "101000 mi"]);
    add(&garage, "odometer", &["--odometer", "102000 mi"]);
    // 1000 mi at 0.96, and 1000 at 0.96 x 8.20 / 7.87, by one estimate.
    let driven = 1000.0 / 0.96 + 1000.0 / (0.96 * 8.20 / 7.87);
    let miscount = none(&garage);
    let near = |key: &str, expected: f64| {
        let found = miscount[key].as_f64().unwrap();
        assert!((found - expected).abs() < 1e-6 * expected, "{key}: {found} for {expected}");
    };
    near("counted_mi", 2000.0);
    near("driven_mi", driven);
    // Beside the estimate's, half a per cent for tires that wear, and both readings good to a mile.
    let readings = (1.0 / 0.96_f64).hypot(7.87 / (0.96 * 8.20)) / 12_f64.sqrt();
    near("standard_uncertainty_mi", (driven * 0.003 / 0.96).hypot(driven * 0.005).hypot(readings));
    let says = record(&garage, &["papers", "--vehicle", TRUCK]).out;
    let says = says.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in
        ["counted 2000 mi, and 2041 mi were driven", "41 mi too few, 2.0 % of what was driven", "from memory"]
    {
        assert!(says.contains(part), "{part}: {says}");
    }
}

#[test]
fn a_new_name_is_asked_about() {
    let garage = folder("names");
    add(&garage, "vehicle", &["--value", "8.20"]);
    let note = |name: &str, more: &[&str]| {
        record(&garage, &[&["add", "note", "--vehicle", name, "--text", "x"], more].concat())
    };
    let near = note("The gray half-ton", &[]);
    assert!(near.code == 1 && near.err.contains(TRUCK), "{}", near.err);
    let far = note("Another", &[]);
    assert!(far.code == 1 && far.err.contains("--new-vehicle"), "{}", far.err);
    assert_eq!(answer(&garage, &["check"])["entries"], 1);
    assert_eq!(note("Another", &["--new-vehicle"]).code, 0);
    // From then on it is known.
    assert_eq!(note("Another", &[]).code, 0);
    assert_eq!(answer(&garage, &["check"])["entries"], 3);
}
