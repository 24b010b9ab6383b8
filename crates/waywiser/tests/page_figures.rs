//! Figures of the page on this machine, measured by hand; nothing is asserted about time:
//! `cargo test -p waywiser --test page_figures -- --ignored --nocapture`, in release for the figures that count.
//!
//! Start to first answer; any page on 200 trucks with 5 000 ledger entries; what a first visit transfers; a 20 MB track
//! dropped on a truck until its result shows.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "what is measured is the clock and the disk"
)]

use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use truing::record::{Chain, Draft, EventKind};
use waywiser::ledger::Ledger;

const TRUCKS: usize = 200;
const ENTRIES: usize = 5_000;
const TURNS: usize = 30;
const TRACK_BYTES: usize = 20 << 20;

/// A running page.
struct Page {
    child: Child,
    address: String,
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn start(garage: &Path) -> Page {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let command = command.args(["serve", "--address", "127.0.0.1:0", "--no-browser", "--garage"]).arg(garage);
    let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
    let address = line.split("http://").nth(1).unwrap().split('/').next().unwrap().to_string();
    Page { child, address }
}

impl Page {
    fn send(&self, head: &str, body: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        let head = format!(
            "{head} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\ncontent-length: {}\r\n",
            self.address,
            body.len()
        );
        stream.write_all(head.as_bytes()).unwrap();
        if head.starts_with("POST") {
            stream.write_all(b"content-type: multipart/form-data; boundary=parts\r\n").unwrap();
        }
        stream.write_all(b"\r\n").unwrap();
        stream.write_all(body).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    fn get(&self, address: &str) -> String {
        self.send(&format!("GET {address}"), b"")
    }

    fn get_ready(&self, address: &str) -> String {
        loop {
            let page = self.get(address);
            if !page.contains("http-equiv=\"refresh\"") {
                return page;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("page-figures").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn milliseconds(took: Duration) -> f64 {
    took.as_secs_f64() * 1e3
}

#[test]
#[ignore = "a measurement, not a check"]
fn from_start_to_the_first_answer() {
    let garage = folder("start");
    let mut took: Vec<f64> = (0..10)
        .map(|_| {
            let since = Instant::now();
            let page = start(&garage);
            assert!(page.get("/").contains("200 OK"));
            milliseconds(since.elapsed())
        })
        .collect();
    took.sort_by(f64::total_cmp);
    println!("start to first answer: median {:.0} ms, longest {:.0} ms of 10", took[5], took[9]);
    let page = start(&garage);
    let first = page.get("/");
    let files = first.split(['"']).filter(|word| word.starts_with("/static/"));
    let sizes: Vec<(String, usize)> = files.map(|file| (file.to_string(), page.get(file).len())).collect();
    let sum: usize = first.len() + sizes.iter().map(|(_, size)| size).sum::<usize>();
    println!("first page with its files: {:.1} KB ({} files)", sum as f64 / 1024.0, sizes.len());
}

fn fill(garage: &Path) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo");
    let text = std::fs::read_to_string(demo.join("truck.toml")).unwrap();
    for number in 0..TRUCKS {
        let truck = garage.join("trucks").join(format!("truck-{number}"));
        std::fs::create_dir_all(&truck).unwrap();
        std::fs::write(
            truck.join("truck.toml"),
            text.replace("The green hauler", &format!("Truck {number}")),
        )
        .unwrap();
        for file in ["drive.gpx", "drive-log.csv"] {
            std::fs::copy(demo.join(file), truck.join(file)).unwrap();
        }
    }
    let mut chain = Chain::default();
    for number in 0..ENTRIES {
        let name = format!("Truck {}", number % TRUCKS);
        let time = jiff::Timestamp::from_second(1_780_000_000 + number as i64 * 600).unwrap();
        let reading = format!("{}.0 mi", 100_000 + number);
        let (kind, fields) = match number % 10 {
            0 => (
                EventKind::Service,
                vec![("what", "engine oil"), ("every", "5000 mi"), ("odometer", reading.as_str())],
            ),
            1 => (EventKind::Note, vec![("text", "quiet road")]),
            _ => (EventKind::Odometer, vec![("odometer", reading.as_str())]),
        };
        chain.append(Draft::new(time, &name, kind, &fields)).unwrap();
    }
    let mut ledger = Ledger::open(garage, Duration::from_secs(10)).unwrap();
    let fed = ledger.take_in(true, |take| {
        chain.entries().iter().cloned().for_each(take);
        Vec::new()
    });
    fed.unwrap();
}

#[test]
#[ignore = "a measurement, not a check"]
fn pages_of_a_large_garage() {
    let garage = folder("large");
    fill(&garage);
    let page = start(&garage);
    let since = Instant::now();
    let first = page.get("/");
    println!(
        "first page while all is unread: {:.1} ms, {:.1} KB",
        milliseconds(since.elapsed()),
        first.len() as f64 / 1024.0
    );
    let home = page.get_ready("/");
    println!("all {TRUCKS} trucks read after {:.1} s", since.elapsed().as_secs_f64());
    assert!(home.contains("Truck 199") && home.contains("slow"));
    for address in [
        "/",
        "/add",
        "/trucks/truck-7/describe",
        "/trucks/truck-7/measure",
        "/trucks/truck-7/evidence/1",
        "/trucks/truck-7/new/evidence/drive",
    ] {
        page.get_ready(address);
        let mut took: Vec<f64> = (0..TURNS)
            .map(|_| {
                let since = Instant::now();
                page.get(address);
                milliseconds(since.elapsed())
            })
            .collect();
        took.sort_by(f64::total_cmp);
        println!(
            "{address}: median {:.1} ms, longest {:.1} ms, {:.1} KB",
            took[TURNS / 2],
            took[TURNS - 1],
            page.get(address).len() as f64 / 1024.0
        );
    }
}

/// A made-up drive at 10 fixes a second on a straight road north, and the log of a truck that reads 4 % slow.
fn long_drive() -> (String, String) {
    const METRES_PER_DEGREE: f64 = 111_132.0;
    let (mut gpx, mut csv) =
        (String::from("<gpx version=\"1.1\"><trk><trkseg>\n"), String::from("time (s),speed (mph)\n"));
    let (mut north_m, mut number) = (0.0, 0_i64);
    while gpx.len() < TRACK_BYTES {
        let seconds = number as f64 / 10.0;
        let speed = 20.0 + 6.0 * (seconds / 40.0).sin();
        north_m += speed / 10.0;
        let time = jiff::Timestamp::from_millisecond(1_780_000_000_000 + number * 100).unwrap();
        let latitude = 38.0 + north_m / METRES_PER_DEGREE;
        let _ = writeln!(
            gpx,
            "<trkpt lat=\"{latitude:.7}\" lon=\"-97.0000000\"><ele>400.0</ele><time>{time}</time></trkpt>"
        );
        let _ = writeln!(csv, "{seconds:.1},{:.1}", speed * 0.96 * 3600.0 / 1609.344);
        number += 1;
    }
    gpx.push_str("</trkseg></trk></gpx>\n");
    (gpx, csv)
}

#[test]
#[ignore = "a measurement, not a check"]
fn a_large_track_dropped() {
    let garage = folder("dropped");
    let truck = garage.join("trucks/mine");
    std::fs::create_dir_all(&truck).unwrap();
    std::fs::write(truck.join("truck.toml"), "name = \"Mine\"\n[head]\ncounts_per_mile = 4000\n").unwrap();
    let page = start(&garage);
    let form = page.get("/trucks/mine/measure");
    let token = form.split("name=\"token\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    let (gpx, csv) = long_drive();
    let mut body = format!("--parts\r\ncontent-disposition: form-data; name=\"token\"\r\n\r\n{token}\r\n");
    for (name, text) in [("drive.gpx", &gpx), ("drive-log.csv", &csv)] {
        let _ = write!(
            body,
            "--parts\r\ncontent-disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\r\n{text}\r\n"
        );
    }
    body.push_str("--parts--\r\n");
    let since = Instant::now();
    let taken = page.send("POST /trucks/mine/files", body.as_bytes());
    assert!(taken.contains("303 See Other"), "{taken}");
    println!("{:.1} MB taken in after {:.2} s", body.len() as f64 / 1e6, since.elapsed().as_secs_f64());
    page.get("/trucks/mine/measure");
    println!("the page first answers after {:.2} s", since.elapsed().as_secs_f64());
    let result = page.get_ready("/trucks/mine/evidence/0");
    println!("the drive's result after {:.2} s", since.elapsed().as_secs_f64());
    assert!(result.contains("slow"), "{result}");
}
