//! Figures of the ledger on this machine, measured by hand and in release; nothing else is asserted about time:
//! `cargo test --release -p waywiser --test figures -- --ignored --nocapture`.
//!
//! 100 000 entries of one vehicle: how long a check, the state of the vehicle and the adding of one entry take. Beside
//! the last stands the floor: how long this disk takes to keep one block.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "what is measured is the clock and the disk"
)]

use std::io::{Seek, Write};
use std::path::Path;
use std::time::{Duration, Instant};
use truing::record::{Chain, Draft, EventKind, Expected, VehicleState, seal};
use waywiser::ledger::Ledger;

const ENTRIES: u64 = 100_000;
const TURNS: usize = 200;
const TRUCK: &str = "The grey half-ton";

#[test]
#[ignore = "a measurement, not a check"]
fn figures_of_the_ledger() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("figures");
    let _ = std::fs::remove_dir_all(&folder);
    let mut ledger = Ledger::open(&folder, Duration::from_secs(10)).unwrap();
    let chain = life();
    let (took, added) = timed(|| ledger.take_in(&chain).unwrap());
    println!("import of {added} entries: {:.2} s", took.as_secs_f64());
    drop(chain);
    let (took, checked) = timed(|| ledger.check(&Expected::default()).unwrap());
    println!(
        "check: {:.3} s, {} entries, {} problems",
        took.as_secs_f64(),
        checked.entries,
        checked.problems.len()
    );
    let (took, state) = timed(|| VehicleState::of(&ledger.that_matter(TRUCK).unwrap()));
    println!("state of a vehicle: {:.2} ms, {} writes made", took.as_secs_f64() * 1e3, state.writes_made);
    let mut floor = std::fs::File::create(folder.join("floor")).unwrap();
    let block = median(|| {
        floor.rewind().unwrap();
        floor.write_all(&[7; 4096]).unwrap();
        floor.sync_data().unwrap();
    });
    let time = "2026-05-02T10:00:00Z".parse().unwrap();
    for (what, kind, field) in [
        ("note", EventKind::Note, ("text", "quiet road")),
        ("reading", EventKind::Odometer, ("odometer", "110001 mi")),
    ] {
        let draft = Draft::new(time, TRUCK, kind, &[field]);
        let took = median(|| drop(ledger.append(draft.clone()).unwrap()));
        println!("adding one {what}: {:.2} ms (median of {TURNS})", took.as_secs_f64() * 1e3);
    }
    println!("floor, one block written and kept: {:.2} ms", block.as_secs_f64() * 1e3);
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        status.lines().filter(|line| line.starts_with("VmHWM")).for_each(|line| println!("{line}"));
    }
}

fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let start = Instant::now();
    let result = work();
    (start.elapsed(), result)
}

fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..TURNS).map(|_| timed(&mut work).0).collect();
    times.sort();
    times[TURNS / 2]
}

/// Mostly readings and evidence, now and then what matters.
fn life() -> Chain {
    let time = "2026-05-02T10:00:00Z".parse().unwrap();
    let mut entries: Vec<truing::record::Entry> = Vec::new();
    for number in 1..=ENTRIES {
        let odometer = format!("{}.{} mi", 100_000 + number / 10, number % 10);
        let (from, to) = (format!("{}", 800 + number / 1000 % 7), format!("{}", 801 + number / 1000 % 7));
        let (kind, fields): (EventKind, Vec<(&str, &str)>) = match number {
            1 => (EventKind::Vehicle, vec![("present", "800")]),
            _ if number % 1000 == 0 => {
                (EventKind::Write, vec![("from", &from), ("to", &to), ("odometer", &odometer)])
            }
            _ if number % 1000 == 1 => {
                (EventKind::Estimate, vec![("what", "x"), ("reading_ratio", "0.97 +/- 0.003")])
            }
            _ if number % 1000 == 2 => {
                (EventKind::Service, vec![("what", "engine oil"), ("odometer", &odometer)])
            }
            _ if number % 2 == 0 => (EventKind::Odometer, vec![("odometer", &odometer)]),
            _ => (EventKind::Evidence, vec![("what", "rollout"), ("value", "5 turns, 40 ft 3 1/2 in")]),
        };
        let previous = entries.last().map_or(truing::record::Hash::NONE, |entry| entry.hash);
        entries.push(seal(number, previous, Draft::new(time, TRUCK, kind, &fields)));
    }
    Chain::of(entries)
}
