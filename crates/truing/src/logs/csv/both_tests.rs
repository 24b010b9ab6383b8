//! One file with a track and the vehicle's own speed; tracks of one reading in each row; names misspelt.

use super::tests::{check_track, check_vehicle, compare_told, track, vehicle};
use crate::logs::{Clock, Fix};

/// A file with these names for the receiver's and the vehicle's speed: 36 and 54 km/h, given as both.
fn check_both(receiver: &str, own: &str) {
    let text = format!("time_s,lat,lon,{receiver},{own}\n0,48.25,11.5,36,54\n");
    check_track(&text, "", (Some(48.25), Some(11.5), Some(10.0)), &[]);
    check_vehicle(&text, "", &[(0.0, 54.0)], &[]);
}

#[test]
fn the_same_file_as_track_and_as_vehicle_log() {
    for (receiver, own) in [
        ("GPS speed (km/h)", "Vehicle speed (km/h)"),
        ("Speed (GPS) (km/h)", "Speed (OBD) (km/h)"),
        ("gps_speed_kmh", "obd_speed_kmh"),
        ("gpsSpeedKmh", "vehicleSpeedKmh"),
        ("GPS-Speed [km/h]", "ECU-Speed [km/h]"),
        ("speed_gnss_kmh", "speed_wheel_kmh"),
        ("Ground speed km/h", "VSS km/h"),
        ("Speed over ground (km/h)", "010D (km/h)"),
        ("Vehicle speed (GPS) (km/h)", "Vehicle speed (OBD) (km/h)"),
        ("Speed (km/h)", "Vehicle speed (km/h)"),
        ("speed_kmh", "can_speed_kmh"),
        ("GPS speed (km/h)", "Speed (km/h)"),
    ] {
        // A speed of nobody's beside positions serves whichever has none of its own.
        let text = format!("time_s,lat,lon,{receiver},{own}\n0,48.25,11.5,36,54\n");
        if own == "Speed (km/h)" {
            check_track(&text, "", (Some(48.25), Some(11.5), Some(10.0)), &[]);
            let told = ["comparing it with the track shows nothing"];
            check_vehicle(&text, "", &[(0.0, 54.0)], &told);
        } else {
            check_both(receiver, own);
        }
    }
    // The standard has the unit where the name has not, and that is said.
    let text = "time_s,lat,lon,gps speed kmh,010D\n0,48.25,11.5,36,54\n";
    check_track(text, "", (Some(48.25), Some(11.5), Some(10.0)), &[]);
    check_vehicle(text, "", &[(0.0, 54.0)], &["found \"010D\". taken as the vehicle's speed in km/h"]);
}

#[test]
fn a_speed_of_nobodys_beside_positions_stays_what_it_was() {
    let text = "time_s,lat,lon,speed_kmh\n0,48.25,11.5,36\n";
    check_track(text, "", (Some(48.25), Some(11.5), Some(10.0)), &[]);
    check_vehicle(text, "", &[(0.0, 36.0)], &["comparing it with the track shows nothing"]);
    // The vehicle's own speed is no receiver's.
    let own = "time_s,lat,lon,obd_speed_kmh\n0,48.25,11.5,36\n";
    check_track(
        own,
        "",
        (Some(48.25), Some(11.5), None),
        &["a speed over ground; found only \"obd_speed_kmh\""],
    );
    let receivers = "time_s,lat,lon,Vehicle speed (GPS) (km/h)\n0,48.25,11.5,36\n";
    check_vehicle(receivers, "", &[], &["a speed that the vehicle indicated; found only"]);
}

#[test]
fn misspelt_names_are_understood_and_said() {
    let told = [
        "lat: expected a usual name of the column; found \"lattitude\". taken as latitude",
        "taken as longitude",
    ];
    check_track("time_s,lattitude,longtitude\n0,48.25,11.5\n", "", (Some(48.25), Some(11.5), None), &told);
    let told = ["taken as latitude", "taken as longitude"];
    check_track(
        "time_s,Latitide (deg),Longditude (deg)\n0,48.25,11.5\n",
        "",
        (Some(48.25), Some(11.5), None),
        &told,
    );
    // What is spelt right counts; what could be two things does not.
    check_track(
        "time_s,latitude,longitude,lattitude\n0,48.25,11.5,9\n",
        "",
        (Some(48.25), Some(11.5), None),
        &[],
    );
    let (track, problems) = track(b"time_s,atitude,longitude,kmh\n0,48.25,11.5,36\n", "", 7);
    assert_eq!(track.fixes.get(0).unwrap().latitude, None, "{problems:?}");
}

/// Fixes as time (s), latitude, longitude (degrees) and speed (km/h).
type Row = (f64, Option<f64>, Option<f64>, Option<f64>);

fn check_readings(text: &str, expected: &[Row], told: &[&str]) {
    let (track, problems) = track(text.as_bytes(), "", 7);
    compare_told(text, &problems, told);
    let rounded = |value: f64| (value * 1e6).round() / 1e6;
    let row = |fix: Fix| {
        let speed = fix.speed.map(|speed| rounded(speed.km_per_h()));
        let degrees = |angle: Option<metrology::quantity::Angle>| angle.map(|angle| rounded(angle.deg()));
        (rounded(fix.time.unwrap().s()), degrees(fix.latitude), degrees(fix.longitude), speed)
    };
    let found: Vec<Row> = track.fixes.iter().map(row).collect();
    assert_eq!(found, expected, "{text}");
}

#[test]
fn one_reading_in_each_row_as_a_track() {
    let rows = |rows: &[(&str, &str, &str)]| -> String {
        let row = |(time, name, value): &(&str, &str, &str)| {
            let unit = if name.contains("peed") { "km/h" } else { "" };
            format!("{time},{name},{value},{unit}\n")
        };
        format!("time_s,name,value,unit\n{}", rows.iter().map(row).collect::<String>())
    };
    let fix = |time: f64, speed| (time, Some(48.25), Some(11.5), speed);
    // All of a moment together.
    let text = rows(&[
        ("1", "Latitude", "48.25"),
        ("1", "Longitude", "11.5"),
        ("1", "GPS Speed", "36"),
        ("1", "Vehicle speed", "54"),
        ("1", "Engine RPM", "1500"),
        ("2", "GPS Speed", "36"),
        ("2", "Latitude", "48.25"),
        ("2", "Longitude", "11.5"),
    ]);
    check_readings(&text, &[fix(1.0, Some(36.0)), fix(2.0, Some(36.0))], &[]);
    let (log, problems) = vehicle(text.as_bytes(), "", 7);
    assert_eq!((log.samples.len(), problems.len(), log.clock), (1, 0, Clock::Elapsed), "{problems:?}");
    // Each at its own time: a speed between the halves of a position is a fix of its own.
    let apart = rows(&[
        ("1.0", "Latitude", "48.25"),
        ("1.1", "GPS Speed", "36"),
        ("1.2", "Longitude", "11.5"),
        ("2.0", "Latitude", "48.25"),
        ("2.2", "Longitude", "11.5"),
        ("2.5", "GPS Speed", "37"),
    ]);
    let speed = |time, speed| (time, None, None, Some(speed));
    check_readings(&apart, &[speed(1.1, 36.0), fix(1.0, None), fix(2.0, None), speed(2.5, 37.0)], &[]);
    // A receiver's speed comes before one of nobody's.
    let two = rows(&[
        ("1", "Speed", "54"),
        ("1", "GPS Speed", "36"),
        ("2", "Speed", "54"),
        ("2", "GPS Speed", "37"),
    ]);
    let (found, _) = track(two.as_bytes(), "", 7);
    assert_eq!(
        found.fixes.iter().filter_map(|fix| fix.speed).next_back().map(|speed| speed.km_per_h().round()),
        Some(37.0)
    );
}

#[test]
fn readings_beside_positions() {
    let text = "time_s,lat,lon,name,value\n1,48.25,11.5,Engine RPM,9000\n1,48.25,11.5,GPS speed (km/h),36\n\
                1,48.25,11.5,OBD speed (km/h),54\n2,48.25,11.5,OBD speed (km/h),54\n";
    let fix = |time: f64, speed| (time, Some(48.25), Some(11.5), speed);
    check_readings(text, &[fix(1.0, Some(36.0)), fix(2.0, None)], &[]);
    check_vehicle(text, "", &[(1.0, 54.0), (2.0, 54.0)], &[]);
    // Whoever names columns gets those.
    check_vehicle(
        text,
        "speed=value km/h",
        &[(1.0, 36.0), (1.0, 54.0), (2.0, 54.0)],
        &["a speed from 0 to 500"],
    );
}

#[test]
fn damaged_readings() {
    check_readings(
        "time_s,name,value\n1,Latitude,x\n1,Longitude,11.5\n",
        &[],
        &["a latitude from", "a latitude and a longitude", "position or a speed"],
    );
    check_readings("time_s,name,value\n1,Coolant,90\n1,Lat", &[], &["rows with latitudes and longitudes"]);
}
