//! Texts of cues in the spellings that cameras use.

use super::*;
use proptest::prelude::*;

fn check_position(text: &str, expected: Option<(f64, f64)>) {
    let found = read(text).position;
    let close = found.zip(expected).is_none_or(|(found, expected)| {
        (found.0 - expected.0).abs() < 1e-9 && (found.1 - expected.1).abs() < 1e-9
    });
    assert!(found.is_some() == expected.is_some() && close, "{text}: {found:?}");
}

fn check_speed(text: &str, expected: Option<f64>) {
    let found = read(text).speed_m_per_s;
    let close = found.zip(expected).is_none_or(|(found, expected)| (found - expected).abs() < 1e-9);
    assert!(found.is_some() == expected.is_some() && close, "{text}: {found:?}");
}

#[test]
fn positions() {
    for text in [
        "lat: 48.25 lon: -11.5",
        "Altitude: 520 Latitude: 48.25 Longitude: -11.5",
        "[latitude: 48.25000] [longitude: -11.50000] [rel_alt: 1.2]",
        "Latitude=48.25;Longtitude=-11.5;Speed=3",
        "LAT 48.25N LNG 11.5W",
        "N48.25 W11.5",
        "N:48.25 W:11.5 52 km/h",
        "48.25N, 11.5W",
        "48\u{b0}15'00.0\"N 11\u{b0}30'00\"W",
        "N 48\u{b0}15.0' W 11\u{b0}30.0'",
        "GPS 48.25000, -11.50000",
        "GPS(48.25000,-11.50000,520)",
        "gps_lat 48,2500 gps_lon -11,5000",
    ] {
        check_position(text, Some((48.25, -11.5)));
    }
    check_position("GPS (139.70000, 35.60000)", Some((35.6, 139.7)));
    for text in
        ["", "lat 48.25", "GPS 3 of 12", "at 48.25, -11.5", "the nurse said", "N E", "lat: N/A lon: N/A"]
    {
        check_position(text, None);
    }
}

#[test]
fn speeds() {
    let (km_per_h, mi_per_h) = (1.0 / 3.6, 0.44704);
    check_speed("52 km/h", Some(52.0 * km_per_h));
    check_speed("52km/h N48.25", Some(52.0 * km_per_h));
    check_speed("Speed: 32 MPH", Some(32.0 * mi_per_h));
    check_speed("SPD 52 KPH, ALT 520 m", Some(52.0 * km_per_h));
    check_speed("gps_speed: 14.5 m/s", Some(14.5));
    check_speed("speed (km/h): 52", Some(52.0 * km_per_h));
    check_speed("Speed[mph]=32", Some(32.0 * mi_per_h));
    check_speed("V.S 0.1m/s H.S 3.2m/s", Some(3.2));
    check_speed("H 3.2 m/s, vertical 0.1 m/s", Some(3.2));
    check_speed("vertical speed 0.1 m/s, speed 3.2 m/s", Some(3.2));
    check_speed("28 kts", Some(28.0 * 1852.0 / 3600.0));
    for text in ["Speed: 52", "wind 12 km/h", "speed limit 50 km/h", "12 ms", "km/h"] {
        check_speed(text, None);
    }
    assert!(read("Speed: 52").speed_without_unit && !read("52 km/h").speed_without_unit);
}

#[test]
fn times() {
    let check = |text: &str, expected: Option<f64>| {
        assert_eq!(read(text).time.map(|time| time.unix_s), expected, "{text}");
    };
    // 1558698621 by `date -u -d 2019-05-24T11:50:21Z +%s`.
    for text in [
        "2019-05-24 11:50:21 52 km/h",
        "at 24.05.2019 11:50:21, N48.25",
        "2019/05/24 11:50:21 AM",
        "<b>2019-05-24T11:50:21Z</b>",
        "[2019.05.24 11:50:21] lat: 48.25",
    ] {
        check(text, Some(1_558_698_621.0));
    }
    check("2019-05-24 11:50:21,500,125", Some(1_558_698_621.5));
    check("speed 52 km/h 11:50:21", None);
    assert_eq!(
        read("2019-05-24 11:50:21 52 km/h").speed_m_per_s.map(|speed| (speed * 3.6).round()),
        Some(52.0)
    );
}

proptest! {
    #[test]
    fn no_text_does_harm(text in prop_oneof!["\\PC{0,60}", "[0-9NEWS.,:°'\"/ \\-+latonsped<>kmh\u{e9}]{0,60}"]) {
        let said = read(&text);
        prop_assert!(said.speed_m_per_s.is_none_or(f64::is_finite));
    }
}
