use super::*;
use metrology::quantity::Instant;

/// Files as `name` or `name:nature:from-to` in seconds; drives as `track + log`, a question mark for what is missing.
fn check(files: &[&str], expected: &[&str]) {
    let mut spans = BTreeMap::new();
    let mut natures = Vec::new();
    for file in files {
        let mut parts = file.split(':');
        let path = PathBuf::from(parts.next().unwrap());
        let nature = match parts.next() {
            Some("track") => Nature::Track,
            Some("log") => Nature::Vehicle,
            Some("whole") => Nature::Whole,
            Some("either") => Nature::Either,
            None | Some("") => Nature::Unknown,
            Some(other) => panic!("{other}"),
        };
        if let Some((from, to)) = parts.next().and_then(|span| span.split_once('-')) {
            let [from, to] = [from, to].map(|text| Instant::from_s(text.parse().unwrap()));
            spans.insert(path.clone(), Span { from, to });
        }
        natures.push((path, nature));
    }
    let shown =
        |path: &Option<PathBuf>| path.as_ref().map_or("?".to_owned(), |path| path.display().to_string());
    let found: Vec<String> = pairs(&natures, &|path, _| spans.get(path).copied())
        .iter()
        .map(|drive| format!("{} + {}", shown(&drive.track), shown(&drive.vehicle_log)))
        .collect();
    assert_eq!(found, expected, "{files:?}");
}

#[test]
fn files_called_alike() {
    check(&["a.gpx:track", "a.csv:log", "b.gpx:track"], &["a.gpx + a.csv", "b.gpx + ?"]);
    check(
        &["in/A.GPX:track", "in/a-log.csv.gz:either", "a.csv:whole"],
        &["a.csv + a.csv", "in/A.GPX + in/a-log.csv.gz"],
    );
    check(&["a-track.csv:either", "a-vehicle.csv:either"], &["a-track.csv + a-vehicle.csv"]);
    check(
        &["a.csv:either", "a_obd.csv:either", "b.nmea:track", "b.candump:log"],
        &["a.csv + a_obd.csv", "b.nmea + b.candump"],
    );
    check(&["both.csv:whole", "SOURCES.md", "a.LICENSE", ".a.gpx:track"], &["both.csv + both.csv"]);
    check(&["a-log.csv:log", "a.csv:log", "a.gpx:track"], &["? + a-log.csv"]);
    // Names that belong together stay so where one cannot be read; the reading tells why.
    check(&["a.gpx", "a-log.csv:log", "b.gpx:track"], &["a.gpx + a-log.csv", "b.gpx + ?"]);
    // Content goes before the name.
    check(&["a-log.csv:track", "a-track.csv:log"], &["a-log.csv + a-track.csv"]);
    check(&[], &[]);
}

#[test]
fn the_only_two_of_a_folder_whatever_their_names() {
    check(&["walk.gpx:track", "trip 7.csv:log"], &["walk.gpx + trip 7.csv"]);
    check(&["one.csv:track", "two.csv:either"], &["one.csv + two.csv"]);
    check(&["one.csv:either", "two.csv:log"], &["one.csv + two.csv"]);
    check(&["x/a.gpx:track", "y/b.csv:log"], &["x/a.gpx + ?", "? + y/b.csv"]);
    // What cannot be read stands beside them, unless it is called like one of them.
    check(&["walk.gpx:track", "trip.csv:log", "notes.txt"], &["notes.txt + ?", "walk.gpx + trip.csv"]);
    check(&["walk.gpx:track", "trip.csv:log", "trip.gpx"], &["trip.gpx + trip.csv", "walk.gpx + ?"]);
    // Which is which cannot be told; what holds both is a drive of its own.
    check(&["one.csv:either", "two.csv:either"], &["? + one.csv", "? + two.csv"]);
    check(&["one.csv:whole", "two.gpx:track"], &["one.csv + one.csv", "two.gpx + ?"]);
}

#[test]
fn several_of_a_folder_by_their_times() {
    let four = ["a.gpx:track:0-1000", "b.gpx:track:5000-6000", "x.csv:log:5010-5900", "y.csv:log:0-990"];
    check(&four, &["a.gpx + y.csv", "b.gpx + x.csv"]);
    // Half of the shorter one is enough, less is not: 499 of 1000.
    check(&["a.gpx:track:0-1000", "b.gpx:track", "x.csv:log:500-1500"], &["a.gpx + x.csv", "b.gpx + ?"]);
    check(
        &["a.gpx:track:0-1000", "b.gpx:track", "x.csv:log:501-1501"],
        &["a.gpx + ?", "b.gpx + ?", "? + x.csv"],
    );
    // The most in common first; each file is used once.
    check(
        &["a.gpx:track:0-1000", "b.gpx:track:100-1000", "x.csv:log:50-1000"],
        &["a.gpx + x.csv", "b.gpx + ?"],
    );
    // Names go before times.
    check(
        &["a.gpx:track:0-9", "a.csv:log:20-29", "b.gpx:track:20-29", "c.csv:log:0-9"],
        &["a.gpx + a.csv", "b.gpx + ?", "? + c.csv"],
    );
    // A clock that counts from a start of its own tells nothing.
    check(&["a.gpx:track", "b.gpx:track", "x.csv:log"], &["a.gpx + ?", "b.gpx + ?", "? + x.csv"]);
}

#[test]
fn no_file_beside_itself_unless_it_holds_both() {
    for nature in ["track", "log", "either", ""] {
        let natures = [(PathBuf::from("a.csv"), nature)];
        for (path, nature) in natures {
            let nature = match nature {
                "track" => Nature::Track,
                "log" => Nature::Vehicle,
                "either" => Nature::Either,
                _ => Nature::Unknown,
            };
            let drives = pairs(&[(path, nature)], &|_, _| None);
            assert!(drives.len() == 1 && drives[0].track.is_some() != drives[0].vehicle_log.is_some());
        }
    }
}
