use super::*;
use crate::logs::{Clock, Fix};
use crate::problem::Severity;
use proptest::prelude::*;

fn options(text: &str) -> CsvOptions {
    CsvOptions::parse(text).unwrap()
}

pub(super) fn track(bytes: &[u8], chosen: &str, chunk_bytes: usize) -> (Track, Vec<Problem>) {
    let mut reader = CsvReader::for_track("drive", options(chosen));
    bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

pub(super) fn vehicle(bytes: &[u8], chosen: &str, chunk_bytes: usize) -> (VehicleLog, Vec<Problem>) {
    let mut reader = CsvReader::for_vehicle("trip", options(chosen));
    bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

pub(super) fn compare_told(text: &str, problems: &[Problem], expected: &[&str]) {
    let told: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
    assert_eq!(told.len(), expected.len(), "{text}: {told:?}");
    for (told, expected) in told.iter().zip(expected) {
        assert!(told.contains(expected), "{text}: {told} should hold {expected}");
    }
}

/// Times and speeds (s, km/h) of a vehicle log, and what is told.
pub(super) fn check_vehicle(text: &str, chosen: &str, expected: &[(f64, f64)], told: &[&str]) {
    let (log, problems) = vehicle(text.as_bytes(), chosen, 1 << 20);
    compare_told(text, &problems, told);
    assert_eq!(log.samples.len(), expected.len(), "{text}");
    for (sample, (time_s, km_per_h)) in log.samples.iter().zip(expected) {
        assert!((sample.time.s() - time_s).abs() < 1e-6, "{text}: {sample:?}");
        assert!((sample.speed.km_per_h() - km_per_h).abs() < 1e-9, "{text}: {sample:?}");
    }
}

/// Latitude, longitude (degrees) and speed (m/s) of a track of one fix, and what is told.
pub(super) fn check_track(
    text: &str,
    chosen: &str,
    expected: (Option<f64>, Option<f64>, Option<f64>),
    told: &[&str],
) -> Fix {
    let (track, problems) = track(text.as_bytes(), chosen, 1 << 20);
    compare_told(text, &problems, told);
    assert_eq!(track.fixes.len(), 1, "{text}");
    let fix = track.fixes.get(0).unwrap();
    let close = |found: Option<f64>, expected: Option<f64>| {
        found.is_some() == expected.is_some() && found.zip(expected).is_none_or(|(f, e)| (f - e).abs() < 1e-9)
    };
    let found =
        (fix.latitude.map(|a| a.deg()), fix.longitude.map(|a| a.deg()), fix.speed.map(|s| s.m_per_s()));
    let equal = close(found.0, expected.0) && close(found.1, expected.1) && close(found.2, expected.2);
    assert!(equal, "{text}: {found:?} {expected:?}");
    fix
}

#[test]
fn units_below_the_names() {
    check_vehicle("time,speed\ns,km/h\n0,50.5\n0.2,51\n", "", &[(0.0, 50.5), (0.2, 51.0)], &[]);
    check_vehicle("time;speed\n[ms];[mph]\n200;50\n", "", &[(0.2, 80.4672)], &[]);
    check_vehicle("t,v\ns,m/s\n1,10\n", "time=t, speed=v", &[(1.0, 36.0)], &[]);
    check_vehicle("time_s,speed_kmh\n0,50.5\n", "", &[(0.0, 50.5)], &[]);
    check_vehicle("time,speed\ns,km/h\n", "", &[], &[]);
}

#[test]
fn dates_with_slashes() {
    let moment = [(1_558_698_621.0, 9.0)];
    let told = ["without a zone"];
    check_vehicle("time,speed_kmh\n05/24/2019 11:50:21,9\n", "", &moment, &told);
    check_vehicle("Date,Time,speed_kmh\n24/05/2019,11:50:21,9\n", "", &moment, &told);
    // 2019-06-05T11:50:21Z by `date -u +%s`.
    let june = [(1_559_735_421.0, 9.0)];
    check_vehicle("time,speed_kmh\n05/06/2019 11:50:21,9\n", "dates=day-first", &june, &told);
    check_vehicle("time,speed_kmh\n05/06/2019 11:50:21,9\n", "", &[], &["say dates=day-first"]);
}

#[test]
fn rows_wider_than_the_header() {
    let told = ["as many cells as the header has"];
    check_vehicle("time_s,speed_kmh\n0,72,5\n1,72,0\n", "", &[(0.0, 72.0), (1.0, 72.0)], &told);
    check_vehicle("time_s,speed_kmh\n0,72,\n", "", &[(0.0, 72.0)], &[]);
}

#[test]
fn segments_of_a_track() {
    let (track, _) = track(b"segment,time_s,lat,lon\n1,0,1,2\n1,1,1,2\n2,9,1,2\n2,10,1,2\n", "", 3);
    let starts: Vec<bool> = track.fixes.iter().map(|fix| fix.starts_segment).collect();
    assert_eq!(starts, [true, false, true, false]);
}

#[test]
fn shapes_of_vehicle_logs() {
    let both = [(0.0, 50.5), (0.2, 51.0)];
    check_vehicle("time_s,speed_kmh\n0,50.5\n0.2,51\n", "", &both, &[]);
    check_vehicle("time_s;speed_kmh\n0;50,5\n0,2;51,0\n", "", &both, &[]);
    check_vehicle("time_s\tSpeed [km/h]\n0\t50,5\n0,2\t51\n", "", &both, &[]);
    check_vehicle("\"time (ms)\",\"speed (km/h)\"\r\n\"0\",\"50,5\"\r\n\"200\",\"51\"\r\n", "", &both, &[]);
    check_vehicle("\u{FEFF}Time (sec),Vehicle speed (km/h)\n0,50.5\n0.2,51", "", &both, &[]);
    check_vehicle("t_s,speed_m_s\n0,14.0277777777778\n0.2,14.1666666666667\n", "", &both, &[]);
    check_vehicle("t_s,speed mph\n10,50\n", "", &[(10.0, 80.4672)], &[]);
    check_vehicle("a,b\n0,50.5\n0.2,51\n", "time=a s,speed=b km/h", &both, &[]);
    check_vehicle("Trip of a day\n\ntime_s,speed_kmh\n0,50.5\n0.2,51\n", "", &both, &["1 lines before it"]);
    check_vehicle("time,speed_kmh\n1558467126220,50.5\n", "", &[(1_558_467_126.22, 50.5)], &[]);
    check_vehicle("time,speed_kmh\n2019-05-24T11:50:21Z,9\n", "", &[(1_558_698_621.0, 9.0)], &[]);
    check_vehicle(
        "Date;Time;speed_kmh\n24.05.2019;11:50:21;9\n",
        "",
        &[(1_558_698_621.0, 9.0)],
        &["without a zone"],
    );
    check_vehicle("time,speed_kmh\n7,9\n", "", &[(7.0, 9.0)], &["the unit of elapsed times"]);
}

#[test]
fn times_are_kept_as_read() {
    check_vehicle("t_s,mph\n5,0\n5,0\n4,0\n", "", &[(5.0, 0.0), (5.0, 0.0), (4.0, 0.0)], &[]);
}

#[test]
fn which_speed() {
    let two = "t_s,gps_speed_kmh,obd_speed_kmh\n0,100,103\n";
    check_vehicle(two, "", &[(0.0, 103.0)], &[]);
    check_track(two, "", (None, None, Some(100.0 / 3.6)), &[]);
    let one_untold = "t_s,speed_kmh,obd_speed_kmh\n0,100,103\n";
    check_track(one_untold, "", (None, None, Some(100.0 / 3.6)), &[]);
    let equal = "t_s,speed a (km/h),speed b (km/h)\n0,100,103\n";
    check_vehicle(
        equal,
        "",
        &[],
        &["found \"speed a (km/h)\", \"speed b (km/h)\". name it in vehicle columns"],
    );
    check_vehicle(equal, "speed=speed b (km/h)", &[(0.0, 103.0)], &[]);
    check_vehicle(
        "t_s,gps_speed_kmh\n0,100\n",
        "",
        &[],
        &["a speed that the vehicle indicated; found only \"gps_speed_kmh\""],
    );
    check_vehicle("t_s,lat,lon,mph\n0,1,2,50\n", "", &[(0.0, 80.4672)], &["\"mph\" beside positions"]);
    check_track(
        "t_s,lat,lon,obd_speed_kmh\n0,1,2,100\n",
        "",
        (Some(1.0), Some(2.0), None),
        &["only \"obd_speed_kmh\""],
    );
}

#[test]
fn units_are_never_guessed() {
    let refusal = "the unit of the speed; found column \"obd_speed\", which does not say it. \
                   say it, for example vehicle columns \"speed=obd_speed km/h\"";
    check_vehicle("t_s,obd_speed\n0,100\n", "", &[], &[refusal]);
    check_vehicle("t_s,obd_speed\n0,100\n", "speed=obd_speed", &[], &[refusal]);
    check_vehicle("t_s,obd_speed\n0,100\n", "speed=obd_speed km/h", &[(0.0, 100.0)], &[]);
    check_track("t_s,lat,lon,speed\n0,1,2,9\n", "", (Some(1.0), Some(2.0), None), &["the unit of the speed"]);
    check_track("t_s,lat,lon,speed\n0,1,2,9\n", "speed=speed m/s", (Some(1.0), Some(2.0), Some(9.0)), &[]);
}

#[test]
fn whole_fixes() {
    let text =
        "time,lat,lon,alt_ft,speed_knots,bearing,hdop\n2019-05-24T11:50:21Z,-41.5,174.25,1000,10,359,0.9\n";
    let fix = check_track(text, "", (Some(-41.5), Some(174.25), Some(10.0 * 1852.0 / 3600.0)), &[]);
    assert_eq!((fix.line, fix.time.map(|time| time.s()), fix.hdop), (2, Some(1_558_698_621.0), Some(0.9)));
    assert!((fix.elevation.unwrap_or_default().m() - 304.8).abs() < 1e-9);
    assert!((fix.course.unwrap_or_default().deg() - 359.0).abs() < 1e-9);
    let radians = "t_s,lat [rad],lon [rad]\n0,0.5,-0.5\n";
    check_track(radians, "", (Some(0.5f64.to_degrees()), Some(-0.5f64.to_degrees()), None), &[]);
}

#[test]
fn bad_cells_are_counted_and_coordinates_not_told() {
    let text =
        "t_s,lat,lon,speed_kmh\n0,91.25,2,1\n1,nan,2,1\n2,,2,1\n3,1e300,2,1\n4,1,2,-1\n5,1,2,1e300\nx,,,\n";
    let (track, problems) = track(text.as_bytes(), "", 7);
    assert_eq!(track.fixes.len(), 6);
    let told = [
        "line 2, lat: expected a latitude from -90 to 90 degrees; found text like \"##.##\" (3 times, last on line 5)",
        "line 2, row: expected a latitude and a longitude; found only one of them (4 times, last on line 5)",
        "line 6, speed_kmh: expected a speed from 0 to 500 m/s; found text like \"-#\" (2 times, last on line 7)",
        "line 8, t_s: expected a number, like the first time",
        "line 8, row: expected a position or a speed; found neither",
    ];
    compare_told(text, &problems, &told);
}

#[test]
fn rows_without_use() {
    let text = "t_s,speed_kmh\n0,1\n1,\n2\n,4\nx,5\n\n6,y\n";
    let told = [
        "line 3, row: expected a speed; found none (2 times, last on line 4)",
        "line 5, row: expected a time",
        "line 6, t_s: expected a number",
        "line 8, speed_kmh: expected a speed from 0 to 500 m/s; found text like \"y\"",
    ];
    check_vehicle(text, "", &[(0.0, 1.0)], &told);
}

#[test]
fn refusals() {
    check_vehicle("", "", &[], &["speed_kmh; found an empty file"]);
    check_vehicle("0,1\n1,2\n", "", &[], &["line 1: expected a first line naming the columns"]);
    check_vehicle(&"1,2\n".repeat(5000), "", &[], &["found a line of 2 cells, 2 of them numbers"]);
    let unknown = "if this line names the columns, say which is what: vehicle columns \"time=NAME s";
    check_vehicle("t_s,left_m_s\n1,2\n", "", &[], &[unknown]);
    check_vehicle("t_s,left_m_s\n1,2\n", "speed=left_m_s", &[(1.0, 7.2)], &[]);
    check_vehicle("a,b\n1,2\n", "time=a s,speed=c km/h", &[], &["a column \"c\"; found the columns a, b"]);
    check_vehicle("speed_kmh,lat\n1,2\n", "", &[], &["a column of times; found the columns speed_kmh, lat"]);
    check_vehicle(
        "time,lat\n1,2\n",
        "",
        &[],
        &["a speed that the vehicle indicated; found the columns time, lat"],
    );
}

#[test]
fn several_clocks() {
    let text = "t_s,lat,lon,gps_epoch_ms\n5,1,2,1558467126220\n";
    let note = "found \"t_s\" (used), gps_epoch_ms. to use another, say track columns \"time=NAME\"";
    assert_eq!(
        check_track(text, "", (Some(1.0), Some(2.0), None), &[note]).time.map(|time| time.s()),
        Some(5.0)
    );
    let chosen = check_track(text, "time=gps_epoch_ms", (Some(1.0), Some(2.0), None), &[]);
    assert!((chosen.time.unwrap_or_default().s() - 1_558_467_126.22).abs() < 1e-6);
}

#[test]
fn clocks_steps_and_intervals() {
    let text: String = (0..60).map(|index| format!("{:.1},{}\n", f64::from(index) * 0.2, index)).collect();
    let log = vehicle(format!("t_s,mph\n{text}").as_bytes(), "", 100).0;
    assert_eq!(log.clock, Clock::Elapsed);
    assert!((log.step.unwrap_or_default().mi_per_h() - 1.0).abs() < 1e-9);
    assert!((log.interval.unwrap_or_default().s() - 0.2).abs() < 1e-9);
}

#[test]
fn encodings() {
    let latin = b"t_s;Geschwindigkeit (km/h);H\xF6he\n0;50,5;3\n";
    let (log, problems) = vehicle(latin, "", 4);
    assert_eq!(log.samples.len(), 1);
    assert_eq!((problems.len(), problems[0].severity), (1, Severity::Note));
    let text = "t_s;speed_kmh\n0;50,5\n";
    let wide: Vec<u8> =
        [0xFE, 0xFF].into_iter().chain(text.encode_utf16().flat_map(u16::to_be_bytes)).collect();
    assert_eq!(vehicle(&wide, "", 3), vehicle(text.as_bytes(), "", 3));
}

fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("t_s,lat,lon,speed_kmh\n".to_owned()),
        Just("time;speed mph\n".to_owned()),
        Just("\"".to_owned()),
        Just("1,2,3,4\n".to_owned()),
        Just("SECONDS;PID;VALUE;UNITS\n1;speed;2;mph\n".to_owned()),
        Just("| time | lat | lon |\n|---|---|---|\n".to_owned()),
        Just("time lat  lon\n1 4807.1  11 7.5 E\n".to_owned()),
        Just("24-May-2019 1:50:21 PM,".to_owned()),
        Just("\r\n\n".to_owned()),
        Just(",".to_owned()),
        Just(";".to_owned()),
        Just("12:00:00,".to_owned()),
        Just("2019-05-24 11:50:21,".to_owned()),
        "[0-9.,;\n-]{0,30}",
        "\\PC{0,20}",
    ];
    proptest::collection::vec(piece, 0..20).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn chunking_does_not_matter(text in pieces(), chunk_bytes in 1usize..200, filler in 0usize..3) {
        let text = format!("t_s,lat,lon,speed_kmh\n{}{text}", "1.5,2.5,3.5,4.5\n".repeat(filler * 4200));
        prop_assert_eq!(track(text.as_bytes(), "", chunk_bytes), track(text.as_bytes(), "", 1 << 22));
        prop_assert_eq!(vehicle(text.as_bytes(), "", chunk_bytes), vehicle(text.as_bytes(), "", 1 << 22));
    }

    #[test]
    fn any_text_is_survived(text in pieces(), bytes in proptest::collection::vec(any::<u8>(), 0..100), chunk_bytes in 1usize..50) {
        let bytes = [text.as_bytes(), &bytes, text.as_bytes()].concat();
        prop_assert_eq!(track(&bytes, "", chunk_bytes), track(&bytes, "", 1 << 20));
    }

    /// What was written is what is read, on the line where it stands.
    #[test]
    fn every_row_is_read(rows in proptest::collection::vec((0.0f64..1e6, 0.0f64..200.0), 0..3000), chunk_bytes in 1usize..70_000) {
        let body: String = rows.iter().map(|(time, speed)| format!("{time},{speed}\n")).collect();
        let (log, problems) = vehicle(format!("t_s,speed_m_s\n{body}").as_bytes(), "", chunk_bytes);
        prop_assert!(problems.is_empty());
        prop_assert_eq!(log.samples.len(), rows.len());
        for (index, (sample, (time, speed))) in log.samples.iter().zip(&rows).enumerate() {
            prop_assert_eq!((sample.line, sample.time.s(), sample.speed.m_per_s()), (index + 2, *time, *speed));
        }
    }
}
