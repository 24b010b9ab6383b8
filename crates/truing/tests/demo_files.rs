//! The drives of the sample truck are made by the simulator: the files that ship are what it makes.
//!
//! `WRITE_DEMO=1 cargo test -p truing --test demo_files` writes them anew.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

use metrology::quantity::{Duration, Length, Speed};
use std::fmt::Write;
use truing::logs::{Track, VehicleLog};
use truing::simulate::{Plan, Steps, drive};

/// The truth of the sample truck: revolutions per mile, ring teeth, and counts per mile of each unit of its constant.
const REVS_PER_MILE: f64 = 640.0;
const RING_TEETH: f64 = 104.0;
const COUNTS_PER_UNIT: f64 = 8000.0;

fn plan(seed: u64, setting: f64, minutes: f64, lag_s: f64) -> Plan {
    let ratio = REVS_PER_MILE * RING_TEETH / (COUNTS_PER_UNIT * setting);
    Plan {
        duration: Duration::from_min(minutes),
        steps: Steps::Rounded,
        slow_error: Length::from_m(1.5),
        white_error: Length::from_m(0.4),
        reported_speed_error: Some(Speed::from_m_per_s(0.08)),
        ..Plan::mixed(seed, ratio, Duration::from_s(lag_s))
    }
}

fn stamp(seconds: f64) -> String {
    let instant = jiff::Timestamp::from_millisecond((seconds * 1000.0).round() as i64).unwrap();
    format!("{instant:.1}")
}

fn gpx(track: &Track) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"a simulated receiver\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><name>simulated drive</name><trkseg>\n",
    );
    for fix in track.fixes.iter() {
        let (latitude, longitude) = (fix.latitude.unwrap().deg(), fix.longitude.unwrap().deg());
        let (time, speed) = (stamp(fix.time.unwrap().s()), fix.speed.unwrap().m_per_s());
        writeln!(
            out,
            "<trkpt lat=\"{latitude:.7}\" lon=\"{longitude:.7}\"><time>{time}</time><extensions><speed>{speed:.2}</speed></extensions></trkpt>"
        )
        .unwrap();
    }
    out + "</trkseg></trk></gpx>\n"
}

fn csv(log: &VehicleLog) -> String {
    let mut out = String::from("time,vehicle_speed_kmh\n");
    for sample in &log.samples {
        writeln!(out, "{},{:.0}", stamp(sample.time.s()), sample.speed.km_per_h()).unwrap();
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
    let drive = drive(&plan(11, 8.76, 20.0, 4.2));
    check("drive.gpx", &gpx(&drive.track));
    check("drive-log.csv", &csv(&drive.vehicle));
}

#[test]
fn the_drive_after_the_write() {
    let drive = drive(&plan(12, 8.32, 15.0, 4.2));
    check("after.gpx", &gpx(&drive.track));
    check("after-log.csv", &csv(&drive.vehicle));
}
