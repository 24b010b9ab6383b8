//! Names of columns, and what they are taken for.

use super::*;

fn check(name: &str, expected: Option<(Role, Option<f64>, Channel)>) {
    let found = classify(0, name).map(|column| (column.role, column.factor, column.channel));
    assert_eq!(found, expected, "{name}");
}

#[test]
fn speeds() {
    use Channel::{Gnss, Untold, Vehicle};
    let (km_per_h, mi_per_h) = (Some(1.0 / 3.6), Some(0.44704));
    let speed = |factor, channel| Some((Role::Speed, factor, channel));
    check("speed_kmh", speed(km_per_h, Untold));
    check("Speed (km/h)", speed(km_per_h, Untold));
    check("speed [mph]", speed(mi_per_h, Untold));
    check("gps_speed_m_per_s", speed(Some(1.0), Gnss));
    check("speed_m_s", speed(Some(1.0), Untold));
    check("speed_ms", speed(Some(1.0), Untold));
    check("Speed (GPS)(km/h)", speed(km_per_h, Gnss));
    check("Speed (OBD)(mph)", speed(mi_per_h, Vehicle));
    check("vehicleSpeed", speed(None, Vehicle));
    check("GPSSpeedKmh", speed(km_per_h, Gnss));
    check("vehicle speed, km/h", speed(km_per_h, Vehicle));
    check("speedometer speed mph", speed(mi_per_h, Vehicle));
    check("wheel speed", speed(None, Vehicle));
    for name in [
        "Vehicle speed (km/h)",
        "Speed (OBD) [km/h]",
        "speed_obd_kmh",
        "OBD Speed(km/h)",
        "obdSpeedKmh",
        "SpeedOBD km/h",
        "ECU speed, km/h",
        "VSS (km/h)",
        "CAN speed km/h",
        "Ground speed (OBD) (km/h)",
        "Tachograph speed [km/h]",
        "010D",
        "0x0D",
        "PID 0D",
        "010D (km/h)",
        "01-0D Vehicle Speed (km/h)",
    ] {
        check(name, speed(km_per_h, Vehicle));
    }
    check("010D [mph]", speed(mi_per_h, Vehicle));
    for name in [
        "gps speed kmh",
        "Speed (GPS) km/h",
        "GPS-Speed [km/h]",
        "speed_gps_kmh",
        "Vehicle speed (GPS) (km/h)",
        "Ground speed (km/h)",
    ] {
        check(name, speed(km_per_h, Gnss));
    }
    check("GPS speed minus OBD speed (km/h)", speed(km_per_h, Untold));
    check("MPH", speed(mi_per_h, Untold));
    for other in
        ["engine_speed", "speed_accuracy", "speed limit (mph)", "speed_source", "rpm", "fl_m_s", "ms", ""]
    {
        check(other, None);
    }
}

#[test]
fn other_columns() {
    let degree = Some(core::f64::consts::PI / 180.0);
    let check_role = |name: &str, role, factor| {
        let column = classify(0, name).unwrap_or_else(|| panic!("{name} has a role"));
        assert_eq!((column.role, column.factor), (role, factor), "{name}");
    };
    check_role("time", Role::Time, None);
    check_role("time_ms", Role::Time, Some(1e-3));
    check_role("t_s", Role::Time, Some(1.0));
    check_role("gps_sec", Role::Time, Some(1.0));
    check_role("gps_epoch_ms", Role::Time, Some(1e-3));
    check_role("Device Time", Role::Time, None);
    check_role("gps_lat", Role::Latitude, None);
    check_role("Longitude [deg]", Role::Longitude, degree);
    check_role("gps_elevation", Role::Elevation, None);
    check_role("alt_ft", Role::Elevation, Some(0.3048));
    check_role("bearing_deg", Role::Course, degree);
    check_role("gps_hdop", Role::Hdop, None);
    assert!(classify(0, "Date").is_some_and(|column| column.is_date));
}

#[test]
fn misspelt_names() {
    let check = |name: &str, expected: Option<(Role, &str)>| {
        let found =
            classify_misspelt(0, name).map(|column| (column.role, column.taken_for.unwrap_or_default()));
        assert_eq!(found, expected, "{name}");
    };
    for name in ["lattitude", "latitide", "Latitud", "gps_latutide", "gpsLattitude", "Lattitude (deg)"] {
        check(name, Some((Role::Latitude, "latitude")));
    }
    for name in ["longtitude", "Longditude", "logitude", "langitude", "Longitud [deg]"] {
        check(name, Some((Role::Longitude, "longitude")));
    }
    check("tiemstamp", Some((Role::Time, "timestamp")));
    check("altitud", Some((Role::Elevation, "altitude")));
    check("velocty m/s", Some((Role::Speed, "velocity")));
    // A slip from two words at once, words of their own, and words too far away.
    for name in
        ["atitude", "attitude", "magnitude", "longitudinal", "lateral", "location", "latency", "lat", ""]
    {
        check(name, None);
    }
    assert!(classify_misspelt(0, "lattitude accuracy").is_none());
    let header =
        |cells: &[&str]| Header::new(cells, &CsvOptions::default()).map(|header| header.columns.len());
    assert_eq!(header(&["time", "lattitude", "longtitude"]), Some(3));
    assert_eq!(header(&["time", "latitude", "lattitude"]), Some(2), "what is spelt right comes first");
    assert_eq!(header(&["x"; MOST_COLUMNS + 1]), None);
}

#[test]
fn headers() {
    let options = CsvOptions::default();
    assert!(Header::new(&["gps_sec", "ref_vf", "obd_speed"], &options).is_some());
    assert!(Header::new(&["331955.6", "0.005", "0"], &options).is_none());
    assert!(Header::new(&["Trip of the day", "time"], &options).is_none());
    let options = CsvOptions::parse("speed=ref_vf m/s").unwrap();
    let header = Header::new(&["x", "REF_VF"], &options).unwrap();
    let column = header.chosen(Role::Speed, &options).unwrap().unwrap();
    assert_eq!((column.index, column.factor), (1, Some(1.0)));
    let options = CsvOptions::parse("speed=ref vf").unwrap();
    assert!(header.chosen(Role::Speed, &options).unwrap().is_err());
    assert!(header.chosen(Role::Time, &options).is_none());
}
