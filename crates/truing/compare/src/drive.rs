//! A whole drive: both logs as text, through the readers and the estimate to the report and its pictures' data.

use std::fmt::Write;
use std::fs;
use std::hint::black_box;
use truing::logs::csv::{CsvOptions, CsvReader};
use truing::measure::drive::{Indicated, estimate};
use truing::report::answers::drive::DriveReport;
use truing::report::charts::drive::{residuals, shape};
use truing::units::Units;

/// Fixes and samples in a second.
const RATE_PER_S: usize = 10;

/// Both logs of a drive of some hours: speeds that change as a driver's do, on a winding road.
pub fn logs(hours: f64) -> (String, String) {
    let count = (hours * 3600.0) as usize * RATE_PER_S;
    let (mut track, mut vehicle) = ("time_s,lat,lon,speed_m_s\n".to_owned(), "time_s,speed_kmh\n".to_owned());
    let (mut latitude, mut longitude) = (40.0_f64, -105.0_f64);
    for index in 0..count {
        let time_s = index as f64 / RATE_PER_S as f64;
        let speed = 17.0 + 8.0 * (time_s / 71.0).sin() + 4.0 * (time_s / 17.3).cos();
        let heading = 0.8 * (time_s / 43.0).sin() + 0.3 * (time_s / 11.0).cos();
        // A degree of latitude is some 111 km; what is short of the ellipsoid here only moves the ratio.
        latitude += speed / RATE_PER_S as f64 * heading.cos() / 111_035.0;
        longitude += speed / RATE_PER_S as f64 * heading.sin() / 85_394.0;
        // Errors that repeat: a hash of the number, evenly within a metre.
        let error = |salt: usize| ((index * 2_654_435_761 + salt * 40_503) % 2000) as f64 / 1e3 - 1.0;
        let (lat, lon) = (latitude + error(1) * 4e-6, longitude + error(2) * 5e-6);
        let unix_s = 1_700_000_000.0 + time_s;
        let _ = writeln!(track, "{unix_s:.1},{lat:.7},{lon:.7},{:.2}", speed + 0.1 * error(3));
        let _ = writeln!(vehicle, "{:.1},{:.0}", unix_s + 0.4, 1.03 * 3.6 * speed);
    }
    (track, vehicle)
}

/// Reads both, estimates and reports; the ratio, for nobody to leave it out.
pub fn whole((track, vehicle): &(String, String)) -> Option<f64> {
    let mut tracks = CsvReader::for_track("track", CsvOptions::default());
    tracks.feed(track.as_bytes());
    let mut vehicles = CsvReader::for_vehicle("vehicle", CsvOptions::default());
    vehicles.feed(vehicle.as_bytes());
    let (track, mut problems) = tracks.finish();
    let (log, of_log) = vehicles.finish();
    problems.extend(of_log);
    let (estimate, of_drive) = estimate("drive", &track, &Indicated::Log(log));
    problems.extend(of_drive);
    let estimate = estimate?;
    black_box((residuals(&estimate, Units::default()), shape(&track)));
    let report = DriveReport::new(&estimate, problems, Units::default());
    black_box(report.document());
    Some(report.reading_ratio?.value)
}

/// The most memory this process has held so far (MB), where the system says it; the logs as text are in it.
pub fn peak_mb() -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? * 1024.0 / 1e6)
}
