//! Logs as strangers' loggers write them; each of these was once misread or refused.

use super::tests::{check_track, check_vehicle, compare_told, track, vehicle};
use crate::logs::Clock;

/// 2019-05-24T11:50:21Z by `date -u -d 2019-05-24T11:50:21Z +%s`.
const MOMENT_S: f64 = 1_558_698_621.0;
const NO_ZONE: &str = "without a zone";

#[test]
fn bars_and_blanks() {
    let both = [(0.0, 50.5), (0.2, 51.0)];
    check_vehicle("time_s|speed_kmh\n0|50,5\n0,2|51\n", "", &both, &[]);
    check_vehicle(
        "| time_s | speed_kmh |\n|--------|-----------|\n| 0 | 50.5 |\n| 0.2 | 51 |\n",
        "",
        &both,
        &[],
    );
    check_vehicle("time_s speed_kmh\n0 50.5\n0.2 51\n", "", &both, &[]);
    check_vehicle("  time (s)   Vehicle speed (km/h)\n   0.0   50.5\n   0.2   51.0\n", "", &both, &[]);
    check_vehicle("# time (s) speed [km/h]\n0,0 50,5\n0,2 51,0\n", "", &both, &[]);
}

#[test]
fn times_of_several_words_between_blanks() {
    let check = |header: &str, first: &str, second: &str| {
        let text = format!("{header}\n{first} 9\n{second} 9.5\n");
        check_vehicle(&text, "", &[(MOMENT_S, 9.0), (MOMENT_S + 1.0, 9.5)], &[NO_ZONE]);
    };
    check("Date Time speed_kmh", "2019-05-24 11:50:21", "2019-05-24 11:50:22");
    check("Time speed_kmh", "2019-05-24 11:50:21", "2019-05-24 11:50:22");
    check("Time speed_kmh", "5/24/2019 11:50:21 AM", "5/24/2019 11:50:22 AM");
    check("Time speed_kmh", "24 May 2019 11:50:21 am", "24 May 2019 11:50:22 am");
    check("Date Time speed_kmh", "24 May 2019 11:50:21", "24 May 2019 11:50:22");
}

/// An empty cell between blanks moves every later one: nothing is taken from such a row.
#[test]
fn blanks_with_a_cell_missing() {
    let text = "time_s gps_kmh obd_kmh\n0 70 71\n1 72\n2 70 71\n";
    let told = ["as many cells as the header has; found another number. the row was left out"];
    check_vehicle(text, "speed=obd_kmh km/h", &[(0.0, 71.0), (2.0, 71.0)], &told);
}

#[test]
fn dates_and_times() {
    let moment = [(MOMENT_S, 9.0)];
    check_vehicle("Date (UTC),Time (UTC),speed_kmh\n24-May-2019,11:50:21 AM,9\n", "", &moment, &[NO_ZONE]);
    check_vehicle("GPS Time,speed_kmh\nFri May 24 13:50:21 GMT+02:00 2019,9\n", "", &moment, &[]);
    // 2019-06-05T11:50:21Z by `date -u +%s`.
    let june = [(1_559_735_421.0, 9.0)];
    check_vehicle("Date (dd/mm/yyyy),Time,speed_kmh\n05/06/2019,11:50:21,9\n", "", &june, &[NO_ZONE]);
    // Without an order the date is left aside, and the time of day counts.
    check_vehicle("Date,Time,speed_kmh\n05/06/2019,11:50:21,9\n", "", &[(42_621.0, 9.0)], &[]);
    check_vehicle("Time,speed_kmh\n59:59.5,9\n00:00.5,9\n", "", &[(3599.5, 9.0), (3600.5, 9.0)], &[]);
    check_vehicle("Time,speed_kmh\n23:15,9\n", "", &[], &["export them as 0:23:15"]);
    check_vehicle("timestamp,speed_kmh\n1.558698621000E+12,9\n", "", &moment, &[]);
    // 11:50:21 is 0.493 298 611 of day 43609, which is 2019-05-24.
    check_vehicle("Time,speed_kmh\n43609.493298611111,9\n", "time=Time days", &moment, &[]);
}

#[test]
fn positions() {
    let check = |text: &str| {
        check_track(text, "", (Some(44.305), Some(-103.475), None), &[]);
    };
    // 44.305 degrees are 44 degrees 18.3 minutes, or 18 minutes 18 seconds; 103.475 are 103 degrees 28.5 minutes.
    check("t_s,lat,N/S,lon,E/W\n0,4418.300,N,10328.500,W\n");
    check("t_s,lat,lon\n0,4418.3,-10328.5\n");
    check("t_s,lat,lon\n0,44.305N,103.475W\n");
    check("t_s,lat,lon\n0,N 44.305,W 103.475\n");
    check("t_s;lat;lon\n0;44°18'18,0\"N;103°28'30,0\"W\n");
    check("t_s,lat,lat_dir,lon,lon_dir\n0,44.305,N,103.475,W\n");
    check("t_s,latitudeE7,longitudeE7\n0,443050000,-1034750000\n");
}

/// How the first position is written tells for all; that none was found yet tells nothing.
#[test]
fn positions_that_differ_from_the_first() {
    let (track, problems) = track(b"t_s,lat,lon\n0,0,0\n1,4418.3,-10328.5\n2,44.1,-10328.5\n", "", 7);
    assert!((track.fixes.get(1).unwrap().latitude.unwrap().deg() - 44.305).abs() < 1e-9);
    let told = ["line 4, lat: expected a latitude", "a latitude and a longitude", "a position or a speed"];
    compare_told("", &problems, &told);
}

#[test]
fn units_in_the_cells() {
    let both = [(0.0, 50.5), (0.2, 49.889_664)];
    check_vehicle("t_s,speed_kmh\n0,50.5 km/h\n0.2,31 mph\n", "", &both, &[]);
    check_vehicle("t_s,speed_kmh\n0,50.5 rpm\n", "", &[], &["a speed from 0 to 500 m/s"]);
}

#[test]
fn headers_in_mid_file() {
    let rows = "0,50.5\n0.2,51\n";
    let units = "(s),(km/h)\n";
    let text = format!("time,speed\n{units}{rows}time,speed\n{units}0.4,52\n");
    check_vehicle(&text, "", &[(0.0, 50.5), (0.2, 51.0), (0.4, 52.0)], &[]);
    let text = format!("time_s,speed_kmh\n{rows}speed_mph,time_s\n31,0.4\n");
    let told = ["line 4, row: expected one header; found another in mid-file"];
    check_vehicle(&text, "", &[(0.0, 50.5), (0.2, 51.0), (0.4, 49.889_664)], &told);
}

#[test]
fn one_reading_in_each_row() {
    let row = |time_s: f64, name: &str, value: u32, unit: &str| {
        format!("\"{time_s}\";\"{name}\";\"{value}\";\"{unit}\"\n")
    };
    let text = [
        "SECONDS;PID;VALUE;UNITS\n".to_owned(),
        row(0.1, "Engine RPM", 1500, "rpm"),
        row(0.2, "Vehicle speed", 50, "km/h"),
        row(0.3, "Engine RPM", 1510, "rpm"),
        row(0.4, "Vehicle speed", 51, "km/h"),
    ]
    .concat();
    check_vehicle(&text, "", &[(0.2, 50.0), (0.4, 51.0)], &[]);
    let (log, problems) = vehicle(text.replace("Vehicle speed", "Coolant").as_bytes(), "", 7);
    assert_eq!((log.samples.len(), log.clock), (0, Clock::None));
    assert!(
        problems[0].to_string().contains("a row with a speed that the vehicle indicated"),
        "{problems:?}"
    );
}
