//! Many at once: readers of every page and writers of the record, against a server on this machine.
//!
//! Five seconds of it run always; a minute by hand, with its figures:
//! `cargo test --release -p waywiser --test load -- --ignored --nocapture`.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "what is tested is a server and the clock, and its figures are printed"
)]

mod serving;

use serving::{Served, add_sample};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

const READERS: usize = 50;
const WRITERS: usize = 5;
/// What a reader asks for, in turn.
const PAGES: [&str; 8] = [
    "/",
    "/trucks/{truck}/choose",
    "/trucks/{truck}/set",
    "/trucks/{truck}/prove",
    "/trucks/{truck}/record",
    "/api/v1/trucks",
    "/api/v1/trucks/{truck}/choose",
    "/record.jsonl",
];

/// What came of it.
#[derive(Default)]
struct Tally {
    read: AtomicUsize,
    written: AtomicUsize,
    failed: AtomicUsize,
    first_failure: Mutex<Option<String>>,
}

impl Tally {
    fn failure(&self, what: &str, said: std::io::Result<serving::Said>) {
        counted(&self.failed);
        let said = match said {
            Ok(said) => format!("{what}: {} {}", said.status, said.body),
            Err(error) => format!("{what}: {error}"),
        };
        self.first_failure.lock().unwrap().get_or_insert(said);
    }
}

fn counted(counter: &AtomicUsize) {
    counter.fetch_add(1, Ordering::Relaxed);
}

fn run(name: &str, lasts: Duration) -> (Tally, Vec<Duration>) {
    let served = Served::start(name);
    let slug = add_sample(&served).rsplit('/').next().unwrap().to_string();
    assert_eq!(served.get(&format!("/trucks/{slug}/choose")).status, 200, "everything is read once before");
    // An empty record would give an empty file.
    let first = served.change("POST", &format!("/api/v1/trucks/{slug}/choose"), &[], b"");
    assert_eq!(first.status, 200, "{}", first.body);
    let (tally, until) = (Tally::default(), Instant::now() + lasts);
    let mut times = Vec::new();
    std::thread::scope(|scope| {
        let readers: Vec<_> = (0..READERS)
            .map(|reader| {
                let (served, tally, slug) = (&served, &tally, &slug);
                scope.spawn(move || read(served, tally, slug, reader, until))
            })
            .collect();
        for writer in 0..WRITERS {
            let (served, tally, slug) = (&served, &tally, &slug);
            scope.spawn(move || write(served, tally, slug, writer, until));
        }
        times.extend(readers.into_iter().flat_map(|reader| reader.join().unwrap()));
    });
    let kept = served.get("/record.jsonl").body;
    let notes = kept.lines().filter(|line| line.contains("\"kind\":\"note\"")).count();
    assert_eq!(notes, tally.written.load(Ordering::Relaxed), "every confirmed entry is there, and no other");
    let check = served.get("/api/v1/record/check").json();
    assert_eq!(check["ok"], true, "{check}");
    (tally, times)
}

fn read(served: &Served, tally: &Tally, slug: &str, reader: usize, until: Instant) -> Vec<Duration> {
    let mut times = Vec::new();
    for page in PAGES.iter().cycle().skip(reader) {
        if Instant::now() >= until {
            break;
        }
        let began = Instant::now();
        match served.try_ask("GET", &page.replace("{truck}", slug), &[], b"") {
            Ok(said) if said.status == 200 && !said.body.is_empty() => counted(&tally.read),
            said => tally.failure(page, said),
        }
        times.push(began.elapsed());
    }
    times
}

fn write(served: &Served, tally: &Tally, slug: &str, writer: usize, until: Instant) {
    let mut number = 0;
    while Instant::now() < until {
        let note = format!(r#"{{ "kind": "note", "text": "writer {writer}, note {number}" }}"#);
        let headers = [("waywiser-client", "test")];
        match served.try_ask("POST", &format!("/api/v1/trucks/{slug}/record"), &headers, note.as_bytes()) {
            Ok(said) if said.status == 200 => counted(&tally.written),
            said => tally.failure("a note", said),
        }
        number += 1;
    }
}

fn check(name: &str, lasts: Duration) {
    let (tally, mut times) = run(name, lasts);
    times.sort_unstable();
    let number = |counter: &AtomicUsize| counter.load(Ordering::Relaxed);
    let part = |part: f64| times[((times.len() - 1) as f64 * part) as usize].as_secs_f64() * 1e3;
    println!(
        "{READERS} readers, {WRITERS} writers, {:.0} s: {} read, {} written, {} failed; reading took {:.1} ms (median), {:.1} ms (99 of 100)",
        lasts.as_secs_f64(),
        number(&tally.read),
        number(&tally.written),
        number(&tally.failed),
        part(0.5),
        part(0.99)
    );
    assert_eq!(number(&tally.failed), 0, "{:?}", tally.first_failure.lock().unwrap());
    assert!(
        number(&tally.read) >= READERS && number(&tally.written) >= WRITERS,
        "something was really asked"
    );
}

#[test]
fn five_seconds_of_many_at_once() {
    check("five-seconds", Duration::from_secs(5));
}

#[test]
#[ignore = "a minute, for its figures"]
fn a_minute_of_many_at_once() {
    check("a-minute", Duration::from_secs(60));
}
