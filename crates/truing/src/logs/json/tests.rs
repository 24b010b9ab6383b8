//! GeoJSON and plain JSON, whole and damaged.

use super::*;
use crate::logs::Fix;
use proptest::prelude::*;

fn read(text: &str, chunk_bytes: usize, columns: &str) -> (Track, Vec<String>) {
    let mut reader = JsonReader::for_track("drive.json", CsvOptions::parse(columns).unwrap());
    text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    let (track, problems) = reader.finish();
    (track, problems.iter().map(Problem::to_string).collect())
}

fn check(text: &str, fixes: usize, told: &[&str]) -> Vec<Fix> {
    let (track, problems) = read(text, 7, "");
    assert_eq!((track.fixes.len(), problems.len()), (fixes, told.len()), "{text}: {problems:?}");
    assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
    assert_eq!(read(text, 1 << 20, ""), (track.clone(), problems));
    track.fixes.iter().collect()
}

/// Time (s), latitude, longitude (degrees), speed (km/h) of a fix.
fn check_fix(fix: &Fix, expected: (f64, f64, f64, Option<f64>)) {
    let found = (fix.time.unwrap().s(), fix.latitude.unwrap().deg(), fix.longitude.unwrap().deg());
    assert!((found.0 - expected.0).abs() < 1e-6, "{fix:?}");
    assert!((found.1 - expected.1).abs() < 1e-9 && (found.2 - expected.2).abs() < 1e-9, "{fix:?}");
    let speed = fix.speed.map(|speed| (speed.km_per_h() * 1e6).round() / 1e6);
    assert_eq!(speed, expected.3, "{fix:?}");
}

/// 2019-05-24T11:50:21Z by `date -u +%s`.
const MOMENT_S: f64 = 1_558_698_621.0;

#[test]
fn arrays_of_objects() {
    let expected = (MOMENT_S, 48.25, 11.5, Some(36.0));
    for object in [
        r#"{"time":"2019-05-24T11:50:21Z","lat":48.25,"lon":11.5,"speed_kmh":36}"#,
        r#"{"timestamp":1558698621000,"latitude":48.25,"lng":11.5,"speed (m/s)":"10"}"#,
        r#"{"ts":1558698621,"location":{"lat":48.25,"lon":11.5,"speed_kmh":36.0},"tags":["a","b"]}"#,
        r#"{"timestamp":1558698621000,"coords":{"latitude":48.25,"longitude":11.5,"accuracy":4,"speed":10}}"#,
        r#"{"when":{"time":"2019-05-24T11:50:21Z"},"position":{"lat":48.25,"lon":11.5},"note":null,"gps_speed_kmh":36}"#,
    ] {
        check_fix(&check(&format!("[{object}]"), 1, &[])[0], expected);
        let fixes = check(&format!("{{\"name\":\"one\",\"points\":[{object},{object}]}}"), 2, &[]);
        check_fix(&fixes[1], expected);
        // One object in each line, with a mark between texts (RFC 7464) or none.
        assert_eq!(check(&format!("{object}\n\u{1e}{object}\n{object}"), 3, &[]).len(), 3);
    }
}

#[test]
fn values_that_come_later() {
    let at = |second: usize, more: &str| {
        format!(r#"{{"time":{},"lat":48.25,"lon":11.5{more}}}"#, 1_558_698_621 + second)
    };
    let rows: Vec<String> = (0..200)
        .map(|second| at(second, if second % 100 == 90 { ",\"speed_kmh\":36" } else { "" }))
        .collect();
    let fixes = check(&format!("[{}]", rows.join(",\n")), 200, &[]);
    assert_eq!(fixes.iter().filter(|fix| fix.speed.is_some()).count(), 2);
    assert_eq!((fixes[199].line, fixes[0].line), (200, 1));
}

#[test]
fn a_speed_without_a_unit_is_not_guessed() {
    let text = r#"[{"time":1558698621,"lat":48.25,"lon":11.5,"speed":10}]"#;
    assert_eq!(check(text, 1, &["the unit of the speed; found column \"speed\""])[0].speed, None);
    let (track, problems) = read(text, 9, "speed=speed m/s");
    assert_eq!((track.fixes.get(0).unwrap().speed.unwrap().m_per_s(), problems.len()), (10.0, 0));
}

#[test]
fn geojson_points() {
    let point = |time: &str, speed: &str| {
        format!(
            r#"{{"type":"Feature","geometry":{{"type":"Point","coordinates":[11.5,48.25,520.5]}},"properties":{{"time":"{time}","speed_kmh":{speed},"name":"x"}}}}"#
        )
    };
    let text = format!(
        r#"{{"type":"FeatureCollection","features":[{},{}]}}"#,
        point("2019-05-24T11:50:21Z", "36"),
        point("2019-05-24T11:50:22Z", "null")
    );
    let fixes = check(&text, 2, &[]);
    check_fix(&fixes[0], (MOMENT_S, 48.25, 11.5, Some(36.0)));
    check_fix(&fixes[1], (MOMENT_S + 1.0, 48.25, 11.5, None));
    assert_eq!(fixes[0].elevation.unwrap().m(), 520.5);
}

#[test]
fn geojson_lines() {
    let times = r#"["2019-05-24T11:50:21Z","2019-05-24T11:50:22Z"]"#;
    let line = "[[11.5,48.25,520],[11.501,48.25]]";
    for properties in [
        format!(r#""properties":{{"coordTimes":{times},"speeds_kmh":[36,72]}}"#),
        format!(r#""properties":{{"times":{times},"speed_kmh":[36,72]}}"#),
        format!(r#""properties":{{"coordinateProperties":{{"times":{times},"speed_kmh":[36,72]}}}}"#),
    ] {
        let geometry = format!(r#""geometry":{{"type":"LineString","coordinates":{line}}}"#);
        for inside in [format!("{geometry},{properties}"), format!("{properties},{geometry}")] {
            let fixes = check(&format!("{{\"type\":\"Feature\",{inside}}}"), 2, &[]);
            let speed = fixes[1].speed.map(|_| 72.0);
            check_fix(&fixes[1], (MOMENT_S + 1.0, 48.25, 11.501, speed));
            assert_eq!(fixes.iter().map(|fix| fix.starts_segment).collect::<Vec<_>>(), [true, false]);
        }
    }
    let parts = format!(
        r#"{{"type":"FeatureCollection","features":[{{"geometry":{{"type":"MultiLineString","coordinates":[{line},{line}]}},"properties":{{"coordTimes":[{times},{times}]}}}}]}}"#
    );
    let fixes = check(&parts, 4, &[]);
    assert_eq!(fixes.iter().map(|fix| fix.starts_segment).collect::<Vec<_>>(), [true, false, true, false]);
}

#[test]
fn lists_beside_each_other() {
    let text = r#"{"time":[0,1,2],"lat":[48.25,48.25,48.25],"lon":[11.5,11.501,11.502],"speed_kmh":[36,36,36],"heart":[1]}"#;
    let fixes = check(text, 3, &["the unit of elapsed times"]);
    check_fix(&fixes[2], (2.0, 48.25, 11.502, Some(36.0)));
}

#[test]
fn a_vehicle_log() {
    let mut reader = JsonReader::for_vehicle("trip.json", CsvOptions::default());
    reader.feed(br#"[{"time_ms":0,"obd":{"speed_kmh":50}},{"time_ms":200,"obd":{"speed_kmh":51}}]"#);
    let (log, problems) = reader.finish();
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!((log.samples.len(), log.samples[1].time.s()), (2, 0.2));
}

#[test]
fn damaged_and_hostile_files() {
    let object = r#"{"time":1558698621,"lat":48.25,"lon":11.5}"#;
    check(&format!("[{object},{object},{{\"time\":15586"), 2, &["the file was cut short"]);
    check(
        &format!("[{object},{{\"time\":NaN,\"lat\":48.25,\"lon\":11.5}}]"),
        2,
        &["numbers, texts and closed"],
    );
    check(&format!("[{object}{}", "[".repeat(100)), 1, &["at most 64 levels"]);
    check("{}", 0, &["objects with a time and a position or a speed; found 1 objects without such names"]);
    check("[1,2,3]", 0, &["found no object"]);
    check(r#"{"a":{"b":"c"},"d":1}"#, 0, &["found 1 objects with the names a.b, d"]);
    let times = r#"{"geometry":{"coordinates":[[11.5,48.25],[11.5,48.26]]},"properties":{"coordTimes":[0]}}"#;
    check(times, 0, &["as many values as positions", "a column of times"]);
    // Thousands of names, and other names in every object.
    let names: String = (0..5000).map(|index| format!("\"speed{index}_kmh\":1,")).collect();
    let (_, problems) = read(&format!("[{{{names}\"time\":1}},{{{names}\"time\":1}}]"), 4096, "");
    assert!(problems.iter().all(|told| told.len() < 10_000), "{problems:?}");
    let objects: String = (0..5000)
        .map(|index| format!("{{\"time\":1,\"lat\":1,\"lon{index}\":1,\"x{index} speed\":1}},"))
        .collect();
    let (_, problems) = read(&format!("[{objects}]"), 4096, "");
    assert!(problems.len() < 200, "{}", problems.len());
}

proptest! {
    #[test]
    fn any_pieces_in_any_chunks(
        parts in proptest::collection::vec(prop_oneof![
            Just("{"), Just("}"), Just("["), Just("]"), Just("\"time\":"), Just("\"lat\":"), Just("\"lon\":"),
            Just("\"coordinates\":"), Just("\"properties\":"), Just("\"coordTimes\":"), Just("1.5"), Just("1558698621"),
            Just("\"speed_kmh\":"), Just(","), Just("null"), Just("\"x"), Just("\u{e9}"),
        ], 0..50),
        chunk_bytes in 1usize..20,
    ) {
        let text = format!("[{}", parts.concat());
        prop_assert_eq!(read(&text, chunk_bytes, ""), read(&text, 1 << 20, ""));
    }
}
