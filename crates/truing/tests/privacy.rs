//! Where a drive was never leaves the reader: no coordinate in results, reports, problems, whatever the format and damage.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]

use metrology::quantity::Speed;
use truing::describe::evidence::{OdometerRead, OdometerReadings};
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::measure::drive::{Indicated, estimate};
use truing::report::answers::drive::DriveReport;

/// Along a parallel, so that the latitude is the same digits all the way.
const LATITUDE_DEG: f64 = 48.135_79;
const LONGITUDE_DEG: f64 = 103.468;
/// Metres in a degree along that parallel.
const DEGREE_M: f64 = 74_400.0;
const SECONDS: usize = 400;

/// Speed (m/s), metres gone so far, degrees east of the start, for each second.
fn motion() -> Vec<(f64, f64)> {
    let mut gone_m = 0.0;
    (0..SECONDS)
        .map(|k| {
            let speed = 20.0 + 4.0 * (k as f64 / 23.0).sin() + 2.0 * (k as f64 / 7.0).cos();
            gone_m += speed;
            (speed, LONGITUDE_DEG + gone_m / DEGREE_M)
        })
        .collect()
}

fn clock(k: usize) -> (usize, usize, usize) {
    (10, k / 60, k % 60)
}

fn gpx() -> String {
    let point = |(k, (speed, longitude)): (usize, (f64, f64))| {
        let (hour, minute, second) = clock(k);
        format!(
            "<trkpt lat=\"{LATITUDE_DEG:.6}\" lon=\"{longitude:.6}\"><ele>{LATITUDE_DEG}</ele><time>2024-05-24T{hour:02}:{minute:02}:{second:02}Z</time><speed>{speed:.2}</speed></trkpt>\n"
        )
    };
    let points: String = motion().into_iter().enumerate().map(point).collect();
    format!("<gpx><trk><trkseg>\n{points}</trkseg></trk></gpx>")
}

fn csv() -> String {
    let row = |(k, (speed, longitude)): (usize, (f64, f64))| {
        let (hour, minute, second) = clock(k);
        format!("2024-05-24T{hour:02}:{minute:02}:{second:02}Z,{LATITUDE_DEG:.6},{longitude:.6},{speed:.2}\n")
    };
    let rows: String = motion().into_iter().enumerate().map(row).collect();
    format!("time,lat,lon,speed_m_s\n{rows}")
}

fn nmea() -> String {
    let minutes = |degrees: f64| format!("{:.0}{:08.5}", degrees.floor(), degrees.fract() * 60.0);
    let sentence = |(k, (speed, longitude)): (usize, (f64, f64))| {
        let (hour, minute, second) = clock(k);
        let body = format!(
            "GPRMC,{hour:02}{minute:02}{second:02}.00,A,{},N,{},E,{:.2},90.0,240524,,,A",
            minutes(LATITUDE_DEG),
            minutes(longitude),
            Speed::from_m_per_s(speed).knots()
        );
        format!("${body}*{:02X}\r\n", body.bytes().fold(0, |sum, byte| sum ^ byte))
    };
    motion().into_iter().enumerate().map(sentence).collect()
}

fn vehicle() -> String {
    let row = |(k, (speed, _)): (usize, (f64, f64))| {
        let (hour, minute, second) = clock(k);
        format!("2024-05-24T{hour:02}:{minute:02}:{second:02}Z,{:.0}\n", speed * 3.6)
    };
    let rows: String = motion().into_iter().enumerate().map(row).collect();
    format!("time,speed_kmh\n{rows}")
}

/// Everything that is said of a track: by the reader, in the estimate, in the report as data and in words.
fn everything_said(track: &str) -> (String, bool) {
    let mut reader = TrackReader::new("track", CsvOptions::default());
    reader.feed(track.as_bytes());
    let (track, mut problems) = reader.finish();
    let mut log = VehicleLogReader::new("log", CsvOptions::default());
    log.feed(vehicle().as_bytes());
    let typed = |text| metrology::text::length(text).unwrap();
    let odometer = Indicated::Odometer(OdometerReadings {
        start: typed("10.0 mi"),
        end: typed("15.0 mi"),
        read: OdometerRead::Digits,
    });
    let holds = Indicated::Holds(vec![Speed::from_mi_per_h(45.0)]);
    let mut said = format!("{problems:?}");
    let mut answered = false;
    for indicated in [Indicated::Log(log.finish().0), odometer, holds, Indicated::Nothing] {
        let (found, more) = estimate("track", &track, &indicated);
        said += &format!("{more:?} {found:?}");
        problems.extend(more);
        if let Some(found) = found {
            answered = true;
            let report = DriveReport::new(&found, problems.clone(), truing::units::Units::Us);
            said += &format!("{} {:?}", serde_json::to_string(&report).unwrap(), report.document());
        }
    }
    (said, answered)
}

/// Four decimals of a degree, or of a sentence's minutes, are ten metres and a signature.
fn check(track: &str) -> bool {
    let (said, answered) = everything_said(track);
    let minutes = LATITUDE_DEG.fract() * 60.0;
    let mut tell_tales = vec!["48.135".to_owned(), format!("48{minutes:06.3}"), "48135".to_owned()];
    for (_, longitude) in motion().into_iter().step_by(7) {
        tell_tales.push(format!("{longitude:.4}")[..7].to_owned());
        tell_tales.push(format!("103{:07.4}", longitude.fract() * 60.0)[..8].to_owned());
    }
    for tell_tale in tell_tales {
        // A time may have any digits; it is no place.
        let at_times = said.matches(&format!("Duration({tell_tale}")).count();
        assert_eq!(said.matches(&tell_tale).count(), at_times, "{tell_tale} in {said}");
    }
    answered
}

#[test]
fn sound_tracks() {
    for track in [gpx(), csv(), nmea()] {
        assert!(track.contains("48.135") || track.contains("4808.147"), "{}", &track[..200]);
        assert!(check(&track));
    }
}

/// Cells where they do not belong, cut lines, wrong columns: what is quoted of them has its digits hidden.
#[test]
fn damaged_tracks() {
    let damaged = [
        gpx().replace("<time>", "<time>48.135790 "),
        gpx().replace("lon=\"", "lon=\"x48.135790 "),
        gpx().replace("</ele>", " 48.135790</ele>"),
        csv().replace(",48.135790,", ",48.135790x,"),
        csv().replace("time,lat,lon,speed_m_s\n", ""),
        csv().replace("time,lat,lon,speed_m_s", "time,speed_m_s,x,y"),
        csv().replace("2024-05-24T", "48.135790 "),
        nmea().replace(",A,48", ",A,\"48"),
        nmea().replace('*', ",48.135790*"),
    ];
    let answered = damaged.iter().filter(|track| check(track)).count();
    assert!(answered < damaged.len(), "no damage did any harm");
}
