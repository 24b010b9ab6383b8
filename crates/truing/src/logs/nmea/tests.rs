use super::*;
use crate::logs::{Clock, Fix};
use proptest::prelude::*;

/// The body with its frame and its checksum.
fn framed(body: &str) -> String {
    format!("${body}*{:02X}\r\n", body.bytes().fold(0, |sum, byte| sum ^ byte))
}

fn read(bytes: &[u8], chunk_bytes: usize) -> (Track, Vec<Problem>) {
    let mut reader = NmeaReader::new("drive");
    bytes.chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

fn check(bodies: &[&str], clock: Clock, told: &[&str]) -> Vec<Fix> {
    let text: String = bodies.iter().map(|body| framed(body)).collect();
    let (track, problems) = read(text.as_bytes(), 7);
    assert_eq!(track.clock, clock, "{text}");
    let all: Vec<String> = problems.iter().map(Problem::to_string).collect();
    assert_eq!(all.len(), told.len(), "{text}: {all:?}");
    for (problem, told) in all.iter().zip(told) {
        assert!(problem.contains(told), "{text}: {problem} should hold {told}");
    }
    track.fixes.iter().collect()
}

fn check_times(bodies: &[&str], clock: Clock, told: &[&str], expected_s: &[f64]) {
    let found: Vec<f64> =
        check(bodies, clock, told).iter().filter_map(|fix| fix.time.map(Instant::s)).collect();
    assert_eq!(found, expected_s, "{bodies:?}");
}
use metrology::quantity::Instant;

/// 2017-03-31T00:00:00Z by `date -u -d 2017-03-31 +%s`.
const DAY_S: f64 = 1_490_918_400.0;

#[test]
fn sentences_of_one_epoch_are_joined() {
    let cycle = [
        "GNGSA,A,3,05,07,,,,,,,,,,,1.2,0.9,0.8",
        "GNVTG,86.2,T,86.2,M,20.0,N,37.0,K,D",
        "GNRMC,110124,A,5505.330990,N,03858.587325,E,,,310317,8.9,E,D",
        "GNGGA,110124.00,5505.330990,N,03858.587325,E,2,09,1.1,177.0,M,14.0,M,,",
        "GNGSA,A,3,05,07,,,,,,,,,,,1.2,0.7,0.8",
        "GNVTG,84.6,T,84.6,M,21.0,N,38.9,K,D",
        "GNRMC,110125,A,5505.337580,N,03858.653666,W,19.5,80.0,310317,8.9,E,D",
    ];
    let fixes = check(&cycle, Clock::Absolute, &[]);
    assert_eq!(fixes.len(), 2);
    let first = fixes[0];
    assert_eq!(first.time.unwrap().s(), DAY_S + 39_684.0);
    assert!((first.latitude.unwrap().deg() - 55.088_849_833_333).abs() < 1e-9);
    assert!((first.speed.unwrap().knots() - 20.0).abs() < 1e-12, "VTG speaks where RMC says no speed");
    assert!((first.course.unwrap().deg() - 86.2).abs() < 1e-9);
    assert_eq!(
        (first.elevation.map(|height| height.m()), first.hdop, first.line),
        (Some(177.0), Some(1.1), 3)
    );
    let second = fixes[1];
    assert!((second.speed.unwrap().knots() - 19.5).abs() < 1e-12);
    assert!((second.longitude.unwrap().deg() + 38.977_561_1).abs() < 1e-9);
    assert_eq!((second.hdop, second.starts_segment), (Some(0.7), false));
}

#[test]
fn dates_and_midnights() {
    let rmc = |time: &str, date: &str| format!("GPRMC,{time},A,0100.0,N,00200.0,E,10.0,1.0,{date},,,A");
    let gga = |time: &str| format!("GPGGA,{time},0100.0,N,00200.0,E,1,09,0.9,1.0,M,1.0,M,,");
    let times = |bodies: &[String], clock, told: &[&str], expected: &[f64]| {
        check_times(&bodies.iter().map(String::as_str).collect::<Vec<_>>(), clock, told, expected);
    };
    // The date comes after the first epoch; midnight passes between dates.
    let night = [gga("235958"), rmc("235959", "310317"), gga("000000"), rmc("000001", "010417")];
    times(&night, Clock::Absolute, &[], &[86_398.0, 86_399.0, 86_400.0, 86_401.0].map(|s| DAY_S + s));
    // 23:59:60 and 00:00:00 carry the same Unix time (POSIX.1-2017, 4.16).
    let leap = [rmc("235960", "300317"), rmc("000000", "310317")];
    times(&leap, Clock::Absolute, &[], &[DAY_S, DAY_S]);
    let late_date = [rmc("235959", "300317"), rmc("000000", "300317"), rmc("000001", "310317")];
    times(&late_date, Clock::Absolute, &["the old one 1 times"], &[DAY_S - 1.0, DAY_S, DAY_S + 1.0]);
    let no_date = [gga("235959"), gga("000001")];
    times(&no_date, Clock::Elapsed, &["the date in RMC or ZDA"], &[86_399.0, 86_401.0]);
    let zda = ["GPZDA,000001,31,03,2017,00,00".to_owned(), gga("000001")];
    times(&zda, Clock::Absolute, &[], &[DAY_S + 1.0]);
    // 2017-03-31 less 1024 weeks is 1997-08-15.
    let old = [rmc("000001", "150897")];
    times(&old, Clock::Absolute, &["then it was 2017-03-31"], &[DAY_S - 7168.0 * 86_400.0 + 1.0]);
    let repaired = [rmc("000001", "150897"), rmc("000002", "310317"), rmc("000003", "150897")];
    times(&repaired, Clock::Absolute, &["2 leaps of 1024 weeks"], &[1.0, 2.0, 3.0].map(|s| DAY_S + s));
}

#[test]
fn what_is_no_truth_is_left_out() {
    let rmc = |status: &str, mode: &str| {
        format!("GPRMC,110124,{status},0100.0,N,00200.0,E,10.0,1.0,310317,,,{mode}")
    };
    assert!(check(&[&rmc("V", "N")], Clock::None, &["1 sentences that say there is none"]).is_empty());
    assert!(check(&[&rmc("A", "E")], Clock::None, &["1 that were estimated"]).is_empty());
    assert_eq!(check(&[&rmc("A", "D")], Clock::Absolute, &[]).len(), 1);
    let gga = "GPGGA,110124,0100.0,N,00200.0,E,6,09,0.9,1.0,M,1.0,M,,";
    assert!(check(&[&rmc("A", ""), gga], Clock::None, &["1 that were estimated"]).is_empty());
}

#[test]
fn positions_and_times_alone() {
    let gll = |minutes: &str, time: &str, rest: &str| format!("GPGLL,{minutes},N,00200.0,E,{time},{rest}");
    let bodies = [
        gll("0100.0", "235959.00", "A,A"),
        gll("0100.1", "000000.00", "A"),
        gll("0100.2", "000001.00", "V,N"),
        gll("0100.3", "000002.00", "A,E"),
    ];
    let bodies: Vec<&str> = bodies.iter().map(String::as_str).collect();
    let told = ["1 sentences that say there is none", "1 that were estimated", "the date is not known"];
    let fixes = check(&bodies, Clock::Elapsed, &told);
    let times: Vec<f64> = fixes.iter().filter_map(|fix| fix.time.map(Instant::s)).collect();
    assert_eq!(times, [86_399.0, 86_400.0]);
    assert!((fixes[1].latitude.unwrap().deg() - 60.1 / 60.0).abs() < 1e-12);
    // The first sentences of the kind said no time.
    check(&["GPGLL,0100.0,N,00200.0,E"], Clock::None, &["1 without one"]);
    // Beside others it adds nothing.
    let rmc = "GPRMC,110124,A,0100.0,N,00200.0,E,10.0,1.0,310317,,,A";
    assert_eq!(check(&[rmc, &gll("0100.0", "110124", "A,A")], Clock::Absolute, &[]).len(), 1);
}

#[test]
fn line_ends_that_were_lost() {
    let rmc = |second: usize| {
        let body = format!("GPRMC,1101{second:02},A,0100.0,N,00200.0,E,10.0,1.0,310317,,,A");
        framed(&body).trim_end().to_owned()
    };
    let text: String = (10..60).map(rmc).collect();
    let (track, problems) = read(text.as_bytes(), 7);
    assert_eq!((track.fixes.len(), problems), (50, vec![]));
    // More than any buffer holds, and only carriage returns.
    let (track, problems) = read(text.repeat(40).as_bytes(), 1000);
    assert_eq!((track.fixes.len(), problems), (2000, vec![]));
    assert_eq!(read(text.replace('$', "\r$").as_bytes(), 7).0.fixes.len(), 50);
    // One cut in the middle, another kind of message between, and one that lost its checksum.
    let cut = format!(
        "{}$GPRMC,110111,A,0100.0,N!AIVDM,1,1,,A,x,0*00{}$GPGLL,0100.0,N,00200.0,E,110113,A{}",
        rmc(10),
        rmc(12),
        rmc(14)
    );
    let (track, problems) = read(cut.as_bytes(), 5);
    assert_eq!((track.fixes.len(), problems.len()), (3, 1));
    assert!(problems[0].to_string().contains("2 damaged ones"), "{}", problems[0]);
}

#[test]
fn damage_is_counted() {
    let good = framed("GPRMC,110124,A,0100.0,N,00200.0,E,10.0,1.0,310317,,,A");
    let text =
        format!("{good}noise\r\n2017-03-31 {good}$GPRMC,110125,A,0100.0\r\n{}", good.replace("10.0", "90.0"));
    let (track, problems) = read(text.as_bytes(), 5);
    assert_eq!(track.fixes.len(), 1, "the same moment twice is one epoch");
    assert_eq!(problems.len(), 1);
    assert!(
        problems[0].to_string().contains("line 4: expected sentences whose checksum fits; found 2 damaged")
    );
}

proptest! {
    #[test]
    fn any_bytes_in_any_chunks(bytes in proptest::collection::vec(any::<u8>(), 0..400), chunk_bytes in 1usize..40) {
        prop_assert_eq!(read(&bytes, chunk_bytes), read(&bytes, 1 << 20));
    }

    #[test]
    fn any_fields_in_any_chunks(
        bodies in proptest::collection::vec("G[PN](RMC|VTG|GGA|GLL|GSA|ZDA)(,[0-9NEAVMTK.]{0,9}){0,18}", 0..20),
        chunk_bytes in 1usize..40,
    ) {
        let text: String = bodies.iter().map(|body| framed(body)).collect();
        let whole = read(text.as_bytes(), 1 << 20);
        prop_assert_eq!(&read(text.as_bytes(), chunk_bytes), &whole);
        prop_assert!(whole.0.fixes.iter().all(|fix| fix.time.is_some_and(|time| time.s().is_finite())));
    }
}
