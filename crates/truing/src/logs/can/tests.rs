use super::*;
use crate::logs::Series;
use metrology::quantity::Length;
use proptest::prelude::*;

fn read(bytes: &[u8], chunk_bytes: usize, signal: Option<&str>) -> (VehicleLog, Vec<Problem>) {
    let signal = signal.map(|text| CanSignal::parse(text).unwrap());
    let mut reader = CanReader::new("bus", CanOptions { signal });
    bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

fn check_told(text: &str, problems: &[Problem], told: &[&str]) {
    let all: Vec<String> = problems.iter().map(Problem::to_string).collect();
    assert_eq!(all.len(), told.len(), "{text}: {all:?}");
    for (problem, told) in all.iter().zip(told) {
        assert!(problem.contains(told), "{text}: {problem} should hold {told}");
    }
}

/// Speeds in km/h, and what is told.
fn check(frames: &[&str], expected_km_per_h: &[f64], told: &[&str]) -> VehicleLog {
    let line = |(index, frame): (usize, &&str)| format!("({}.5) can0 {frame}\n", 1_735_270_496 + index);
    let text: String = frames.iter().enumerate().map(line).collect();
    let (log, problems) = read(text.as_bytes(), 5, None);
    check_told(&text, &problems, told);
    let found: Vec<f64> = log.samples.iter().map(|sample| sample.speed.km_per_h()).collect();
    assert_eq!(found.len(), expected_km_per_h.len(), "{text}: {found:?}");
    assert!(
        found.iter().zip(expected_km_per_h).all(|(one, other)| (one - other).abs() < 1e-9),
        "{text}: {found:?}"
    );
    log
}

fn check_distance(log: &VehicleLog, label: &str, expected_km: f64) {
    let series: &Series<Length> = log.distances.iter().find(|series| series.label.contains(label)).unwrap();
    let km = series.readings[0].value.km();
    assert!((km - expected_km).abs() < 1e-6, "{label}: {km}");
}

#[test]
fn speeds_by_the_standards() {
    // 25600, 20480 and 15360 counts of 1/256 km/h, by hand.
    let log = check(
        &["18FEF100#FF0064FFFFFFFFFF", "18FEF100#FF0050FFFFFFFFFF", "18FEF100#FF003CFFFFFFFFFF"],
        &[100.0, 80.0, 60.0],
        &[],
    );
    assert_eq!((log.clock, log.samples[1].time.s()), (Clock::Absolute, 1_735_270_497.5));
    assert!((log.step.unwrap().km_per_h() * 256.0 - 1.0).abs() < 1e-12);
    let log = check(
        &["7DF#02010D", "7E8#03410D50AAAAAAAA", "18DAF110#03410D51"],
        &[80.0],
        &["one vehicle speed; found vehicle speed (OBD-II 0D) from 7E8 beside"],
    );
    assert!((log.step.unwrap().km_per_h() - 1.0).abs() < 1e-12);
    check(&["0CFE6CEE#FFFFFFFFFFFF0064"], &[100.0], &[]);
    check(
        &["18FEF100#FFFFFFFFFFFFFFFF", "18FEF100#FF00FEFF", "18FEF100#FF0064", "18FEF100#FF"],
        &[100.0],
        &["found \"not available\"", "found \"error\"", "shorter ones"],
    );
    // The highest value is 0xFAFF: 250.996 km/h.
    check(&["18FEF100#FFFFFAFFFFFFFFFF"], &[250.996_093_75], &[]);
}

#[test]
fn distances_and_shafts() {
    let log = check(
        &[
            "18FEC1EE#9DC278019DC27801",
            "18FEE0EE#FFFFFFFF6C0E0C00",
            "7E8#0641A60012D687",
            "0CF00203#FF0040FF",
            "7E8#03410D50",
        ],
        &[80.0],
        &["\"not available\""],
    );
    check_distance(&log, "SPN 917", 123_456.785);
    check_distance(&log, "SPN 918", 123_456.785);
    check_distance(&log, "SPN 245", 98_765.5);
    check_distance(&log, "OBD-II A6", 123_456.7);
    // 0x4000 counts of 0.125 per minute, by hand.
    assert!((log.shaft_speeds[0].readings[0].value.per_min() - 2048.0).abs() < 1e-9);
    assert_eq!(log.distances.len(), 4);
}

#[test]
fn what_holds_no_speed() {
    check(&["110#0011"], &[], &["found 1 frames with none that is known"]);
    check(
        &["18FEC1EE#9DC27801FFFFFFFF"],
        &[],
        &["\"not available\"", "found only high-resolution total distance"],
    );
    let (_, problems) = read(b"can0  7E8   [4]  03 41 0D 50\n", 9, None);
    check_told("no times", &problems, &["a time before each frame; found none"]);
    let deltas: String =
        (0..40).map(|index| format!("(0.{:06}) can0 7E8#03410D50\n", index * 7 % 5)).collect();
    check_told("spans", &read(deltas.as_bytes(), 9, None).1, &["these look like spans between frames"]);
}

#[test]
fn a_described_signal_comes_first() {
    let text = b"(1.0) can0 7E8#03410D50\n(2.0) can0 61D#0DA307D007D007D0\n(3.0) can0 61D#FFFF\n(4.0) can0 61D#0000\n";
    let (log, problems) =
        read(text, 3, Some("id=0x61D byte=0 length=16 order=big factor=0.02 offset=-40 unit=km/h"));
    check_told(
        "signal",
        &problems,
        &[
            "not available",
            "a speed from 0 to 500 m/s",
            "one vehicle speed; found the chosen signal from 61D",
        ],
    );
    assert_eq!((log.samples.len(), log.clock), (1, Clock::Elapsed));
    assert!((log.samples[0].speed.km_per_h() - 29.82).abs() < 1e-9);
}

proptest! {
    #[test]
    fn any_bytes_in_any_chunks(bytes in proptest::collection::vec(any::<u8>(), 0..400), chunk_bytes in 1usize..40) {
        prop_assert_eq!(read(&bytes, chunk_bytes, None), read(&bytes, 1 << 20, None));
    }

    #[test]
    fn any_frames_in_any_chunks(
        frames in proptest::collection::vec("(7E8|18FEF1EE|18FEC1EE|18DAF110|61D)##?[0-9A-F]{0,18}( R)?", 0..30),
        chunk_bytes in 1usize..40,
    ) {
        let line = |(index, frame): (usize, &String)| format!("({index}.25) can0 {frame}\r\n");
        let text: String = frames.iter().enumerate().map(line).collect();
        let signal = Some("id=0x61D byte=1 length=12 order=little signed=yes unit=m/s");
        let whole = read(text.as_bytes(), 1 << 20, signal);
        prop_assert!(whole.0.samples.iter().all(|sample| (0.0..=500.0).contains(&sample.speed.m_per_s())));
        prop_assert_eq!(read(text.as_bytes(), chunk_bytes, signal), whole);
    }
}
