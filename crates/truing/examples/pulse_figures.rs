//! How fast pulses are found, and in how much memory: `cargo run --release -p truing --example pulse_figures`.
//!
//! Two minutes of a coil's wave that sweeps from 20 to 2000 Hz and back, at 48 kHz, one thread. The same file then goes
//! through `pulses_in_numpy.py`, in the same run, where `python3` (or what `PYTHON` names) has numpy and scipy. Then
//! recordings of up to two hours go through, each in a program of its own, which says the most memory that it held.

#![expect(clippy::print_stdout, reason = "a table is what this is for")]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a measurement that cannot go on may stop"
)]

use metrology::pulse::Detector;
use std::f64::consts::PI;
use std::process::Command;
use truing::logs::recording::{Piece, RecordingOptions, RecordingReader};
use truing::measure::pulses::Listener;

const RATE_HZ: f64 = 48_000.0;
const LOW_HZ: f64 = 20.0;
const HIGH_HZ: f64 = 2000.0;
/// One sweep up and down.
const SWEEP_S: f64 = 120.0;
const RUNS: usize = 5;
const CHUNK_BYTES: usize = 1 << 16;
const LENGTHS_S: [u32; 3] = [120, 1200, 7200];

fn main() {
    match std::env::args().nth(1).and_then(|seconds| seconds.parse().ok()) {
        Some(seconds) => memory(seconds),
        None => {
            speed();
            println!("\n| recording | pulses | processor time | most memory held |\n|---|---|---|---|");
            for seconds in LENGTHS_S {
                let own = std::env::current_exe().unwrap();
                assert!(Command::new(own).arg(seconds.to_string()).status().unwrap().success());
            }
        }
    }
}

/// A WAV file, 16 bit, mono.
fn header(samples: u64) -> Vec<u8> {
    let (rate, bytes) = (RATE_HZ as u32, 2 * samples as u32);
    let mut head = b"RIFF".to_vec();
    head.extend((36 + bytes).to_le_bytes());
    head.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    head.extend([rate.to_le_bytes(), (2 * rate).to_le_bytes()].concat());
    head.extend(b"\x02\0\x10\0data");
    head.extend(bytes.to_le_bytes());
    head
}

/// Sample of the wave: the frequency is `LOW + (HIGH - LOW) sin²(π t / SWEEP)`, its integral the phase.
fn sample(index: u64) -> i16 {
    let time_s = index as f64 / RATE_HZ;
    let turn = 2.0 * PI * time_s / SWEEP_S;
    let share = 0.5 * (1.0 - turn.cos());
    let cycles = LOW_HZ * time_s + (HIGH_HZ - LOW_HZ) * 0.5 * (time_s - SWEEP_S / (2.0 * PI) * turn.sin());
    let amplitude = (LOW_HZ + (HIGH_HZ - LOW_HZ) * share) / HIGH_HZ;
    (-30_000.0 * amplitude * (2.0 * PI * cycles).cos()) as i16
}

fn speed() {
    let samples = (SWEEP_S * RATE_HZ) as u64;
    let bytes: Vec<u8> =
        header(samples).into_iter().chain((0..samples).flat_map(|i| sample(i).to_le_bytes())).collect();
    let path = std::env::temp_dir().join("waywiser-sweep.wav");
    std::fs::write(&path, &bytes).unwrap();
    let listening = (0..RUNS).map(|_| timed(|| edges(&bytes))).reduce(faster).unwrap();
    let whole = (0..RUNS).map(|_| timed(|| listened(&bytes))).reduce(faster).unwrap();
    println!(
        "{SWEEP_S} s of sound at {RATE_HZ} Hz, processor time of one thread, the fastest of {RUNS} runs\n"
    );
    println!("| job | time | times real time | rising edges |\n|---|---|---|---|");
    let row = |job: &str, (time_s, edges): (f64, u64)| {
        println!("| {job} | {time_s:.2} s | {:.0} | {edges} |", SWEEP_S / time_s);
    };
    row("edges found and counted", listening);
    row("the same, and the ring looked for", whole);
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/pulses_in_numpy.py");
    let python = std::env::var("PYTHON").unwrap_or("python3".to_string());
    let said = (0..RUNS).map(|_| Command::new(&python).arg(script).arg(&path).output()).collect::<Vec<_>>();
    let read = |out: &std::io::Result<std::process::Output>| {
        let text = String::from_utf8(out.as_ref().ok()?.stdout.clone()).ok()?;
        let (time, edges) = text.trim().split_once(' ')?;
        Some((time.parse::<f64>().ok()?, edges.parse::<u64>().ok()?))
    };
    match said.iter().filter_map(read).reduce(faster) {
        Some(theirs) => {
            row("edges found by array libraries", theirs);
            println!("\nratio of times, ours over theirs: {:.2}", listening.0 / theirs.0);
        }
        None => println!("\nnot compared: `{python}` has no numpy and scipy here; name another with PYTHON"),
    }
}

fn faster(one: (f64, u64), other: (f64, u64)) -> (f64, u64) {
    if one.0 <= other.0 { one } else { other }
}

fn timed(work: impl FnOnce() -> u64) -> (f64, u64) {
    let before_s = processor_s();
    let edges = work();
    (processor_s() - before_s, edges)
}

/// Rising edges of a recording, and nothing else.
fn edges(bytes: &[u8]) -> u64 {
    let (mut detector, mut rising) = (Detector::new(RATE_HZ), 0);
    fed(bytes, &mut |piece| {
        if let Piece::Samples { values, .. } = piece {
            detector.feed(values, &mut |edge| rising += u64::from(edge.rising));
        }
    });
    detector.finish(&mut |edge| rising += u64::from(edge.rising));
    rising
}

/// All that is said of a recording.
fn listened(bytes: &[u8]) -> u64 {
    let mut listener = Listener::default();
    fed(bytes, &mut |piece| listener.take(piece));
    listener.finish().pulses
}

fn fed(bytes: &[u8], take: &mut dyn FnMut(Piece)) {
    let mut reader = RecordingReader::new("sweep", RecordingOptions::default());
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk, take));
    assert_eq!(reader.finish(take), []);
}

/// Feeds a recording that is made on the way, so that nothing but the reading takes memory.
fn memory(seconds: u32) {
    let samples = u64::from(seconds) * RATE_HZ as u64;
    let mut listener = Listener::default();
    let mut reader = RecordingReader::new("sweep", RecordingOptions::default());
    reader.feed(&header(samples), &mut |piece| listener.take(piece));
    let mut chunk = Vec::with_capacity(CHUNK_BYTES);
    let mut spent_s = 0.0;
    for index in 0..samples {
        chunk.extend(sample(index).to_le_bytes());
        if chunk.len() == CHUNK_BYTES || index + 1 == samples {
            let before_s = processor_s();
            reader.feed(&chunk, &mut |piece| listener.take(piece));
            spent_s += processor_s() - before_s;
            chunk.clear();
        }
    }
    assert_eq!(reader.finish(&mut |piece| listener.take(piece)), []);
    let found = listener.finish();
    println!("| {seconds} s | {} | {spent_s:.1} s | {} |", found.pulses, most_memory());
}

/// Of this thread, as Linux tells it in nanoseconds; elsewhere the clock on the wall.
fn processor_s() -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    let wall = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    nanoseconds.map_or(wall.map_or(0.0, |wall| wall.as_secs_f64()), |nanoseconds| 1e-9 * nanoseconds)
}

fn most_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or("not told here".to_string(), |kilobytes| kilobytes.trim().to_string())
}
