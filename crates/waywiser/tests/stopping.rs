//! Ctrl+C while requests are under way: the server ends soon, and what it confirmed is there.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "what is tested are a program and its files"
)]

#[path = "serving/mod.rs"]
mod serving;

use std::io::Write;
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// It is to take two seconds; a busy machine is given more.
const PATIENCE: Duration = Duration::from_secs(10);

#[test]
fn the_server_ends_soon_whatever_it_does() {
    let mut served = serving::Served::start("stopping");
    let truck = serving::add_sample(&served);
    let entry =
        served.change("POST", &format!("{truck}/record"), &[], br#"{"kind": "note", "text": "quiet road"}"#);
    assert_eq!(entry.status, 200, "{}", entry.body);
    // A body of which the rest never comes, a head that never ends, an idle line, and work that takes its time.
    let mut half = TcpStream::connect(&served.address).unwrap();
    let head = format!(
        "POST {truck}/files?name=a.gpx HTTP/1.1\r\nhost: {}\r\nwaywiser-client: test\r\ncontent-length: 100000\r\n\r\n",
        served.address
    );
    half.write_all(head.as_bytes()).unwrap();
    half.write_all(&[b'x'; 500]).unwrap();
    let mut slow = TcpStream::connect(&served.address).unwrap();
    slow.write_all(b"GET / HT").unwrap();
    let _idle = TcpStream::connect(&served.address).unwrap();
    let mut busy = TcpStream::connect(&served.address).unwrap();
    busy.write_all(format!("GET {truck}/choose HTTP/1.1\r\nhost: {}\r\n\r\n", served.address).as_bytes())
        .unwrap();
    let since = Instant::now();
    let status = served.interrupt(PATIENCE).expect("still running");
    println!("ended {:.2} s after the signal", since.elapsed().as_secs_f64());
    assert!(status.success(), "{status}");
    let ledger = waywiser::ledger::Ledger::open_to_read(&served.garage, Duration::ZERO).unwrap();
    let mut found = Vec::new();
    ledger.each(|entry| found.push(entry.hash.to_string())).unwrap();
    assert!(found.contains(&entry.json()["hash"].as_str().unwrap().to_string()), "{found:?}");
}
