//! Distances against published geodesics and the general solution.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use metrology::geodesy::{LONGEST_LOCAL_STEP_M, Path, Position, distance};
use metrology::quantity::Length;
use proptest::prelude::*;

/// Distances printed to six decimals are good to half of the last one.
const PRINTED_M: f64 = 0.51e-6;
/// Published distances carry seven decimals or more; doubles hold coordinates to about 3 nm.
const PUBLISHED_M: f64 = 10e-9;
/// Largest relative error claimed for local steps, by length in metres.
const STEP_CLAIMS: [(f64, f64); 7] = [
    (1.0, 3e-9),
    (10.0, 3e-10),
    (30.0, 1e-10),
    (100.0, 3e-11),
    (1000.0, 5e-11),
    (3000.0, 1e-9),
    (4999.0, 1e-9),
];
/// The largest of these for steps over a few metres.
const LOCAL_CLAIM: f64 = 1e-9;
/// What a double holds of a coordinate: half a turn in steps of 4.4e-16 rad, twice, on the radius of the earth.
const COORDINATE_M: f64 = 6e-9;

fn check(from: (f64, f64), to: (f64, f64), expected_m: f64, tolerance_m: f64) {
    let (from, to) = (Position::from_deg(from.0, from.1), Position::from_deg(to.0, to.1));
    for found in [distance(from, to), distance(to, from)] {
        assert!((found.m() - expected_m).abs() <= tolerance_m, "{from:?} {to:?}: {} {expected_m}", found.m());
    }
}

#[test]
fn reference_pairs() {
    // By GeographicLib (PyPI); the first two are also printed in its public examples.
    check((40.6, -73.8), (51.6, -0.5), 5_551_759.400319, PRINTED_M);
    check((-41.32, 174.81), (40.96, -5.50), 19_959_679.267354, PRINTED_M);
    check((35.60777, -139.44815), (-11.17491, -69.95921), 8_935_244.560482, PRINTED_M);
    check((55.52454, 106.05087), (77.03196, 197.18234), 4_105_086.171392, PRINTED_M);
    check((0.0, 0.0), (0.5, 179.5), 19_936_288.578965, PRINTED_M);
    check((0.0, 0.0), (0.5, 179.7), 19_944_127.420750, PRINTED_M);
    check((0.0, 0.0), (0.0, 1.0), 111_319.490793, PRINTED_M);
    check((0.0, 0.0), (1.0, 0.0), 110_574.388558, PRINTED_M);
    check((0.0, 0.0), (90.0, 0.0), 10_001_965.729313, PRINTED_M);
    check((45.0, 0.0), (45.01, 0.0), 1111.318751, PRINTED_M);
    check((40.0, -105.0), (40.0, -104.98), 1707.877136, PRINTED_M);
    check((52.0, 0.0), (52.0, 0.02), 1373.560317, PRINTED_M);
    check((38.0, -97.0), (38.0144957, -97.0), 1608.973615, PRINTED_M);
}

#[test]
fn published_set() {
    let mut rows = 0;
    for line in include_str!("data/geodesics.txt").lines().filter(|line| !line.starts_with('#')) {
        let values: Vec<f64> = line.split(' ').map(|value| value.parse().unwrap()).collect();
        let [from_lat, from_lon, to_lat, to_lon, expected_m] = values[..] else { panic!("{line}") };
        let local_m = if expected_m < LONGEST_LOCAL_STEP_M { expected_m * LOCAL_CLAIM } else { 0.0 };
        check((from_lat, from_lon), (to_lat, to_lon), expected_m, PUBLISHED_M + local_m);
        rows += 1;
    }
    assert_eq!(rows, 92);
}

#[test]
fn a_general_library_agrees() {
    // geographiclib of PyPI by `reference/compare.py`; versions stand in its output.
    let outputs: serde_json::Value = serde_json::from_str(include_str!("reference/outputs.json")).unwrap();
    let rows = outputs["geodesics"].as_array().unwrap();
    assert_eq!(rows.len(), 66);
    for row in rows {
        let number = |index: usize| row[index].as_f64().unwrap();
        let expected_m = number(4);
        let local_m = if expected_m < LONGEST_LOCAL_STEP_M { expected_m * LOCAL_CLAIM } else { 0.0 };
        let tolerance_m = PUBLISHED_M + COORDINATE_M + local_m;
        check((number(0), number(1)), (number(2), number(3)), expected_m, tolerance_m);
    }
}

/// The whole published set, 500 000 rows, is too large to ship: GeodTest.dat of <https://doi.org/10.5281/zenodo.32156>, unpacked.
/// `GEODESIC_SET=GeodTest.dat cargo test -p metrology --test geodesy -- --ignored`
#[test]
#[ignore = "needs the published set, named by GEODESIC_SET"]
#[expect(clippy::disallowed_methods, reason = "the set is a file of its own")]
fn the_whole_published_set() {
    let path = std::env::var("GEODESIC_SET").expect("GEODESIC_SET names the file");
    let text = std::fs::read_to_string(path).expect("the file can be read");
    let mut worst_m = 0.0_f64;
    let mut rows = 0;
    for line in text.lines() {
        // lat1 lon1 azi1 lat2 lon2 azi2 s12 a12 m12 S12
        let values: Vec<f64> = line.split_whitespace().map(|value| value.parse().unwrap()).collect();
        let (from, to) = (Position::from_deg(values[0], values[1]), Position::from_deg(values[3], values[4]));
        let expected_m = values[6];
        let local_m = if expected_m < LONGEST_LOCAL_STEP_M { expected_m * LOCAL_CLAIM } else { 0.0 };
        worst_m = worst_m.max((distance(from, to).m() - expected_m).abs() - local_m);
        rows += 1;
    }
    println!("{rows} rows, worst {worst_m:.1e} m");
    assert!(rows > 90 && worst_m <= PUBLISHED_M, "{worst_m}");
}

#[test]
fn across_the_antimeridian() {
    // The same step as at longitude 0, moved half a turn.
    check((52.0, 179.99), (52.0, -179.99), 1373.560317, PRINTED_M);
    check((52.0, 179.99), (52.0, 180.01), 1373.560317, PRINTED_M);
    check((52.0, 359.99), (52.0, 0.01), 1373.560317, PRINTED_M);
}

fn oracle_m(from: Position, to: Position) -> f64 {
    Geodesic::wgs84().inverse(
        from.latitude.deg(),
        from.longitude.deg(),
        to.latitude.deg(),
        to.longitude.deg(),
    )
}

/// The place at a distance and azimuth (degrees) from another.
fn go(from: Position, azimuth: f64, length_m: f64) -> Position {
    let (lat, lon) = Geodesic::wgs84().direct(from.latitude.deg(), from.longitude.deg(), azimuth, length_m);
    Position::from_deg(lat, lon)
}

fn worst_step_error(length_m: f64) -> f64 {
    let places =
        (0..90).flat_map(|latitude| (0..24).map(move |turn| (f64::from(latitude), f64::from(turn) * 15.0)));
    let error = |(latitude, azimuth)| {
        let from = Position::from_deg(latitude, 0.0);
        let to = go(from, azimuth, length_m);
        let expected_m = oracle_m(from, to);
        (distance(from, to).m() / expected_m - 1.0).abs()
    };
    places.map(error).fold(0.0, f64::max)
}

#[test]
fn step_table() {
    for (length_m, claim) in STEP_CLAIMS {
        let found = worst_step_error(length_m);
        println!("//! | {length_m} m | {found:.1e} |");
        assert!(found <= claim, "{length_m} m: {found:e} over {claim:e}");
    }
}

fn plane_length_m(from: (Length, Length), to: (Length, Length)) -> f64 {
    (to.0.m() - from.0.m()).hypot(to.1.m() - from.1.m())
}

proptest! {
    #[test]
    fn distances_agree_with_the_general_solution(
        latitude in -89.9f64..89.9, longitude in -180f64..180.0, azimuth in 0f64..360.0, log_length in 0f64..7.2,
    ) {
        let from = Position::from_deg(latitude, longitude);
        let to = go(from, azimuth, 10f64.powf(log_length));
        let expected_m = oracle_m(from, to);
        let allowed_m = COORDINATE_M + expected_m * LOCAL_CLAIM;
        prop_assert!((distance(from, to).m() - expected_m).abs() <= allowed_m);
        prop_assert!((distance(from, to).m() - distance(to, from).m()).abs() <= COORDINATE_M);
    }

    /// Steps of 1 m to 20 km anywhere on a way of 100 km and more keep their length to 1e-6 and far better.
    #[test]
    fn paths_keep_every_step(latitude in -80f64..80.0, steps in proptest::collection::vec((0f64..360.0, 0f64..4.3), 1..40)) {
        let mut last = Position::from_deg(latitude, 179.9);
        let mut path = Path::new(last);
        let mut last_plane = path.go_to(last);
        for (azimuth, log_length) in steps {
            let next = go(last, azimuth, 10f64.powf(log_length));
            let plane = path.go_to(next);
            let expected_m = oracle_m(last, next);
            // The sum of steps is held in doubles up to some 800 km.
            let allowed_m = COORDINATE_M + expected_m * LOCAL_CLAIM;
            prop_assert!((plane_length_m(last_plane, plane) - expected_m).abs() <= allowed_m);
            (last, last_plane) = (next, plane);
        }
    }

    #[test]
    fn both_ways_of_reckoning_meet(latitude in -85f64..85.0, azimuth in 0f64..360.0) {
        let from = Position::from_deg(latitude, 0.0);
        let below = distance(from, go(from, azimuth, LONGEST_LOCAL_STEP_M - 0.01)).m();
        let above = distance(from, go(from, azimuth, LONGEST_LOCAL_STEP_M + 0.01)).m();
        prop_assert!((above - below - 0.02).abs() < 1e-5);
    }
}
