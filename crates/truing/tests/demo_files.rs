//! The drives of the sample truck are made by the simulator: the files that ship are what it makes.
//!
//! `WRITE_DEMO=1 cargo test -p truing --test demo_files` writes them again.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

use metrology::quantity::{Duration, Length, Speed};
use std::fmt::Write;
use truing::logs::{Track, VehicleLog};
use truing::simulate::{Plan, Steps, drive};

/// The truth of the sample truck: revolutions of a wheel per mile, turns of the propeller shaft for each of them, counts per
/// turn of that shaft, and counts per mile of each unit of its constant. All invented.
const REVS_PER_MILE: f64 = 615.5;
const AXLE_RATIO: f64 = 46.0 / 11.0;
const COUNTS_PER_TURN: f64 = 22.0;
const COUNTS_PER_MILE_PER_UNIT: f64 = 40.0;

fn plan(seed: u64, setting: f64, minutes: f64, lag_s: f64) -> Plan {
    let counts_per_mile = REVS_PER_MILE * AXLE_RATIO * COUNTS_PER_TURN;
    let ratio = counts_per_mile / (COUNTS_PER_MILE_PER_UNIT * setting);
    Plan {
        duration: Duration::from_min(minutes),
        steps: Steps::Rounded,
        slow_error: Length::from_m(1.5),
        white_error: Length::from_m(0.4),
        reported_speed_error: Some(Speed::from_m_per_s(0.08)),
        ..Plan::mixed(seed, ratio, Duration::from_s(lag_s))
    }
}

/// The simulator drives on one day; the proof was driven two days later, after the write.
const PROVED_LATER_S: f64 = 2.0 * 86_400.0;

fn stamp(seconds: f64) -> String {
    let instant = jiff::Timestamp::from_millisecond((seconds * 1000.0).round() as i64).unwrap();
    format!("{instant:.1}")
}

fn gpx(track: &Track, later_s: f64) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"a simulated receiver\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><name>simulated drive</name><trkseg>\n",
    );
    for fix in track.fixes.iter() {
        let (latitude, longitude) = (fix.latitude.unwrap().deg(), fix.longitude.unwrap().deg());
        let (time, speed) = (stamp(fix.time.unwrap().s() + later_s), fix.speed.unwrap().m_per_s());
        writeln!(
            out,
            "<trkpt lat=\"{latitude:.7}\" lon=\"{longitude:.7}\"><time>{time}</time><extensions><speed>{speed:.2}</speed></extensions></trkpt>"
        )
        .unwrap();
    }
    out + "</trkseg></trk></gpx>\n"
}

fn csv(log: &VehicleLog, later_s: f64) -> String {
    let mut out = String::from("time,vehicle_speed_kmh\n");
    for sample in &log.samples {
        writeln!(out, "{},{:.0}", stamp(sample.time.s() + later_s), sample.speed.km_per_h()).unwrap();
    }
    out
}

fn check(name: &str, made: &str) {
    let path = format!("{}/../../examples/demo/{name}", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("WRITE_DEMO").is_some() {
        std::fs::write(&path, made).unwrap();
    }
    let shipped = std::fs::read_to_string(&path).unwrap();
    assert!(shipped == made, "{name} is not what the simulator makes; see the head of this file");
}

#[test]
fn the_drive_before_the_write() {
    let drive = drive(&plan(11, 1479.0, 20.0, 4.2));
    check("drive.gpx", &gpx(&drive.track, 0.0));
    check("drive-log.csv", &csv(&drive.vehicle, 0.0));
}

#[test]
fn the_drive_after_the_write() {
    let drive = drive(&plan(12, 1416.0, 15.0, 4.2));
    check("after.gpx", &gpx(&drive.track, PROVED_LATER_S));
    check("after-log.csv", &csv(&drive.vehicle, PROVED_LATER_S));
}
