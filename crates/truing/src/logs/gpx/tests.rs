use super::*;
use crate::logs::{Clock, Fix};
use crate::problem::Severity;
use proptest::prelude::*;

const HEAD: &str = "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><trkseg>\n";
const TAIL: &str = "</trkseg></trk></gpx>\n";
const POINT: &str =
    "<trkpt lat=\"50.5\" lon=\"-3.25\"><ele>12.5</ele><time>2019-05-24T11:50:21Z</time></trkpt>\n";

fn read(bytes: &[u8], chunk_bytes: usize) -> (Track, Vec<Problem>) {
    let mut reader = GpxReader::new("drive");
    for chunk in bytes.chunks(chunk_bytes) {
        reader.feed(chunk);
    }
    reader.finish()
}

fn file(points: &str) -> String {
    format!("{HEAD}{points}{TAIL}")
}

/// Reads a file of these points; fixes, and problems as they are printed.
fn check(points: &str, expected_fixes: usize, expected_problems: &[&str]) -> Vec<Fix> {
    let (track, problems) = read(file(points).as_bytes(), 1 << 20);
    let told: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
    assert_eq!(track.fixes.len(), expected_fixes, "{points}: {told:?}");
    assert_eq!(told.len(), expected_problems.len(), "{points}: {told:?}");
    for (told, expected) in told.iter().zip(expected_problems) {
        assert!(told.contains(expected), "{points}: {told} should hold {expected}");
    }
    track.fixes.iter().collect()
}

#[test]
fn a_whole_point() {
    let fix = check(POINT, 1, &[])[0];
    assert_eq!(fix.line, 4);
    assert_eq!(fix.latitude.map(|angle| angle.deg()), Some(50.5));
    assert_eq!(fix.longitude.map(|angle| angle.deg()), Some(-3.25));
    assert_eq!(fix.elevation.map(|height| height.m()), Some(12.5));
    assert_eq!(fix.time.map(|time| time.s()), Some(1_558_698_621.0));
    assert!(fix.starts_segment);
    assert_eq!((fix.speed, fix.course, fix.hdop), (None, None, None));
    assert_eq!(read(file(POINT).as_bytes(), 9).0.clock, Clock::Absolute);
}

fn check_speed(inside: &str, expected: Option<f64>) {
    let point = format!("<trkpt lat='1' lon='2'>{inside}</trkpt>");
    assert_eq!(check(&point, 1, &[])[0].speed.map(|speed| speed.m_per_s()), expected, "{inside}");
}

#[test]
fn speed_wherever_it_stands() {
    check_speed("<speed>12.5</speed>", Some(12.5));
    check_speed("<extensions><speed>12.5</speed></extensions>", Some(12.5));
    check_speed("<extensions><a:b xmlns:a='x'><a:speed> 12.5\n</a:speed></a:b></extensions>", Some(12.5));
    check_speed("<extensions><speed>1</speed><a:speed>2</a:speed></extensions>", Some(1.0));
    check_speed("<speed>1<!-- no -->2.5</speed>", Some(12.5));
    check_speed("<speed><![CDATA[12.5]]></speed>", Some(12.5));
    check_speed("<speed>&#49;2.5</speed>", Some(12.5));
    check_speed("<unknown><deep/></unknown>", None);
    check_speed("", None);
}

#[test]
fn extensions_of_a_point_do_not_pose_as_its_time() {
    let fixes = check(
        "<trkpt lat='1' lon='2'><extensions><time>2019-05-24T11:50:21Z</time></extensions></trkpt>",
        1,
        &[],
    );
    assert_eq!(fixes[0].time, None);
    check("<extensions><trksegx/><speed>3</speed></extensions>", 0, &[]);
}

#[test]
fn prefixes_and_empty_points() {
    let text = "<g:gpx xmlns:g='x'><g:trk><g:trkseg><g:trkpt lat='1' lon='2'/></g:trkseg><g:trkseg><g:trkpt lon='2' lat='1'>\
                <g:course>361</g:course><g:hdop>0.9</g:hdop></g:trkpt><g:trkpt lat='1' lon='2'/></g:trkseg></g:trk></g:gpx>";
    let (track, problems) = read(text.as_bytes(), 1);
    let starts: Vec<bool> = track.fixes.iter().map(|fix| fix.starts_segment).collect();
    assert_eq!(starts, [true, true, false]);
    assert_eq!(track.fixes.get(1).unwrap().hdop, Some(0.9));
    assert_eq!(track.clock, Clock::None);
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert_eq!(problems[0].part, Some("course".into()));
}

#[test]
fn positions_that_are_none() {
    check(
        "<trkpt lat='91' lon='2'/>",
        0,
        &["lat: expected a latitude from -90 to 90; found a number beyond them"],
    );
    check("<trkpt lat='NaN' lon='2'/>", 0, &["something that is no number"]);
    check("<trkpt lat='1e999' lon='2'/>", 0, &["something that is no number"]);
    check("<trkpt lon='2'/>", 0, &["no such attribute"]);
    check("<trkpt lat='1'/>", 0, &["lon: expected a longitude"]);
    check("<trkpt lat='&#49;&#46;5' lon='2'/>", 1, &[]);
    check(
        &"<trkpt lat='91' lon='2'/>\n".repeat(5000),
        0,
        &[
            "line 4, lat: expected a latitude from -90 to 90; found a number beyond them (5000 times, last on line 5003)",
        ],
    );
}

#[test]
fn times() {
    let timed = |time: &str| format!("<trkpt lat='1' lon='2'><time>{time}</time></trkpt>");
    check(
        &timed("2019-05-24T11:50:21"),
        1,
        &["text like \"####-##-##T##:##:##\" without a zone. taken as UTC"],
    );
    check(&timed("2019-05-24T11:50:21").repeat(9), 9, &["(9 times, last on line 4)"]);
    check(
        &timed("yesterday"),
        1,
        &["expected a time such as 2024-05-24T11:50:21Z; found text like \"yesterday\""],
    );
    check(&timed(""), 1, &["found nothing"]);
    let offset = check(&timed("2019-05-24T13:50:21+02:00"), 1, &[]);
    assert_eq!(offset[0].time.map(|time| time.s()), Some(1_558_698_621.0));
}

#[test]
fn entities_are_never_expanded() {
    let bomb = "<?xml version='1.0'?><!DOCTYPE gpx [<!ENTITY a '1'><!ENTITY b '&a;&a;&a;'>]>\
                <gpx><trk><trkseg><trkpt lat='1' lon='2'><ele>&b;</ele><speed>&b;</speed></trkpt></trkseg></trk></gpx>";
    let (track, problems) = read(bomb.as_bytes(), 11);
    assert_eq!((track.fixes.get(0).unwrap().elevation, track.fixes.get(0).unwrap().speed), (None, None));
    assert_eq!(problems.len(), 2);
}

#[test]
fn cut_files_keep_what_came_before() {
    let whole = file(&POINT.repeat(3));
    for end in HEAD.len()..whole.len() - 2 {
        let (track, problems) = read(&whole.as_bytes()[..end], 64);
        let complete = whole[..end].matches("</trkpt>").count();
        assert_eq!(track.fixes.len(), complete, "cut at {end}");
        assert_eq!(problems.len(), 1, "cut at {end}: {problems:?}");
        let line = problems[0].line;
        let last_line = whole[..end].lines().count();
        assert!(line == Some(last_line) || line == Some(last_line + 1), "cut at {end}: {line:?}");
        assert!(problems[0].hint.contains("cut short"), "cut at {end}: {problems:?}");
    }
}

#[test]
fn damage_is_told_and_survived() {
    check("<trkpt lat='1' lon='2'><ele>3</trkpt><trkpt lat='1' lon='2'/>", 2, &["found </trkpt>"]);
    check("</nothing><trkpt lat='1' lon='2'/>", 1, &["found </nothing>"]);
    check("<!x><trkpt lat='1' lon='2'/>", 1, &["markup"]);
    check("a & b &c <trkpt lat='1' lon='2'/>", 1, &[]);
    check(&format!("{}<trkpt lat='1' lon='2'/>", "<a>".repeat(70)), 0, &["elements up to 64 deep"]);
    let endless = format!("<trkpt lat='1' lon='2'/><!-- {}", "x".repeat(2 << 20));
    check(&endless, 1, &["under 1 MiB"]);
}

#[test]
fn other_files() {
    let problem = |text: &str| {
        let (track, problems) = read(text.as_bytes(), 16);
        assert!(track.fixes.is_empty());
        assert_eq!(problems[0].severity, Severity::Error, "{text}");
        problems[0].found.clone()
    };
    assert_eq!(problem("<html><body>Not found</body></html>"), "<html>");
    assert_eq!(problem(""), "no element at all");
    assert_eq!(problem("time,speed\n1,2\n"), "no element at all");
    let route = "<gpx><rte><rtept lat='1' lon='2'/></rte></gpx>";
    assert_eq!(read(route.as_bytes(), 5).1[0].found, "only a route or single places");
}

#[test]
fn other_encodings() {
    let latin = b"<?xml version='1.0' encoding='ISO-8859-1'?><gpx><name>H\xF6he</name><trk><trkseg><trkpt lat='1' lon='2'/></trkseg></trk></gpx>";
    let (track, problems) = read(latin, 10);
    assert_eq!((track.fixes.len(), problems.len()), (1, 0), "{problems:?}");
    let wide: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain(file(POINT).encode_utf16().flat_map(u16::to_le_bytes)).collect();
    assert_eq!(read(&wide, 3).0, read(file(POINT).as_bytes(), 3).0);
}

/// Pieces from which both sound and damaged files are put together.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just(POINT.to_owned()),
        Just(HEAD.to_owned()),
        Just(TAIL.to_owned()),
        Just("</trkseg><trkseg>".to_owned()),
        Just("<!-- ".to_owned()),
        Just("-->".to_owned()),
        Just("<![CDATA[".to_owned()),
        Just("]]>".to_owned()),
        Just("<trkpt lat='1' lon=\"".to_owned()),
        Just("\u{FEFF}".to_owned()),
        Just("&amp; &x; & ".to_owned()),
        Just("<!".to_owned()),
        Just("<?".to_owned()),
        Just("<speed>".to_owned()),
        "\\PC{0,20}",
    ];
    proptest::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn chunking_does_not_matter(text in pieces(), chunk_bytes in 1usize..200, filler in 0usize..3) {
        let text = format!("{}{text}{}{text}", " ".repeat(filler * 32_700), POINT.repeat(filler * 400));
        prop_assert_eq!(read(text.as_bytes(), chunk_bytes), read(text.as_bytes(), 1 << 22));
    }

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..400), chunk_bytes in 1usize..50) {
        prop_assert_eq!(read(&bytes, chunk_bytes), read(&bytes, 1 << 20));
    }

    /// Slow oracle: the same file read in one piece and in blocks gives the points that were written.
    #[test]
    fn every_point_is_read(count in 0usize..3000, chunk_bytes in 1usize..100_000) {
        let (track, problems) = read(file(&POINT.repeat(count)).as_bytes(), chunk_bytes);
        prop_assert_eq!(track.fixes.len(), count);
        prop_assert!(problems.is_empty());
        prop_assert!(track.fixes.iter().enumerate().all(|(index, fix)| fix.line == index + 4));
    }
}

#[test]
fn swapped_coordinates_are_told_with_what_to_do() {
    // A longitude beyond 90 degrees is no latitude: such a file has the two swapped.
    let point = |k: usize| {
        format!("<trkpt lat=\"-104.{k}\" lon=\"39.7\"><time>2026-05-24T11:50:2{k}Z</time></trkpt>")
    };
    let points: String = (0..5).map(point).collect();
    let mut reader = crate::logs::sniff::TrackReader::new("drive.gpx", Default::default());
    reader.feed(file(&points).as_bytes());
    let (track, problems) = reader.finish();
    assert!(track.fixes.is_empty());
    let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert!(told[0].contains("swapped") && told[0].contains("exchange"), "{told:?}");
    assert!(!told.iter().any(|told| told.contains("view of the sky")), "{told:?}");
    // A number that is neither is no swap.
    check("<trkpt lat='200' lon='2'/>", 0, &["a number beyond them"]);
}
