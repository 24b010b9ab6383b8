//! Times as logs write them, and what is none.

use super::*;
use proptest::prelude::*;

proptest! {
    /// The library as oracle: whatever the quick way reads, sound dates and others, the library reads the same.
    #[test]
    fn fixed_layout_agrees_with_the_library(
        (year, month, day) in (1960i64..10_010, 0i64..14, 0i64..33),
        (hour, minute, second) in (0i64..26, 0i64..62, 0i64..62),
        fraction in "(\\.[0-9]{0,10})?",
        zone in "(Z|z|)",
        between in "[T ]",
    ) {
        let text = format!("{year:04}-{month:02}-{day:02}{between}{hour:02}:{minute:02}:{second:02}{fraction}{zone}");
        let (quick, library) = (fixed_layout(text.as_bytes()), standard_time(&text));
        prop_assert!(quick.is_none() || quick == library, "{} {:?} {:?}", text, quick, library);
        let usual = (1970..9999).contains(&year) && fraction.is_empty() && zone == "Z" && between == "T";
        prop_assert!(!usual || quick == library, "{} {:?} {:?}", text, quick, library);
    }
}

/// Pieces of times, and letters of two to four bytes where a time has one.
fn like_a_time() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("24 May 2019 11:50:21 +".to_owned()),
        Just("2019-05-24".to_owned()),
        Just("11:50:21".to_owned()),
        "[-+:/., TZ0-9apm]{0,4}",
        "[a-z\u{e9}\u{20ac}\u{1F69A}]{0,3}",
        Just("GMT+".to_owned()),
    ];
    proptest::collection::vec(piece, 0..8).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn no_text_does_harm(text in prop_oneof!["\\PC{0,40}", like_a_time()]) {
        for order in [None, Some(DateOrder::DayFirst), Some(DateOrder::MonthFirst)] {
            let seconds = calendar_time_in(&text, order).map(|time| time.unix_s);
            prop_assert!(seconds.is_none_or(f64::is_finite), "{}", text);
        }
        prop_assert!(time_of_day_s(&text).is_none_or(f64::is_finite), "{}", text);
    }
}

#[test]
fn letters_of_several_bytes_in_an_offset() {
    for text in [
        "24 May 2019 11:50:21 +\u{e9}1",
        "24 May 2019 11:50:21 GMT-1\u{e9}",
        "24 May 2019 11:50:21 +\u{20ac}",
    ] {
        check(text, None);
    }
}

/// 2019-05-24T11:50:21Z by `date -u -d 2019-05-24T11:50:21Z +%s`.
const MOMENT_S: f64 = 1_558_698_621.0;

fn check(text: &str, expected: Option<(f64, bool)>) {
    let found = calendar_time(text).map(|time| (time.unix_s, time.zone_said));
    assert_eq!(found, expected, "{text}");
}

#[test]
fn calendar_times() {
    check("2019-05-24T11:50:21Z", Some((MOMENT_S, true)));
    check(" 2019-05-24T11:50:21.250Z\n", Some((MOMENT_S + 0.25, true)));
    check("2019-05-24T13:50:21+02:00", Some((MOMENT_S, true)));
    check("2019-05-24 11:50:21", Some((MOMENT_S, false)));
    check("2019-05-24 11:50:21,5", Some((MOMENT_S + 0.5, false)));
    check("2019/05/24 11:50:21", Some((MOMENT_S, false)));
    check("24.05.2019 11:50:21", Some((MOMENT_S, false)));
    check("2019-05-24 11:50:21 UTC", Some((MOMENT_S, true)));
    check("05/24/2019 11:50:21", Some((MOMENT_S, false)));
    check("24/05/2019 11:50:21", Some((MOMENT_S, false)));
    check("24-05-2019 11:50:21.5", Some((MOMENT_S + 0.5, false)));
    check("5/24/2019 11:50:21 AM", Some((MOMENT_S, false)));
    check("5/24/2019 11:50:21 PM", Some((MOMENT_S + 43_200.0, false)));
    check("2019-05-24 1:50:21 PM", Some((MOMENT_S + 7_200.0, false)));
    check("24.05.2019 11:50:21 a.m.", Some((MOMENT_S, false)));
    check("5/24/2019 12:50:21AM", Some((MOMENT_S - 39_600.0, false)));
    check("5/24/2019 12:50:21 pm", Some((MOMENT_S + 3_600.0, false)));
    // Leap second of 2016 and the second after it carry the same Unix time (POSIX.1-2017, 4.16).
    check("2016-12-31T23:59:60Z", Some((1_483_228_800.0, true)));
    check("2017-01-01T00:00:00Z", Some((1_483_228_800.0, true)));
}

#[test]
fn months_by_their_names() {
    for text in [
        "24-May-2019 11:50:21",
        "24 May 2019 11:50:21",
        "May 24, 2019 11:50:21",
        "may 24 2019, 11:50:21 AM",
        "24/May/2019 11:50:21",
        "Friday, 24th May 2019 11:50:21",
        "2019-May-24 11:50:21",
    ] {
        check(text, Some((MOMENT_S, false)));
    }
    for text in [
        "Fri, 24 May 2019 11:50:21 GMT",
        "Fri May 24 13:50:21 GMT+02:00 2019",
        "Fri May 24 04:50:21 PDT 2019",
        "24-May-2019 13:50:21 +0200",
        "24 May 2019 13:50:21 UTC+2",
    ] {
        check(text, Some((MOMENT_S, true)));
    }
    check("24-May-2019 1:50:21.5 PM", Some((MOMENT_S + 7_200.5, false)));
    // 2019-09-05T00:00:01Z by `date -u +%s`.
    check("5 Sept. 2019 00:00:01", Some((1_567_641_601.0, false)));
    for text in [
        "24-May-19 11:50:21",
        "24-Mai-2019 11:50:21",
        "May May 24 2019 11:50:21",
        "24 25 May 2019 11:50:21",
        "31 Jun 2019 11:50:21",
        "May 24 2019",
        "24 May 2019 11:50:21 XYZ",
        "24 May 2019 13:50:21 PM",
        "one two three four five: six",
    ] {
        check(text, None);
    }
}

#[test]
fn dates_in_a_said_order() {
    let check = |text: &str, order, expected: f64| {
        let found = calendar_time_in(text, Some(order)).map(|time| time.unix_s);
        assert_eq!(found, Some(expected), "{text}");
    };
    // 2019-06-05T00:00:01Z and 2019-05-06T00:00:01Z by `date -u +%s`.
    check("05/06/2019 00:00:01", DateOrder::DayFirst, 1_559_692_801.0);
    check("5/6/2019 12:00:01 AM", DateOrder::MonthFirst, 1_557_100_801.0);
    assert_eq!(calendar_time_in("05/24/2019 00:00:01", Some(DateOrder::DayFirst)), None);
}

#[test]
fn not_calendar_times() {
    for text in [
        "",
        "soon",
        "05/06/2019 11:50:21",
        "5/6/2019 1:02:03 PM",
        "2019-05-24",
        "2019-13-24T11:50:21Z",
        "2019-05-24T25:00:00Z",
    ] {
        check(text, None);
    }
    check("2019-05-24T11:60:21Z", None);
    check("\u{e9}\u{e9}\u{e9}\u{e9}\u{e9}:\u{e9}", None);
}

#[test]
fn times_of_day() {
    assert_eq!(time_of_day_s("11:50:21"), Some(42_621.0));
    assert_eq!(time_of_day_s("1:02:03.5"), Some(3_723.5));
    assert_eq!(time_of_day_s("26:00:00"), Some(93_600.0));
    assert_eq!(time_of_day_s("11:50:21 PM"), Some(85_821.0));
    assert_eq!(time_of_day_s("12:00:21.5 am"), Some(21.5));
    for text in [
        "11:50",
        "11:60:00",
        "a:b:c",
        "11:50:21:00",
        "11:50:-1",
        "11:50:nan",
        "",
        "13:00:00 PM",
        "0:00:00 AM",
        "PM",
    ] {
        assert_eq!(time_of_day_s(text), None, "{text}");
    }
}
