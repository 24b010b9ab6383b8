//! Figures of the ledger on this machine: `cargo run --release -p waywiser --example ledger_figures`.
//!
//! Ledgers of a thousand, ten thousand and a hundred thousand entries of one vehicle. Each job runs as a program of its
//! own, so that the most memory it ever held is its own too. Beside the adding of an entry stands the floor: how long this
//! disk takes to keep one block.

#![expect(clippy::print_stdout, reason = "a table is what this is for")]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "what is measured is the clock and the disk; a measurement that cannot go on may stop"
)]

use std::io::{Read, Seek, Write};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use truing::record::{
    Chain, Draft, Entry, EventKind, Expected, Hash, LineReader, VehicleState, export_entry, seal,
};
use waywiser::ledger::Ledger;

const SIZES: [u64; 3] = [1_000, 10_000, 100_000];
const TURNS: usize = 200;
const TRUCK: &str = "The grey half-ton";
const JOBS: [&str; 7] = ["open", "check", "state", "export", "import", "note", "reading"];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [job, folder] => report(job, Path::new(folder)),
        [folder] => table(Path::new(folder)),
        _ => table(&std::env::temp_dir().join("waywiser-ledger-figures")),
    }
}

fn table(folder: &Path) {
    println!("| entries | job | time | most memory held |\n|---|---|---|---|");
    for entries in SIZES {
        let garage = folder.join(entries.to_string());
        let _ = std::fs::remove_dir_all(&garage);
        let mut ledger = Ledger::open(&garage, Duration::from_secs(10)).unwrap();
        let fed = ledger.take_in(false, |take| {
            life(entries).entries().iter().cloned().for_each(take);
            Vec::new()
        });
        assert_eq!(fed.unwrap().added, entries as usize);
        drop(ledger);
        for job in JOBS {
            print!("| {entries} ");
            std::io::stdout().flush().unwrap();
            let own = std::env::current_exe().unwrap();
            assert!(Command::new(own).arg(job).arg(&garage).status().unwrap().success());
        }
    }
    let floor = kept_block(&folder.join("floor"));
    println!("| - | floor: one block of 4 KiB written and kept | {:.2} ms | - |", milliseconds(floor));
}

/// Does one job, and says how long it took and how much memory was held at most.
fn report(job: &str, garage: &Path) {
    let mut ledger = Ledger::open_existing(garage, Duration::from_secs(10)).unwrap();
    let (what, took) = match job {
        "open" => ("opened", timed(|| drop(Ledger::open(garage, Duration::from_secs(10)).unwrap()))),
        "check" => ("whole chain checked", timed(|| checked(&ledger))),
        "state" => ("state of the vehicle", median(|| state(&ledger))),
        "export" => ("all entries exported", timed(|| exported(&ledger, garage))),
        "import" => ("all entries imported elsewhere", timed(|| imported(garage))),
        "note" => ("a note added", added(&mut ledger, EventKind::Note, ("text", "quiet road"))),
        _ => ("a reading added", added(&mut ledger, EventKind::Odometer, ("odometer", "110001 mi"))),
    };
    println!("| {what} | {:.2} ms | {} |", milliseconds(took), most_memory());
}

fn checked(ledger: &Ledger) {
    assert_eq!(ledger.check(&Expected::default()).problems, []);
}

fn state(ledger: &Ledger) {
    let state = VehicleState::from_entries(&ledger.that_matter(TRUCK).unwrap());
    assert!(state.odometer.is_some());
}

fn exported(ledger: &Ledger, garage: &Path) {
    let mut file = std::io::BufWriter::new(std::fs::File::create(garage.join("record.jsonl")).unwrap());
    ledger.each(|entry| writeln!(file, "{}", export_entry(&entry)).unwrap()).unwrap();
    file.flush().unwrap();
}

fn imported(garage: &Path) {
    let other = garage.join("other");
    let _ = std::fs::remove_dir_all(&other);
    let mut ledger = Ledger::open(&other, Duration::from_secs(10)).unwrap();
    let mut file = std::fs::File::open(garage.join("record.jsonl")).unwrap();
    let taken = ledger.take_in(false, |take| {
        let (mut reader, mut piece) = (LineReader::new("record.jsonl"), vec![0; 1 << 16]);
        loop {
            let length = file.read(&mut piece).unwrap();
            if length == 0 {
                return reader.finish(take);
            }
            reader.feed(&piece[..length], &mut *take);
        }
    });
    assert!(taken.unwrap().added >= 1000);
}

fn added(ledger: &mut Ledger, kind: EventKind, field: (&str, &str)) -> Duration {
    let draft = Draft::new(
        "2026-05-02T10:00:00Z".parse().unwrap(),
        TRUCK,
        kind,
        &[field, ("entered_late", "a figure")],
    );
    median(|| drop(ledger.append(draft.clone()).unwrap()))
}

fn kept_block(path: &Path) -> Duration {
    let mut file = std::fs::File::create(path).unwrap();
    median(|| {
        file.rewind().unwrap();
        file.write_all(&[7; 4096]).unwrap();
        file.sync_data().unwrap();
    })
}

fn milliseconds(time: Duration) -> f64 {
    1e3 * time.as_secs_f64()
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..TURNS).map(|_| timed(&mut work)).collect();
    times.sort();
    times[TURNS / 2]
}

/// As the system tells it; only Linux does in a file.
fn most_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or("not told here".to_string(), |kilobytes| kilobytes.trim().to_string())
}

/// Mostly readings and evidence, now and then what matters.
fn life(count: u64) -> Chain {
    let mut entries: Vec<Entry> = Vec::new();
    for number in 1..=count {
        let previous = entries.last().map_or(Hash::NONE, |entry| entry.hash);
        entries.push(seal(number, previous, event(number)));
    }
    Chain::from_entries(entries)
}

fn event(number: u64) -> Draft {
    let odometer = format!("{}.{} mi", 100_000 + number / 10, number % 10);
    let (from, to) = (format!("{}", 800 + number / 1000 % 7), format!("{}", 801 + number / 1000 % 7));
    let (kind, fields): (EventKind, Vec<(&str, &str)>) = match (number, number % 1000) {
        (1, _) => (EventKind::Vehicle, vec![("present", "800")]),
        (_, 0) => (EventKind::Write, vec![("from", &from), ("to", &to), ("odometer", &odometer)]),
        (_, 1) => (EventKind::Estimate, vec![("what", "x"), ("reading_ratio", "0.97 +/- 0.003")]),
        (_, 2) => (EventKind::Service, vec![("what", "engine oil"), ("odometer", &odometer)]),
        (even, _) if even % 2 == 0 => (EventKind::Odometer, vec![("odometer", &odometer)]),
        _ => (EventKind::Evidence, vec![("what", "rollout"), ("value", "5 turns, 40 ft 3 1/2 in")]),
    };
    Draft::new("2026-05-02T10:00:00Z".parse().unwrap(), TRUCK, kind, &fields)
}
