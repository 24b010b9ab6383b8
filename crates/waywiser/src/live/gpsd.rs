//! Fixes from gpsd, by the JSON protocol that its documentation describes (gpsd_json(5)): a line for each report over TCP, of
//! which `TPV` holds a fix.

use super::event::Event;
use super::record::Fix;
use crate::world::steady_s;
use serde::Deserialize;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::sync::mpsc::Sender;
use std::time::Duration;

/// What asks for reports.
const WATCH: &[u8] = b"?WATCH={\"enable\":true,\"json\":true};\n";
/// A report is far shorter.
const LONGEST_LINE_BYTES: u64 = 64 << 10;
/// How long it is waited before another try.
const AGAIN_AFTER: Duration = Duration::from_secs(2);
/// Modes of a fix below this have no position (gpsd_json(5), TPV).
const POSITION: u8 = 2;

/// A report, as far as it matters.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Report {
    class: String,
    mode: u8,
    time: Option<String>,
    lat: Option<f64>,
    lon: Option<f64>,
    eph: Option<f64>,
    speed: Option<f64>,
    track: Option<f64>,
    #[serde(rename = "altMSL")]
    height: Option<f64>,
    activated: Option<serde_json::Value>,
}

/// Reads reports until nobody listens any more; connects again where the line breaks.
pub fn read(address: &str, to: &Sender<Event>) {
    loop {
        let reason = match TcpStream::connect(address) {
            Ok(stream) => match reports(stream, to) {
                Ok(reason) => reason,
                Err(NobodyListens) => return,
            },
            Err(_) => "gpsd-does-not-answer",
        };
        if to.send(Event::Lost(reason, steady_s())).is_err() {
            return;
        }
        std::thread::sleep(AGAIN_AFTER);
    }
}

struct NobodyListens;

/// All reports of a line; why it ended.
fn reports(mut stream: TcpStream, to: &Sender<Event>) -> Result<&'static str, NobodyListens> {
    if stream.write_all(WATCH).is_err() {
        return Ok("gpsd-closed");
    }
    let mut lines = BufReader::new(stream);
    let mut line = Vec::new();
    loop {
        line.clear();
        match lines.by_ref().take(LONGEST_LINE_BYTES).read_until(b'\n', &mut line) {
            Ok(1..) if line.ends_with(b"\n") => {}
            _ => return Ok("gpsd-closed"),
        }
        if let Some(event) = event(&line, steady_s()) {
            to.send(event).map_err(|_| NobodyListens)?;
        }
    }
}

/// What a report says.
fn event(line: &[u8], now_s: f64) -> Option<Event> {
    let report: Report = serde_json::from_slice(line).ok()?;
    match report.class.as_str() {
        "TPV" => Some(match (report.lat, report.lon) {
            (Some(latitude), Some(longitude)) if report.mode >= POSITION => {
                let Report { time, eph, speed, track, height, .. } = report;
                let (accuracy_m, speed_m_per_s, course_deg, height_m) = (eph, speed, track, height);
                let fix = Fix { time, latitude, longitude, accuracy_m, speed_m_per_s, course_deg, height_m };
                Event::Fix(fix, now_s)
            }
            _ => Event::Lost("no-position", now_s),
        }),
        // A receiver that was unplugged is said so.
        "DEVICE" if report.activated.is_some_and(|when| when == 0) => {
            Some(Event::Lost("receiver-gone", now_s))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reports_are_fixes_or_say_why_there_is_none() {
        let said = |line: &str| event(line.as_bytes(), 7.5);
        let fix = Fix {
            time: Some("2026-05-01T10:00:00.000Z".into()),
            latitude: 45.5,
            longitude: -9.25,
            accuracy_m: Some(3.2),
            speed_m_per_s: Some(13.1),
            course_deg: Some(2.0),
            height_m: Some(210.0),
        };
        let tpv = r#"{"class":"TPV","device":"a","mode":3,"time":"2026-05-01T10:00:00.000Z","lat":45.5,"lon":-9.25,"altMSL":210.0,"eph":3.2,"speed":13.1,"track":2.0,"eps":0.3}"#;
        assert_eq!(said(tpv), Some(Event::Fix(fix, 7.5)));
        assert_eq!(said(r#"{"class":"TPV","mode":1}"#), Some(Event::Lost("no-position", 7.5)));
        assert_eq!(said(r#"{"class":"TPV","mode":2,"lat":45.5}"#), Some(Event::Lost("no-position", 7.5)));
        assert_eq!(said(r#"{"class":"DEVICE","activated":0}"#), Some(Event::Lost("receiver-gone", 7.5)));
        for line in
            [r#"{"class":"DEVICE","activated":"2026-05-01T10:00:00Z"}"#, r#"{"class":"SKY"}"#, "{", "", "[]"]
        {
            assert_eq!(said(line), None, "{line}");
        }
    }
}
