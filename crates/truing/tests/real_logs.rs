//! Recorded logs read whole: counts, times, holes, steps. What the files are stands in `data/SOURCES.md`; the expected
//! figures were counted from them with a script of ten lines, apart from these readers.

use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Clock, Track, VehicleLog};
use truing::problem::Problem;

/// A prime, so that chunks end everywhere.
const CHUNK_BYTES: usize = 4093;

fn track(bytes: &[u8], chosen: &str) -> (Track, Vec<Problem>) {
    let mut reader = TrackReader::new("track", CsvOptions::parse(chosen).expect("a choice of columns"));
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

fn vehicle_log(bytes: &[u8], chosen: &str) -> (VehicleLog, Vec<Problem>) {
    let mut reader =
        VehicleLogReader::new("vehicle log", CsvOptions::parse(chosen).expect("a choice of columns"));
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

/// First and last time, and the longest span between neighbours, in seconds.
fn times(times_s: &[f64]) -> (f64, f64, f64) {
    let longest = times_s.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    (times_s[0], times_s[times_s.len() - 1], longest)
}

fn check_times(found_s: &[f64], expected_s: (f64, f64, f64)) {
    let found = times(found_s);
    for (found, expected) in [(found.0, expected_s.0), (found.1, expected_s.1), (found.2, expected_s.2)] {
        assert!((found - expected).abs() < 1e-6, "{found} {expected}");
    }
}

fn check_track(bytes: &[u8], chosen: &str, fixes: usize, clock: Clock, expected_s: (f64, f64, f64)) -> Track {
    let (track, problems) = track(bytes, chosen);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!((track.fixes.len(), track.clock), (fixes, clock));
    let found_s: Vec<f64> = track.fixes.iter().filter_map(|fix| fix.time.map(|time| time.s())).collect();
    check_times(&found_s, expected_s);
    track
}

fn check_log(
    bytes: &[u8],
    chosen: &str,
    samples: usize,
    clock: Clock,
    expected_s: (f64, f64, f64),
) -> VehicleLog {
    let (log, problems) = vehicle_log(bytes, chosen);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!((log.samples.len(), log.clock), (samples, clock));
    let found_s: Vec<f64> = log.samples.iter().map(|sample| sample.time.s()).collect();
    check_times(&found_s, expected_s);
    log
}

const CITY_1: &[u8] = include_bytes!("data/two-cities-1.csv");
const CITY_2: &[u8] = include_bytes!("data/two-cities-2.csv");

#[test]
fn two_cities() {
    let first = (331_955.6, 334_458.8, 0.2);
    let second = (67_193.6, 71_393.8, 622.2);
    for (bytes, rows, expected_s) in [(CITY_1, 12_517, first), (CITY_2, 17_892, second)] {
        let log = check_log(bytes, "speed=obd_speed m/s", rows, Clock::Elapsed, expected_s);
        assert!((log.interval.unwrap().s() - 0.2).abs() < 1e-9);
        assert!((log.step.unwrap().km_per_h() - 1.0).abs() < 1e-9);
        check_track(bytes, "speed=ref_vf m/s", rows, Clock::Elapsed, expected_s);
    }
}

/// The figure of the source's description (indicated over true, summed above 5 m/s true) comes out of what was read.
#[test]
fn two_cities_by_sums() {
    for bytes in [CITY_1, CITY_2] {
        let (log, track) = (vehicle_log(bytes, "speed=obd_speed m/s").0, track(bytes, "speed=ref_vf m/s").0);
        let (mut indicated, mut true_sum) = (0.0, 0.0);
        for (sample, fix) in log.samples.iter().zip(track.fixes.iter()) {
            let true_m_per_s = fix.speed.unwrap().m_per_s();
            if true_m_per_s > 5.0 {
                indicated += sample.speed.m_per_s();
                true_sum += true_m_per_s;
            }
        }
        // 0.9941 by an independent reckoning over the same mask.
        assert!((indicated / true_sum - 0.9941).abs() < 0.00005, "{}", indicated / true_sum);
    }
}

#[test]
fn a_speed_without_unit_is_refused() {
    let (log, problems) = vehicle_log(CITY_1, "");
    assert!(log.samples.is_empty());
    assert_eq!(problems.len(), 1);
    assert!(problems[0].is_error() && problems[0].found.contains("\"obd_speed\""), "{problems:?}");
    let (_, problems) = track(CITY_1, "");
    assert!(problems[0].found.contains("only \"obd_speed\""), "{problems:?}");
}

#[test]
fn two_clocks() {
    let start_s = 1_558_467_126.0;
    let log = check_log(
        include_bytes!("data/two-clocks-1-vehicle.csv"),
        "",
        11_579,
        Clock::Absolute,
        (start_s + 0.22, start_s + 1146.191, 0.3),
    );
    assert!((log.step.unwrap().km_per_h() - 1.0).abs() < 1e-9);
    assert!((log.interval.unwrap().s() - 0.096).abs() < 1e-6);
    let track = check_track(
        include_bytes!("data/two-clocks-1-track.csv"),
        "",
        1_148,
        Clock::Absolute,
        (start_s + 0.464, start_s + 1145.484, 1.438),
    );
    assert!(track.fixes.iter().all(|fix| fix.latitude.is_some() && fix.speed.is_some()));
    assert!((track.fixes.get(0).unwrap().latitude.unwrap().deg() - 41.658035).abs() < 1e-12);
}

#[test]
fn two_clocks_short() {
    let start_s = 1_558_739_321.0;
    let vehicle = include_bytes!("data/two-clocks-2-vehicle.csv");
    let log = check_log(vehicle, "", 487, Clock::Absolute, (start_s + 0.455, start_s + 134.675, 0.636));
    assert!((log.step.unwrap().km_per_h() - 1.0).abs() < 1e-9);
    let track = include_bytes!("data/two-clocks-2-track.csv");
    check_track(track, "", 135, Clock::Absolute, (start_s + 0.535, start_s + 134.56, 1.386));
}

#[test]
fn short_drive() {
    // 2020-12-18T06:15:50Z to 06:24:24Z.
    let expected_s = (1_608_272_150.0, 1_608_272_664.0, 49.0);
    let track = check_track(include_bytes!("data/short-drive.gpx"), "", 104, Clock::Absolute, expected_s);
    let starts: Vec<usize> =
        (0..104).filter(|&index| track.fixes.get(index).unwrap().starts_segment).collect();
    assert_eq!(starts, [0]);
    assert!(track.fixes.iter().all(|fix| fix.speed.is_none() && fix.elevation.is_some() && fix.line == 1));
    assert!((track.fixes.get(103).unwrap().longitude.unwrap().deg() - 13.7139970623).abs() < 1e-12);
}

#[test]
fn a_track_is_no_vehicle_log() {
    let (log, problems) = vehicle_log(include_bytes!("data/short-drive.gpx"), "");
    assert!(log.samples.is_empty());
    assert!(problems[0].is_error() && problems[0].hint.contains("give it as the track"), "{problems:?}");
}

/// No problem told of a track, however damaged, may hold one of its coordinates.
#[test]
fn problems_hold_no_coordinates() {
    let whole = include_str!("data/short-drive.gpx");
    let damaged = [
        whole[..9000].to_owned(),
        whole.replace("45.2", "x45.2"),
        whole.replace("lon=", "lo="),
        whole.replace("lat=\"45.2", "lat=\"145.2"),
        include_str!("data/two-clocks-1-track.csv").replace("41.6", "941.6"),
        // Cells one place off: coordinates stand where speeds and times belong.
        include_str!("data/two-clocks-1-track.csv")
            .replace("epoch_ms,lat,lon,speed_m_s", "epoch_ms,x,speed_m_s,z"),
        include_str!("data/two-clocks-1-track.csv")
            .replace("epoch_ms,lat,lon,speed_m_s", "x,time,speed_kmh,z"),
        include_str!("data/two-clocks-1-track.csv").replace("epoch_ms,lat,lon,speed_m_s\n", ""),
    ];
    for text in &damaged[..4] {
        assert_ne!(text, whole);
    }
    for (index, text) in damaged.iter().enumerate() {
        let (_, problems) = track(text.as_bytes(), "");
        assert!(!problems.is_empty(), "{index}");
        let told = format!("{problems:?}");
        for coordinate in ["45.2", "13.7", "41.6", "-91.5"] {
            assert!(!told.contains(coordinate), "{index}: {told}");
        }
    }
}
