//! What stands on the papers.

use super::{demo, folder, one_line, paper, text, trucks, waywiser};
use std::path::Path;
use truing::report::document::Block;
use truing::units::Units;

/// What the sample truck shows over what is true before the write (see `truing/tests/demo_files.rs`).
const RATIO_BEFORE: f64 = 615.5 * 46.0 / 11.0 * 22.0 / (40.0 * 1479.0);

#[test]
fn the_job_sheet_says_what_to_set_on_which_truck_and_every_step() {
    let folder = folder("content");
    for (name, vehicle) in [
        ("usual", trucks::usual()),
        ("many-presses", trucks::many_presses()),
        ("long-name", trucks::long_name()),
    ] {
        let found = text(&paper(&folder, &vehicle, name, &[]));
        let sheet = demo::sheet(&vehicle, Units::Us);
        let [from, to] = sheet.change.clone().unwrap();
        assert!(found.contains(&sheet.vehicle), "{name}: no name in {found}");
        assert!(found.contains(&format!("Store {to}.")) && found.contains(&format!("Stored now: {from}.")));
        let steps: Vec<_> = sheet
            .steps
            .iter()
            .filter_map(|block| if let Block::Steps(steps) = block { Some(steps) } else { None })
            .flatten()
            .collect();
        assert!(steps.len() >= 10, "{name}: only {} steps", steps.len());
        for (index, step) in steps.iter().enumerate() {
            let lead = if step.irreversible { "CANNOT BE TAKEN BACK: " } else { "" };
            let expected = one_line(&format!("{}. {lead}{}", index + 1, step.text));
            assert!(found.contains(&expected), "{name}: `{expected}` is not in {found}");
            for tick in &step.ticks {
                assert!(found.contains(&format!("{} shows {}", tick.presses, tick.shows)));
            }
        }
        assert!(steps.iter().any(|step| step.irreversible));
        for word in ["Odometer", "Date", "Done by", "Value stored", "Writes left", "Remarks"] {
            assert!(found.contains(word), "{name}: no line for {word}");
        }
    }
}

#[test]
fn a_long_run_of_presses_has_count_boxes() {
    let sheet = demo::sheet(&trucks::many_presses(), Units::Us);
    let counts = sheet
        .steps
        .iter()
        .flat_map(|block| if let Block::Steps(steps) = block { steps.as_slice() } else { &[] });
    let most = counts.flat_map(|step| &step.ticks).map(|tick| tick.presses).max().unwrap();
    assert!(most >= 600, "{most} presses are no long run");
}

#[test]
fn many_pieces_of_evidence_have_a_line_each_and_what_is_left_out_is_said() {
    let folder = folder("lines");
    let ten = text(&paper(&folder, &trucks::evidences(10), "ten", &[]));
    for day in 1..=8 {
        assert!(ten.contains(&format!("rollout number {day}, on the level ground")), "{day} in {ten}");
    }
    assert!(!ten.contains("more weigh less"), "{ten}");
    let twenty = text(&paper(&folder, &trucks::evidences(20), "twenty", &[]));
    // Twelve lines, the drive among them, which weighs most.
    assert!(twenty.contains("8 more weigh less than these") && twenty.contains("drive with"), "{twenty}");
}

#[test]
fn a_truck_with_open_faults_is_not_sent_on_the_road_without_a_caution() {
    let found = text(&paper(&folder("faults"), &trucks::faults_and_letters(), "faults", &[]));
    assert!(
        found.contains("Caution: Do not take this truck on a test drive") && found.contains("pedal soft")
    );
}

#[test]
fn the_speed_card_warns_while_the_dial_reads_slow() {
    let folder = folder("card");
    let without_gears = trucks::without_gears(&trucks::usual());
    let slow =
        text(&paper(&folder, &without_gears, "slow", &["--document", "speed-card", "--gears", "1.00"]));
    // By the truth of the sample truck 60 mph shown are 60 / 0.95717 = 62.685 mph; what is measured lies near it.
    assert!(slow.contains("THE DIAL READS 4.2 % SLOW."), "{slow}");
    assert!(slow.contains("At 60 mph shown it goes 63 mph"), "{slow}");
    let row = |at: &[&str]| at[0] == "60" && at[3] == "to";
    let words: Vec<&str> = slow.split_whitespace().collect();
    let row = words.windows(6).find(|at| row(at)).unwrap_or_else(|| panic!("no row for 60 mph: {slow}"));
    let number = |at: usize| row[at].parse::<f64>().unwrap();
    let true_mph = 60.0 / RATIO_BEFORE;
    assert!((number(1) - true_mph).abs() < 0.15, "{row:?}");
    // 62.685 mph x 615.5 rev/mi x 46/11 / 60 min = 2689 rpm, to the next ten.
    assert!((number(5) - true_mph * 615.5 * 46.0 / 11.0 / 60.0).abs() < 10.0, "{row:?}");
    let fast = without_gears.replace("present = \"1479\"", "present = \"1350\"");
    let fast = text(&paper(&folder, &fast, "fast", &["--document", "speed-card"]));
    assert!(!fast.contains("THE DIAL READS"), "{fast}");
    let unknown = text(&paper(
        &folder,
        "name = \"Unknown\"\n[tire]\nsize = \"LT275/75R17\"\n",
        "unknown",
        &["--document", "speed-card"],
    ));
    assert!(unknown.contains("not known yet: measure first"), "{unknown}");
}

#[test]
fn tires_are_compared_in_either_format() {
    let folder = folder("tires");
    let options = ["--document", "tires", "--tire", "31x10.50R15LT", "--tire", "LT265/75R16"];
    let found = text(&paper(&folder, &trucks::usual(), "tires", &options));
    assert!(found.contains("Truest with 1479 left stored: LT265/75R16"), "{found}");
    assert!(found.contains("LT275/75R17 (on it now)") && found.contains("LT265/75R16"));
    let html = folder.join("tires.html");
    let file = folder.join("tires.toml");
    waywiser(&[&["sheet", file.to_str().unwrap(), "--out", html.to_str().unwrap()], &options[..]].concat());
    let html = std::fs::read_to_string(html).unwrap();
    assert!(html.contains("31x10.50R15LT") && !html.contains("Write down when done"));
}

fn record(garage: &Path, kind: &str, more: &[&str]) {
    let garage = ["--garage", garage.to_str().unwrap()];
    waywiser(&[&["record", "add", kind, "--vehicle", "The green hauler"], more, &garage[..]].concat());
}

#[test]
fn history_and_door_frame_come_from_the_record() {
    let folder = folder("record");
    let garage = folder.join("garage");
    record(&garage, "vehicle", &["--value", "1479", "--field", "writes_left=5"]);
    record(&garage, "odometer", &["--odometer", "128000 mi"]);
    record(&garage, "estimate", &["--value", "0.957 +/- 0.001"]);
    record(&garage, "write", &["--value", "1416", "--odometer", "128406.3 mi"]);
    record(&garage, "proof", &["--text", "us-393.82", "--value", "conforms"]);
    record(&garage, "odometer", &["--odometer", "129000 mi"]);
    let place = ["--garage", garage.to_str().unwrap()];
    let head = waywiser(&[&["record", "check", "--json"], &place[..]].concat());
    let head: serde_json::Value = serde_json::from_str(&head).unwrap();
    let of = |kind: &str| {
        let options = [&["--document", kind], &place[..]].concat();
        text(&paper(&folder, &trucks::usual(), kind, &options))
    };
    let history = of("history");
    assert!(history.contains(head["head"].as_str().unwrap()), "{history}");
    assert!(history.contains("The whole record held 6 entries") && history.contains("us-393.82 conforms"));
    // Along the line of time, with the number by which the record knows it.
    assert!(history.contains("Write (no. 4)") && history.contains("Proof (no. 5)"), "{history}");
    // 406.3 / 0.957 + 593.7 / (0.957 x 1479 / 1416) = 1018.5
    assert!(history.contains("It truly went 1018."), "{history}");
    let label = of("door-frame");
    assert!(label.contains("Setting stored 1416") && label.contains("Odometer then 128406.3 mi"), "{label}");
    assert!(label.contains("Writes left 4") && label.contains("conforms against us-393.82"));
}

#[test]
fn an_odometer_that_lost_its_total_gets_a_notice() {
    let folder = folder("notice");
    let garage = folder.join("garage");
    record(&garage, "odometer", &["--odometer", "128000 mi"]);
    let fields = ["--text", "odometer", "--odometer", "0 mi", "--field", "odometer_before=128100 mi"];
    record(&garage, "equipment", &fields);
    let options = ["--document", "door-frame", "--garage", garage.to_str().unwrap()];
    let label = text(&paper(&folder, &trucks::usual(), "label", &options));
    assert!(label.contains("Mileage before repair: 128100 mi. Date of repair:"), "{label}");
}
