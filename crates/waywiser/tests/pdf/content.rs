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
        let doing = sheet.doing.clone().unwrap();
        assert!(found.contains(&sheet.vehicle), "{name}: no name in {found}");
        assert!(sheet.headline.starts_with("Store ") && found.contains(&sheet.headline), "{found}");
        assert!(found.contains("Stored now: 1479. To be stored: "), "{found}");
        let steps: Vec<_> = doing
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
        .doing
        .unwrap()
        .steps
        .into_iter()
        .flat_map(|block| if let Block::Steps(steps) = block { steps } else { Vec::new() });
    let most = counts.flat_map(|step| step.ticks).map(|tick| tick.presses).max().unwrap();
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
    // Ten lines, the drive among them, which weighs most.
    assert!(twenty.contains("10 more weigh less than these") && twenty.contains("drive with"), "{twenty}");
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
    // Shown, truly, limit, hold at: a true 62.685 is 63; as a limit, 60 x 0.957 is 57.4, and by the low end
    // of 2.8 % 55.8, to be held at 55.
    assert!(slow.contains("60 63 60 55"), "{slow}");
    let words: Vec<&str> = slow.split_whitespace().collect();
    let row = |at: &&[&str]| at[0] == "60" && at[1].len() == 4;
    let row = words.windows(2).find(row).unwrap_or_else(|| panic!("no engine speed for 60 mph: {slow}"));
    let true_mph = 60.0 / RATIO_BEFORE;
    // 62.685 mph x 615.5 rev/mi x 46/11 / 60 min = 2689 rpm, to the next ten.
    let rpm = row[1].parse::<f64>().unwrap();
    assert!((rpm - true_mph * 615.5 * 46.0 / 11.0 / 60.0).abs() < 10.0, "{row:?}");
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
    let bare = history.replace(' ', "");
    assert!(bare.contains(head["head"].as_str().unwrap()), "{history}");
    assert!(history.contains("The whole record held 6 entries") && history.contains("us-393.82 conforms"));
    // Along the line of time, with the number by which the record knows it.
    assert!(history.contains("Write (no. 4)") && history.contains("Proof (no. 5)"), "{history}");
    // 406.3 / 0.957 + 593.7 / (0.957 x 1479 / 1416) = 1018.5
    assert!(history.contains("It truly went 1018."), "{history}");
    let label = of("door-frame");
    assert!(label.contains("Set to 1416") && label.contains("Odometer then 128406.3 mi"), "{label}");
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

/// Words of a step that takes back what the one before it did.
const TAKES_BACK: [&str; 7] =
    ["back out", "go back", "Go back", "refit", "without confirming", "as it was", "as you wrote them down"];

#[test]
fn no_step_with_a_box_undoes_the_one_before_it() {
    let mut beside = 0;
    for (name, vehicle) in trucks::all() {
        let Some(doing) = demo::sheet(&vehicle, Units::Us).doing else { continue };
        let steps = doing.steps.iter().flat_map(|block| match block {
            Block::Steps(steps) => steps.as_slice(),
            _ => &[],
        });
        for step in steps {
            assert!(!TAKES_BACK.iter().any(|words| step.text.contains(words)), "{name}: {}", step.text);
            for otherwise in &step.otherwise {
                assert!(otherwise.starts_with("If ") && otherwise.contains(':'), "{name}: {otherwise}");
                assert!(
                    TAKES_BACK.iter().any(|words| otherwise.contains(words)) || otherwise.contains("set "),
                    "{otherwise}"
                );
                beside += 1;
            }
        }
    }
    assert!(beside > 8, "only {beside} ways back on all sheets");
}

/// What no paper shows: flags, commands, kinds as the file writes them, empty values.
const NEVER: [&str; 16] = [
    "`",
    " --",
    "waywiser measure",
    "waywiser record",
    "waywiser set",
    "not known which number",
    "a number not known",
    "stepped-constant",
    "free-constant",
    "gear-pair",
    "pulse-ratio",
    "declared-tire-axle",
    "cable-adapter",
    "tone-ring",
    "None.",
    "()",
];

#[test]
fn no_paper_speaks_of_flags_commands_or_kinds() {
    let folder = folder("never");
    let garage = folder.join("garage");
    let place = ["--garage", garage.to_str().unwrap()];
    for (name, vehicle) in trucks::all() {
        for document in ["job", "measuring", "proof", "speed-card", "history", "door-frame", "sale"] {
            let options = [&["--document", document][..], &place].concat();
            let found = text(&paper(&folder, &vehicle, name, &options));
            for never in NEVER {
                assert!(!found.contains(never), "{name} {document}: {never} in {found}");
            }
            assert!(!found.contains(" 1 writes"), "{name} {document}: {found}");
        }
    }
}

#[test]
fn every_adjuster_has_a_sheet_in_its_own_words() {
    let folder = folder("own-words");
    let check = |name: &str, says: &[&str], never: &[&str]| {
        let all = trucks::each_adjuster();
        let (_, vehicle) = all.iter().find(|(other, _)| *other == name).unwrap();
        let found = text(&paper(&folder, vehicle, name, &[]));
        says.iter().for_each(|words| assert!(found.contains(words), "{name}: {words} is not in {found}"));
        never.iter().for_each(|words| assert!(!found.contains(words), "{name}: {words} in {found}"));
    };
    check(
        "gears",
        &["Fit the gears 8/20 (drive/driven).", "in place of 18"],
        &["Stored now", "To be stored"],
    );
    check(
        "switches",
        &["1 (1) on, 2 (2) on, 3 (4) off, 4 (8) off, 5 (16) off, 6 (32) off, 7 (64) on"],
        &["Stored now", "Press"],
    );
    check("ratio", &["Set the conditioner to 25/24."], &["Stored now"]);
    check(
        "adapter",
        &["Fit the adapter 26/25.", "no adapter"],
        &["Undo the cable at the adapter", "refit 1/1"],
    );
    check("ring", &["Fit the ring with 98 teeth."], &["Stored now"]);
    check("constant", &["Stored now: 62000.", "Writes left before this one: 3."], &["pulses-per-mile"]);
    check("tires", &["Fitted now: LT235/85R16."], &["Stored now"]);
}

#[test]
fn the_sheet_is_what_set_says() {
    let folder = folder("as-set");
    let routine = folder.join("routine.txt");
    std::fs::write(&routine, "Wake the box.\n{pressing}\n? It shows {target_display}.\n< If not: pull the plug.\n! Store {target}.\n").unwrap();
    let options = ["--to", "1440", "--procedure", routine.to_str().unwrap(), "--shows", "1470"];
    let found = text(&paper(&folder, &trucks::usual(), "asked", &options));
    let file = folder.join("asked.toml");
    let said = waywiser(&[&["set", file.to_str().unwrap()], &options[..]].concat());
    for words in
        ["Wake the box.", "Press the button that counts down 10 times, to 1440.", "If not: pull the plug."]
    {
        assert!(one_line(&said).contains(words), "{words} is not in {said}");
        assert!(found.contains(words), "{words} is not in {found}");
    }
    assert!(found.contains("Store 1440.") && !found.contains("Make sure the supply is steady"), "{found}");
    let html = folder.join("asked.html");
    waywiser(&[&["sheet", file.to_str().unwrap(), "--out", html.to_str().unwrap()], &options[..]].concat());
    let html = std::fs::read_to_string(html).unwrap().replace('\u{a0}', " ");
    assert!(
        html.contains("Wake the box.") && html.contains("Store 1440.") && html.contains("As of 2026-05-02"),
        "{html}"
    );
    // A value that reads worse is asked for twice, as by `set`.
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_waywiser"))
        .args(["sheet", file.to_str().unwrap(), "--to", "1800", "--force", "--out"])
        .arg(folder.join("worse.pdf"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
}

#[test]
fn letters_that_cannot_be_printed_are_said_before_printing() {
    let folder = folder("letters");
    let file = folder.join("letters.toml");
    std::fs::write(&file, trucks::faults_and_letters()).unwrap();
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_waywiser"))
        .args(["sheet", file.to_str().unwrap(), "--force", "--out"])
        .arg(folder.join("letters.pdf"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && said.contains('\u{4e2d}') && said.contains("web page"), "{said}");
}
