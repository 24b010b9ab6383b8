//! One drive and one recording without a truck, and recordings with a channel and a track among the evidence.

use super::Visitor;
use crate::work::bench::{Format, Wanted};
use crate::work::sample::FILES;
use serde_json::Value;

fn file(name: &str) -> &'static [u8] {
    FILES.iter().find(|(known, _)| *known == name).unwrap().1
}

/// A recording of 2 s at 60 mph with 8000 counts per mile, in the second channel of two; the first is silent.
fn second_of_two() -> Vec<u8> {
    let wanted = Wanted {
        counts_per_mile: Some(8000.0),
        speed: Some("60 mph".into()),
        lasting: "2 s".into(),
        ..Wanted::default()
    };
    let mono = wanted.bytes(&wanted.signal().unwrap(), Format::Wav).unwrap();
    // The head of a WAV file with 16-bit samples (44 bytes): channels, bytes a second, bytes of a moment, and two sizes.
    let mut wav = mono[..44].to_vec();
    let double = |at: usize| u32::from_le_bytes(mono[at..at + 4].try_into().unwrap()) * 2;
    wav[22..24].copy_from_slice(&2_u16.to_le_bytes());
    wav[28..32].copy_from_slice(&double(28).to_le_bytes());
    wav[32..34].copy_from_slice(&4_u16.to_le_bytes());
    wav[40..44].copy_from_slice(&double(40).to_le_bytes());
    for sample in mono[44..].chunks(2) {
        wav.extend([0, 0]);
        wav.extend(sample);
    }
    let size = u32::try_from(wav.len() - 8).unwrap();
    wav[4..8].copy_from_slice(&size.to_le_bytes());
    wav
}

fn scratch_folders(visitor: &Visitor) -> usize {
    let folders = crate::world::folders_in(visitor.app.garage.folder());
    folders.iter().filter(|name| name.starts_with(".looked-at-")).count()
}

#[test]
fn one_drive_says_what_it_says_as_evidence() {
    let visitor = Visitor::new();
    let files =
        [("track", "drive.gpx", file("drive.gpx")), ("vehicle_log", "drive-log.csv", file("drive-log.csv"))];
    let said = visitor.upload_as("/drive", &visitor.token(), &files);
    let address = said.is(303).location().to_string();
    // The worked example of the README.
    let page = visitor.get(&address);
    // By the truth of the sample truck it reads 615.5 x 46/11 x 22 / (40 x 1479) of it, 4.28 % slow.
    let slow = page.is(200).body.split(" % slow").next().and_then(|before| before.rsplit([' ', '>']).next());
    let slow: f64 = slow.unwrap().parse().unwrap();
    assert!((slow - 4.28).abs() < 0.3, "{slow} % slow");
    page.has(&["Points left out", "Look at another drive", "Back to the garage"]);
    page.lacks(&[".looked-at-", &visitor.app.garage.folder().display().to_string()]);
    visitor.get(&address).is(200);
    visitor.get("/drive/00").is(404).has(&["no longer here", "Choose the files again"]);
    assert_eq!(scratch_folders(&visitor), 0, "files are not kept");
    visitor.upload_as("/drive", &visitor.token(), &[]).is(422).has(&["a track of the drive"]);
}

#[test]
fn a_problem_names_a_field_as_each_face_calls_it() {
    let visitor = Visitor::new();
    let unnamed = b"t,speed\n0,10\n1,10\n2,10\n";
    let files = [("track", "drive.gpx", file("drive.gpx")), ("vehicle_log", "log.csv", unnamed.as_slice())];
    let page = visitor.upload_as("/drive", &visitor.token(), &files);
    page.is(422).has(&["&quot;Columns of the truck's own log (CSV)&quot;: &quot;speed=speed km/h&quot;"]);
    page.lacks(&["--vehicle-columns", "vehicle_columns ="]);
    let program = visitor.program("/api/v1/drive", &[], &files);
    program.is(422).has(&["vehicle_columns = \\\"speed=speed km/h\\\""]).lacks(&["--vehicle-columns"]);
    // A field that is itself at fault.
    let recording = second_of_two();
    let channel = [("file", "two.wav", recording.as_slice())];
    let wrong = [("channel", "9")];
    visitor.program("/api/v1/recording", &wrong, &channel).is(422).has(&["\"part\":\"channel\""]);
    visitor
        .upload_with("/recording", &wrong, &channel)
        .is(422)
        .has(&["&quot;Channel&quot;"])
        .lacks(&["--channel"]);
}

#[test]
fn the_channel_of_a_recording_is_told() {
    let visitor = Visitor::new();
    let wav = second_of_two();
    // 8000 counts at 60 mph for 2 s: 8000 / 60 of them.
    let report = |fields: &[(&str, &str)]| {
        let files = [("file", "two.wav", wav.as_slice())];
        visitor.program("/api/v1/recording", fields, &files)
    };
    let second: Value =
        serde_json::from_str(&report(&[("channel", "2"), ("turns", "10")]).is(200).body).unwrap();
    let pulses = second["pulses"].as_u64().unwrap();
    assert!((266..=267).contains(&pulses), "{second}");
    let per_turn = second["counts_per_turn"]["value"].as_f64().unwrap();
    assert!((per_turn - pulses as f64 / 10.0).abs() < 1e-6, "{per_turn}");
    let first: Value = serde_json::from_str(&report(&[("channel", "1")]).is(200).body).unwrap();
    assert_eq!(first["pulses"], 0, "the first channel is silent: {first}");
    report(&[("turns", "10"), ("distance", "1 mi")]).is(422).has(&["turns, or a distance, or a track"]);
    report(&[("turns", "many")]).is(422).has(&["a number above 0"]);
    report(&[("chanel", "2")]).is(422).has(&["`chanel`", "Did you mean `channel`?"]);
    assert_eq!(scratch_folders(&visitor), 0, "files are not kept");
}

#[test]
fn a_channel_in_the_vehicle_file_is_counted() {
    let text = "name = \"Two channels\"\n\n[tire]\nsize = \"LT265/75R16\"\n\n[chain]\nsensor_at = \"axle-ring\"\n\n\
                [[evidence]]\nkind = \"pulses\"\nfile = \"two.wav\"\nchannel = \"2\"\ndistance = \"0.0333 mi\"\n";
    let wav = second_of_two();
    let (visitor, slug) = Visitor::with("two", text, &[("two.wav", &wav)]);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/evidence/0"));
    page.is(200).has(&["pulses in 2.0 s", "counts per mile", "name=\"channel\"", "name=\"track\""]);
    let known = visitor.app.garage.known(&slug).unwrap();
    let per_mile = known.estimate.over_all.counts.as_ref().unwrap().value.per_mi();
    assert!((per_mile / 8000.0 - 1.0).abs() < 0.02, "{per_mile}");
    visitor
        .get(&format!("/trucks/{slug}/evidence/none"))
        .is(404)
        .has(&["There is no such page", "To the evidence"]);
}

#[test]
fn a_name_that_was_typed_is_no_file() {
    let (visitor, slug) = Visitor::with_sample();
    let track = visitor.app.garage.truck_folder(&slug).join("drive.gpx");
    let typed = track.to_str().unwrap();
    visitor.program("/api/v1/drive", &[("track", typed)], &[]).is(422).has(&["a track of the drive"]);
    visitor.program("/api/v1/recording", &[("file", typed)], &[]).is(422).has(&["a recording"]);
    let files = [("track", "drive.gpx", file("drive.gpx"))];
    let log = [("vehicle_log", typed)];
    let said = visitor.program("/api/v1/drive", &log, &files);
    assert!(said.is(200).body.contains("\"reading_ratio\":null"), "{}", said.body);
}
