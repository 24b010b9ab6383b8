//! Tables of times, ours beside another way in the same run: `drives`, `readers`, `distances`, or all of them. See
//! `Cargo.toml` for what it is apart from.

mod drive;
mod others;
mod ours;
mod texts;

use geographiclib_rs::{Geodesic, InverseGeodesic};
use metrology::geodesy::{Position, distance};
use std::fs;
use std::hint::black_box;
use std::time::Instant;

/// Every loop is timed so often; the fastest counts, because others were disturbed.
const RUNS: usize = 7;
const SIZES_BYTES: [usize; 2] = [5 << 20, 50 << 20];
/// Lengths of the drives (h), the last of them the one there is a limit for.
const HOURS: [f64; 4] = [1.25, 2.5, 5.0, 10.0];
const STEPS: usize = 200_000;

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).collect();
    let is_asked = |part: &str| asked.is_empty() || asked.iter().any(|word| word == part);
    // First, so that nothing else is in the peak.
    if is_asked("drives") {
        drives();
    }
    if is_asked("readers") {
        readers();
    }
    if is_asked("distances") {
        distances();
    }
}

/// Seconds this thread has worked, where the system says it (a busy machine does not count then), else on the clock since
/// `start`.
fn seconds(start: Instant) -> f64 {
    let worked = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let worked_ns = worked.and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok());
    worked_ns.map_or_else(|| start.elapsed().as_secs_f64(), |ns| ns / 1e9)
}

/// Mean time of some runs, one after the other.
fn mean_s(runs: usize, run: &mut dyn FnMut() -> usize) -> f64 {
    let clock = Instant::now();
    let start_s = seconds(clock);
    let count = (0..runs).map(|_| black_box(run())).min();
    // A time in which nothing was done is no time.
    if count > Some(0) { (seconds(clock) - start_s) / runs as f64 } else { f64::NAN }
}

fn fastest_s(mut run: impl FnMut() -> usize) -> f64 {
    fastest_of_s(1, &mut [&mut run])[0]
}

/// The fastest of each. They take turns, so that what disturbs one disturbs all.
fn fastest_of_s(runs_each: usize, all: &mut [&mut dyn FnMut() -> usize]) -> Vec<f64> {
    let mut fastest = vec![f64::INFINITY; all.len()];
    for _ in 0..RUNS {
        for (best, run) in fastest.iter_mut().zip(all.iter_mut()) {
            let time_s = mean_s(runs_each, *run);
            // What is no number stays, to be seen.
            *best = if time_s >= *best { *best } else { time_s };
        }
    }
    fastest
}

type Read = fn(&[u8]) -> usize;

fn readers() {
    println!(
        "\n| format | MB | ours MB/s | beside | its MB/s | our time over its |\n|---|--:|--:|---|--:|--:|"
    );
    for size_bytes in SIZES_BYTES {
        let gpx: [(&str, Read); 3] = [
            ("events of quick-xml, read into a buffer", others::buffered_events),
            ("events of quick-xml, borrowed", others::borrowed_events),
            ("gpx", others::gpx_crate),
        ];
        let csv: [(&str, Read); 2] = [
            ("records of csv", others::bare_records),
            ("records and numbers of csv", others::numbers_of_records),
        ];
        let nmea: [(&str, Read); 2] = [("lines", others::bare_lines), ("nmea", others::nmea_crate)];
        row("GPX", &texts::gpx(size_bytes), ours::read_gpx, &gpx);
        row("CSV", &texts::csv(size_bytes), ours::read_csv, &csv);
        row("NMEA", &texts::nmea(size_bytes), ours::read_nmea, &nmea);
        row("candump", &texts::candump(size_bytes), ours::read_candump, &[("lines", others::bare_lines)]);
    }
}

fn row(format: &str, bytes: &[u8], ours: Read, others: &[(&str, Read)]) {
    let megabytes = bytes.len() as f64 / 1e6;
    let reads = std::iter::once(ours).chain(others.iter().map(|(_, read)| *read));
    let mut runs: Vec<_> = reads.map(|read| move || read(black_box(bytes))).collect();
    let mut runs: Vec<&mut dyn FnMut() -> usize> = runs.iter_mut().map(|run| run as _).collect();
    // The system counts in steps of some milliseconds: what is short is run more often.
    let times_s = fastest_of_s((SIZES_BYTES[1] / bytes.len()).max(1), &mut runs);
    for ((name, _), other_s) in others.iter().zip(&times_s[1..]) {
        let (ours, others, ratio) = (megabytes / times_s[0], megabytes / other_s, times_s[0] / other_s);
        println!("| {format} | {megabytes:.0} | {ours:.0} | {name} | {others:.0} | {ratio:.2} |");
    }
}

/// Pairs of places a step apart, all directions, latitudes 0 to 80 degrees.
fn pairs(step_m: f64) -> Vec<[f64; 4]> {
    let pair = |index: usize| {
        let (latitude, longitude) =
            (80.0 * (index as f64 * 0.618_034).fract(), (index as f64 * 0.414_214).fract());
        let direction = index as f64 * 2.399_963;
        let (north, east) = (step_m * direction.cos() / 111_000.0, step_m * direction.sin() / 111_000.0);
        [latitude, longitude, latitude + north, longitude + east / latitude.to_radians().cos()]
    };
    (0..STEPS).map(pair).collect()
}

fn distances() {
    println!(
        "\n| step | ours ns | general geodesic ns | times quicker | largest relative error |\n|---|--:|--:|--:|--:|"
    );
    let earth = Geodesic::wgs84();
    let general = |p: &[f64; 4]| -> f64 { earth.inverse(p[0], p[1], p[2], p[3]) };
    let ours = |p: &[f64; 4]| distance(Position::from_deg(p[0], p[1]), Position::from_deg(p[2], p[3])).m();
    for step_m in [1.0, 10.0, 30.0, 100.0, 1000.0] {
        let pairs = pairs(step_m);
        let time = |length: &dyn Fn(&[f64; 4]) -> f64| {
            fastest_s(|| black_box(pairs.iter().map(length).sum::<f64>()) as usize) / STEPS as f64 * 1e9
        };
        let (ours_ns, general_ns) = (time(&ours), time(&general));
        let error = |p: &[f64; 4]| (ours(p) / general(p) - 1.0).abs();
        let worst = pairs.iter().map(error).fold(0.0, f64::max);
        println!(
            "| {step_m} m | {ours_ns:.1} | {general_ns:.0} | {:.0} | {worst:.1e} |",
            general_ns / ours_ns
        );
    }
}

fn drives() {
    println!("| drive at 10 Hz | s | R | peak MB |\n|---|--:|--:|--:|");
    let mut seen = Vec::new();
    for hours in HOURS {
        let logs = drive::logs(hours);
        let mut ratio = f64::NAN;
        let time_s = fastest_s(|| {
            ratio = drive::whole(&logs).unwrap_or(f64::NAN);
            usize::from(ratio.is_finite())
        });
        println!("| {hours} h | {time_s:.2} | {ratio:.5} | {:.0} |", drive::peak_mb().unwrap_or(f64::NAN));
        seen.push((f64::ln(hours), time_s.ln()));
    }
    println!("\nTime goes with the {:.2}th power of the length.", slope(&seen));
}

/// Slope of the line of least squares.
fn slope(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (sxy, sxx) =
        points.iter().fold((0.0, 0.0), |(a, b), p| (a + (p.0 - x) * (p.1 - y), b + (p.0 - x).powi(2)));
    sxy / sxx
}
