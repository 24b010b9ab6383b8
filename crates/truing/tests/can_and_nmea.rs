//! Recorded sentences and frames read whole. What the files are stands in `data/SOURCES.md`; counts, times and sums were
//! taken from the files with a script of ten lines, apart from these readers.

use truing::logs::can::{CanOptions, CanSignal};
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Clock, VehicleLog};
use truing::problem::Problem;

/// A prime, so that chunks end everywhere.
const CHUNK_BYTES: usize = 4093;

const SENTENCES: &[u8] = include_bytes!("data/mixed-sentences.nmea");
const FRAMES: &[u8] = include_bytes!("data/one-minute-can.log");
const WHEEL: &[u8] = include_bytes!("data/one-minute-wheel.csv");

#[test]
fn mixed_sentences() {
    let mut reader = TrackReader::new("sentences", CsvOptions::default());
    SENTENCES.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    let (track, problems) = reader.finish();
    // 1307 RMC, 314 of them void; nothing else is wrong with the log.
    assert_eq!((track.fixes.len(), track.clock, problems.len()), (1307 - 314, Clock::Absolute, 1));
    assert!(problems[0].found.starts_with("314 sentences"), "{}", problems[0]);
    let times_s: Vec<f64> = track.fixes.iter().filter_map(|fix| fix.time.map(|time| time.s())).collect();
    // 2017-03-31T11:01:24Z and 11:19:07Z, by `date -u +%s`.
    assert_eq!((times_s[0], times_s[992]), (1_490_958_084.0, 1_490_959_147.0));
    assert_eq!(times_s.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max), 72.0);
    let speeds: Vec<f64> =
        track.fixes.iter().filter_map(|fix| fix.speed.map(|speed| speed.knots())).collect();
    assert!((speeds.iter().sum::<f64>() / 993.0 - 23.173_615_307).abs() < 1e-8);
    let whole =
        |fix: truing::logs::Fix| fix.latitude.is_some() && fix.elevation.is_some() && fix.hdop.is_some();
    assert!(track.fixes.iter().all(whole));
}

fn frames(signal: &str) -> (VehicleLog, Vec<Problem>) {
    let signal = Some(CanSignal::parse(signal).expect("a signal"));
    let mut reader =
        VehicleLogReader::new("frames", CsvOptions::default()).with_can_options(CanOptions { signal });
    FRAMES.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

/// The second of four wheels in one frame, against the values the publishers of the log decoded themselves.
#[test]
fn wheel_speeds_of_a_described_signal() {
    let (log, problems) = frames("id=0x0AA byte=2 length=16 order=big factor=0.01 offset=-67.67 unit=km/h");
    assert!(problems.is_empty(), "{problems:?}");
    let mut reader = VehicleLogReader::new("wheel", CsvOptions::parse("speed=fl_m_s m/s").expect("a column"));
    reader.feed(WHEEL);
    let (published, _) = reader.finish();
    assert_eq!((log.samples.len(), published.samples.len(), log.clock), (4974, 4974, Clock::Elapsed));
    for (found, expected) in log.samples.iter().zip(&published.samples) {
        assert!((found.time.s() - expected.time.s()).abs() < 1e-6);
        // The published values have six digits after the point.
        assert!((found.speed.m_per_s() - expected.speed.m_per_s()).abs() < 1e-6, "{found:?}");
    }
    let sum: f64 = log.samples.iter().map(|sample| sample.speed.m_per_s()).sum();
    assert!((sum / 4974.0 - 16.750_363_003).abs() < 1e-6);
    assert!((log.step.unwrap().km_per_h() - 0.01).abs() < 1e-12);
}

#[test]
fn frames_of_which_none_is_known() {
    let mut reader = VehicleLogReader::new("frames", CsvOptions::default());
    reader.feed(FRAMES);
    let (log, problems) = reader.finish();
    assert!(log.samples.is_empty());
    assert!(problems[0].is_error() && problems[0].found.contains("6537 frames"), "{}", problems[0]);
}
