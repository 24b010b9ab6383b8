//! Files of cues, whole and damaged.

use super::*;
use proptest::prelude::*;

fn read(text: &str, chunk_bytes: usize) -> (Track, Vec<String>) {
    let mut reader = SubtitleReader::new("drive.srt");
    text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    let (track, problems) = reader.finish();
    (track, problems.iter().map(Problem::to_string).collect())
}

fn check(text: &str, times_s: &[f64], clock: Clock, told: &[&str]) -> Track {
    let (track, problems) = read(text, 13);
    let found: Vec<f64> = track.fixes.iter().filter_map(|fix| fix.time).map(|time| time.s()).collect();
    assert_eq!((found.as_slice(), track.clock), (times_s, clock), "{text}: {problems:?}");
    assert_eq!(problems.len(), told.len(), "{problems:?}");
    assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
    track
}

fn cue(number: usize, start: &str, text: &str) -> String {
    format!("{number}\r\n{start} --> 00:10:00,000\r\n{text}\r\n\r\n")
}

/// 2019-05-24T11:50:21Z by `date -u +%s`.
const MOMENT_S: f64 = 1_558_698_621.0;

#[test]
fn times_of_the_film() {
    let text = [
        cue(1, "00:00:01,000", "N48.25 E11.5 52 km/h"),
        cue(2, "00:00:01,500", "no signal"),
        cue(3, "00:01:02,250", "50 km/h"),
    ];
    let track = check(&text.concat(), &[1.0, 62.25], Clock::Elapsed, &[]);
    let fix = track.fixes.get(0).unwrap();
    assert!((fix.speed.unwrap().km_per_h() - 52.0).abs() < 1e-9 && fix.line == 2 && fix.starts_segment);
    assert_eq!(fix.latitude.unwrap().deg(), 48.25);
    let vtt = "WEBVTT\n\n00:01.000 --> 00:02.000 align:start\nlat: 48.25 lon: 11.5\n\n00:02.000 --> 00:03.000\nlat: 48.25 lon: 11.5\n";
    check(vtt, &[1.0, 2.0], Clock::Elapsed, &[]);
}

#[test]
fn times_of_the_text() {
    let at = |second: usize| format!("2019-05-24 11:50:{second}\nSpeed: 32 mph");
    let text = [
        cue(1, "00:00:00,000", "32 mph"),
        cue(2, "00:00:01,000", &at(21)),
        cue(3, "00:00:01,500", &at(21)),
        cue(4, "00:00:02,000", &at(22)),
        cue(5, "00:00:02,500", "32 mph"),
    ];
    let times = [-1.0, 0.0, 0.5, 1.0, 1.5].map(|second| MOMENT_S + second);
    check(&text.concat(), &times, Clock::Absolute, &["a time with its zone"]);
}

#[test]
fn damaged_and_other_files() {
    let one = cue(1, "00:00:01,000", "N48.25 E11.5");
    check(&format!("{one}2\r\n00:00:02,0"), &[1.0], Clock::Elapsed, &[]);
    check(&cue(1, "00:00:01,000", "Turn left here."), &[], Clock::None, &["found 1 cues without one"]);
    check(&cue(1, "00:00:01,000", "N0.0 E0.0"), &[], Clock::None, &["cues with a position"]);
    check(
        &cue(1, "00:00:01,000", "Speed 52 N48.25 E11.5"),
        &[1.0],
        Clock::Elapsed,
        &["the unit of the speed"],
    );
    check(
        &cue(1, "00:00:01,000", "GPS 48.25000 11.50000"),
        &[1.0],
        Clock::Elapsed,
        &["which number is the latitude"],
    );
    let endless = format!("{one}2\n00:00:02,000 --> 00:00:03,000\n{}", "52 km/h \n".repeat(100_000));
    check(&endless, &[1.0, 2.0], Clock::Elapsed, &[]);
    for line in ["-->", "1 --> 2", "00:00:01,000 -->", "a:b:c --> 1", "00:00:1e9 --> 1"] {
        assert_eq!(cue_start_s(line), None, "{line}");
    }
}

proptest! {
    #[test]
    fn any_lines_in_any_chunks(
        lines in proptest::collection::vec(prop_oneof![
            Just("00:00:01,000 --> 00:00:02,000".to_owned()), Just("N48.25 E11.5".to_owned()), "\\PC{0,30}",
            Just("2019-05-24 11:50:21".to_owned()), Just("52 km/h".to_owned()),
        ], 0..30),
        chunk_bytes in 1usize..40,
    ) {
        let text = lines.join("\n");
        prop_assert_eq!(read(&text, chunk_bytes), read(&text, 1 << 20));
    }
}
