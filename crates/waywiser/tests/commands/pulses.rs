//! Recordings of pulses, and signals for the bench.

use super::{answer, folder, value, waywiser, write};
use std::path::Path;

/// Writes a signal and returns its answer.
fn bench(folder: &Path, more: &[&str], out: &str) -> serde_json::Value {
    let mut arguments = vec!["bench-signal", "--out", out];
    arguments.extend(more);
    answer(folder, &arguments)
}

#[test]
fn what_is_written_is_read_back() {
    let folder = folder("bench");
    let signals: [&[&str]; 5] = [
        &["--counts-per-mile", "8000", "--speed", "60 mph"],
        &["--counts-per-mile", "4000", "--speeds", "20,40,60mph", "--shape", "sensor", "--lasting", "3 s"],
        &[
            "--counts-per-km",
            "5000",
            "--from",
            "10 km/h",
            "--to",
            "110 km/h",
            "--shape",
            "sine",
            "--level",
            "1",
        ],
        &["--counts-per-mile", "128000", "--speed", "20 mph", "--ring-teeth", "96", "--missing-tooth", "12"],
        &["--counts-per-mile", "128000", "--speed", "20 mph", "--ring-teeth", "40", "--bent-tooth", "3"],
    ];
    for (index, signal) in signals.iter().enumerate() {
        for out in [format!("{index}.wav"), format!("{index}.csv")] {
            let written = bench(&folder, signal, &out);
            let read = answer(&folder, &["measure", "pulses", &out]);
            assert_eq!(read["pulses"], written["pulses"], "{signal:?} {out}: {read:#}");
            let difference = read["duration_s"].as_f64().unwrap() - written["duration_s"].as_f64().unwrap();
            assert!(difference.abs() < 3e-5, "{difference}");
        }
    }
    let damaged = answer(&folder, &["measure", "pulses", "3.wav"]);
    assert_eq!(
        (damaged["ring_teeth"].as_u64(), &damaged["faulty_teeth"]),
        (Some(96), &serde_json::json!([12]))
    );
    // Known by its fault alone: twice the teeth would look the same, and the probability says so.
    assert!((0.85..=0.9).contains(&damaged["ring_confidence"].as_f64().unwrap()), "{damaged}");
    // A ring without errors of its own shows nothing to count by.
    let even = answer(&folder, &["measure", "pulses", "0.wav"]);
    assert!(even["ring_teeth"].is_null() && even["ring_confidence"].is_null());
    assert!(even["unknowable"][0].as_str().unwrap().contains("spacing"));
}

#[test]
fn the_table_and_the_cautions() {
    let folder = folder("bench-table");
    let written = bench(&folder, &["--counts-per-mile", "4000", "--speed", "30 mph"], "a.wav");
    // 4000 per mile at 60 mph is 66.667 Hz by definition
    let row = written["table"].as_array().unwrap().iter().find(|row| row["speed_mph"] == 60.0).unwrap();
    assert!((row["frequency_hz"].as_f64().unwrap() - 4000.0 / 60.0).abs() < 1e-9);
    let said = waywiser(
        &folder,
        &["bench-signal", "--counts-per-mile", "4000", "--speed", "30 mph", "--out", "b.csv"],
    );
    for word in ["can move", "anti-lock", "Level", "Isolate", "66.67"] {
        assert!(said.out.contains(word), "{word}: {}", said.out);
    }
}

#[test]
fn counts_per_turn_and_per_mile() {
    let folder = folder("pulse-counts");
    bench(&folder, &["--counts-per-mile", "8000", "--speed", "60 mph", "--lasting", "15 s"], "a.csv");
    let turns = answer(&folder, &["measure", "pulses", "a.csv", "--turns", "20"]);
    // 15 s at 60 mph are a quarter mile: 2000 pulses
    assert!((value(&turns["counts_per_turn"]) - 100.0).abs() < 1e-9 && turns["counts_per_mile"].is_null());
    let mile = answer(&folder, &["measure", "pulses", "a.csv", "--distance", "0.25 mi +/- 0.001"]);
    assert!((value(&mile["counts_per_mile"]) - 8000.0).abs() < 1e-6);
    let frequency = &mile["frequency_hz"];
    for key in ["min", "median", "max"] {
        assert!((frequency[key].as_f64().unwrap() - 8000.0 / 60.0).abs() < 1e-3, "{frequency}");
    }
    let said = waywiser(&folder, &["measure", "pulses", "a.csv", "--turns", "20"]);
    assert!(said.out.contains("far exceed") && said.out.contains("anti-lock"), "{}", said.out);
}

#[test]
fn a_recording_is_evidence() {
    let folder = folder("pulse-evidence");
    bench(
        &folder,
        &["--counts-per-mile", "67000", "--speed", "60 mph", "--lasting", "30 s"],
        "half-mile.wav",
    );
    let truck = "name = \"The grey half-ton\"\n[tire]\npublished_revs_per_mile = 655\n[chain]\nsensor_at = \"axle-ring\"\n\
                 ring_teeth = [96, 102, 108]\n[[evidence]]\nkind = \"pulses\"\nfile = \"half-mile.wav\"\ndistance = \"0.5 mi\"\n";
    write(&folder, "truck.toml", truck);
    let fused = answer(&folder, &["measure", "vehicle", "truck.toml"]);
    assert_eq!(
        fused["evidence"].as_array().unwrap().iter().filter(|e| e["label"] == "pulses counted").count(),
        1
    );
    // 67 000 / 655 = 102.3: the ring of 102 teeth
    assert!(fused["hypotheses"][0]["label"].as_str().unwrap().contains("102"), "{fused:#}");
    let missing = truck.replace("half-mile.wav", "nowhere.wav");
    write(&folder, "missing.toml", &missing);
    assert_eq!(waywiser(&folder, &["measure", "vehicle", "missing.toml"]).code, 1);
}

/// A recording of a drive at four speeds, on a clock of its own, beside the speeds that a receiver gave.
#[test]
fn a_recording_beside_a_track_is_evidence() {
    let folder = folder("pulse-track");
    let speeds = ["--speeds", "20,50,30,60mph", "--lasting", "30 s"];
    bench(&folder, &[&["--counts-per-mile", "67000"], &speeds[..]].concat(), "drive.wav");
    let at = |second: usize| [20.0, 50.0, 30.0, 60.0][(second / 30).min(3)];
    let rows: Vec<String> = (0..120).map(|second| format!("{},{}", second + 5, at(second))).collect();
    write(&folder, "track.csv", &format!("time_s,speed_mph\n{}\n", rows.join("\n")));
    let alone = answer(&folder, &["measure", "pulses", "drive.wav", "--track", "track.csv"]);
    let counts = &alone["counts_per_mile"];
    let (low, high) = (counts["low_95"].as_f64().unwrap(), counts["high_95"].as_f64().unwrap());
    assert!(low < 67_000.0 && 67_000.0 < high && high - low < 2000.0, "{counts}");

    let truck = "name = \"The grey half-ton\"\n[tire]\npublished_revs_per_mile = 655\n[chain]\nsensor_at = \"axle-ring\"\n\
                 ring_teeth = [96, 102, 108]\n[[evidence]]\nkind = \"pulses\"\nfile = \"drive.wav\"\ntrack = \"track.csv\"\n";
    write(&folder, "truck.toml", truck);
    let fused = answer(&folder, &["measure", "vehicle", "truck.toml"]);
    // 67 000 / 655 = 102.3: the ring of 102 teeth
    assert!(fused["hypotheses"][0]["label"].as_str().unwrap().contains("102"), "{fused:#}");
    assert!((value(&fused["counts_per_mile"]) / 67_000.0 - 1.0).abs() < 0.01, "{fused:#}");
    write(&folder, "both.toml", &format!("{truck}distance = \"1 mi\"\n"));
    check_refused(&folder, &["measure", "vehicle", "both.toml"], 1, "exactly one of");
    write(&folder, "counted.toml", &truck.replace("file = \"drive.wav\"", "count = 67000"));
    check_refused(&folder, &["measure", "vehicle", "counted.toml"], 1, "file");
}

fn check_refused(folder: &Path, arguments: &[&str], code: i32, piece: &str) {
    let said = waywiser(folder, arguments);
    assert_eq!(said.code, code, "{arguments:?}: {}{}", said.out, said.err);
    assert!(said.err.contains(piece), "{piece}: {}", said.err);
}

#[test]
fn what_is_refused() {
    let folder = folder("pulse-refusals");
    write(&folder, "memo.m4a", "\0\0\0\u{20}ftypM4A ");
    write(&folder, "empty.csv", "");
    check_refused(&folder, &["measure", "pulses", "memo.m4a"], 1, "AAC-LC");
    check_refused(&folder, &["measure", "pulses", "empty.csv"], 1, "an empty file");
    check_refused(&folder, &["measure", "pulses", "none.wav"], 1, "no such file");
    check_refused(&folder, &["measure", "pulses", "a.wav", "--turns", "-3"], 1, "above 0");
    check_refused(&folder, &["measure", "pulses", "a.wav", "--turns", "three"], 2, "--turns");
    check_refused(&folder, &["measure", "pulses", "a.wav", "--turns=0"], 1, "above 0");
    let base = ["bench-signal", "--counts-per-mile", "4000", "--out"];
    check_refused(&folder, &[&base[..], &["a.mp3", "--speed", "9 mph"]].concat(), 1, ".wav or .csv");
    check_refused(&folder, &[&base[..], &["a.wav", "--speed", "1 mph"]].concat(), 1, "5 Hz");
    check_refused(&folder, &[&base[..], &["a.wav", "--speed", "60"]].concat(), 1, "--speed");
    check_refused(&folder, &[&base[..], &["a.wav"]].concat(), 2, "--speed");
    let fault =
        [&base[..], &["a.wav", "--speed", "60 mph", "--ring-teeth", "8", "--missing-tooth", "9"]].concat();
    check_refused(&folder, &fault, 1, "a tooth of a ring");
    assert!(!folder.join("a.wav").exists());
}
