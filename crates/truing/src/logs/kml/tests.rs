//! Tracks and placemarks, whole and damaged.

use super::*;
use proptest::prelude::*;

fn read(text: &str, chunk_bytes: usize) -> (Track, Vec<String>) {
    let mut reader = KmlReader::new("drive.kml");
    text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    let (track, problems) = reader.finish();
    (track, problems.iter().map(Problem::to_string).collect())
}

fn check(inside: &str, fixes: usize, told: &[&str]) -> Vec<Fix> {
    let text =
        format!("<?xml version='1.0'?>\n<kml xmlns='x' xmlns:gx='y'><Document>{inside}</Document></kml>");
    let (track, problems) = read(&text, 9);
    assert_eq!((track.fixes.len(), problems.len()), (fixes, told.len()), "{inside}: {problems:?}");
    assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
    assert_eq!(read(&text, 1 << 20).0, track);
    track.fixes.iter().collect()
}

const TIMES: &str = "<when>2019-05-24T11:50:21Z</when><when>2019-05-24T11:50:22Z</when>";
const PLACES: &str = "<gx:coord>11.5 48.25 520</gx:coord><gx:coord>11.501 48.25 520.5</gx:coord>";

fn track(inside: &str) -> String {
    format!("<Placemark><gx:Track>{inside}</gx:Track></Placemark>")
}

#[test]
fn tracks() {
    let in_turns = "<when>2019-05-24T11:50:21Z</when><gx:coord>11.5 48.25 520</gx:coord>\
                    <when>2019-05-24T11:50:22Z</when><gx:coord>11.501 48.25 520.5</gx:coord>";
    for inside in [format!("{TIMES}{PLACES}"), in_turns.to_owned()] {
        let fixes = check(&track(&inside), 2, &[]);
        let found: Vec<f64> = fixes.iter().map(|fix| fix.time.unwrap().s()).collect();
        assert_eq!(found, [1_558_698_621.0, 1_558_698_622.0]);
        assert_eq!((fixes[1].longitude.unwrap().deg(), fixes[1].latitude.unwrap().deg()), (11.501, 48.25));
        assert_eq!(fixes[0].elevation.unwrap().m(), 520.0);
        assert_eq!(fixes.iter().map(|fix| fix.starts_segment).collect::<Vec<_>>(), [true, false]);
    }
}

#[test]
fn speeds_beside_a_track() {
    let data = |name: &str| {
        format!(
            "<ExtendedData><SchemaData><gx:SimpleArrayData name='{name}'><gx:value>36</gx:value><gx:value>72</gx:value>\
             </gx:SimpleArrayData><gx:SimpleArrayData name='heart'><gx:value>99</gx:value></gx:SimpleArrayData></SchemaData></ExtendedData>"
        )
    };
    let fixes = check(&track(&format!("{TIMES}{PLACES}{}", data("speed_kmh"))), 2, &[]);
    assert!((fixes[1].speed.unwrap().km_per_h() - 72.0).abs() < 1e-9);
    let fixes = check(&track(&format!("{TIMES}{PLACES}{}", data("speed"))), 2, &["the unit of the speed"]);
    assert_eq!(fixes[1].speed, None);
}

#[test]
fn placemarks_with_times() {
    let mark = |time: &str, more: &str| {
        format!("<Placemark>{time}<Point><coordinates>11.5,48.25,520</coordinates></Point>{more}</Placemark>")
    };
    let stamp = "<TimeStamp><when>2019-05-24T11:50:21Z</when></TimeStamp>";
    let span = "<TimeSpan><begin>2019-05-24T11:50:22Z</begin><end>2019-05-24T11:50:23Z</end></TimeSpan>";
    let data = "<ExtendedData><Data name='Speed (mph)'><value>50</value></Data></ExtendedData>";
    let fixes = check(&format!("{}{}{}", mark(stamp, data), mark(span, ""), mark("", "")), 2, &[]);
    assert!((fixes[0].speed.unwrap().mi_per_h() - 50.0).abs() < 1e-9);
    assert_eq!(fixes[1].time.unwrap().s(), 1_558_698_622.0);
}

#[test]
fn damaged_files() {
    let line =
        "<Placemark><LineString><coordinates>11.5,48.2 11.6,48.3</coordinates></LineString></Placemark>";
    check(line, 0, &["a time for each position; found only lines without times"]);
    check(
        &track(&format!("{TIMES}<gx:coord>11.5 48.25</gx:coord>")),
        1,
        &["as many times as positions; found 2 and 1"],
    );
    check(
        &track(&format!("{TIMES}<gx:coord/><gx:coord>200 95 1</gx:coord>")),
        0,
        &["longitude, latitude and height"],
    );
    let whole = format!("<kml>{}", track(&format!("{TIMES}{PLACES}")));
    let cut = &whole[..whole.rfind("<gx:coord>").unwrap()];
    let (track, problems) = read(cut, 5);
    assert_eq!(track.fixes.len(), 1, "{problems:?}");
    assert!(problems.iter().any(|told| told.contains("cut short")), "{problems:?}");
}

proptest! {
    #[test]
    fn any_elements_in_any_chunks(
        parts in proptest::collection::vec(prop_oneof![
            Just("<Track>"), Just("</Track>"), Just("<when>"), Just("</when>"), Just("<coord>"), Just("</coord>"),
            Just("<Placemark>"), Just("</Placemark>"), Just("<Point>"), Just("<coordinates>"), Just("1,2"), Just("&x;"),
            Just("2019-05-24T11:50:21Z"), Just("<Data name='kmh'>"), Just("<value>"), Just("</"), Just("<!--"), Just("]]>"),
        ], 0..40),
        chunk_bytes in 1usize..20,
    ) {
        let text = format!("<kml>{}", parts.concat());
        prop_assert_eq!(read(&text, chunk_bytes), read(&text, 1 << 20));
    }
}
