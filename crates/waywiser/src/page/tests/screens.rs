//! The screens: named controls, and the numbers of the report.

use super::Visitor;
use crate::work::sample::FILES;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::words::value_and_uncertainty;

fn file(name: &str) -> &'static [u8] {
    FILES.iter().find(|(known, _)| *known == name).unwrap().1
}

#[test]
fn an_empty_garage_offers_two_ways_in() {
    let visitor = Visitor::new();
    visitor.get("/").is(200).has(&[
        "Look at a sample truck",
        "Add mine",
        "action=\"/sample\"",
        "href=\"/add\"",
    ]);
    let said = visitor.post("/sample", &[]);
    said.is(303);
    visitor.get_patiently(said.location()).is(200).has(&["The green hauler", "From the road to the needle"]);
    let home = visitor.get_patiently("/");
    // The demo's owner finds it about 4 % slow; the report says which word and how many writes.
    home.has(&["Reads ", "slow", "5 writes left", "unproved"]);
}

#[test]
fn two_answers_add_a_truck() {
    let visitor = Visitor::new();
    visitor.get("/add").has(&["for=\"name\"", "for=\"size\"", "What comes next"]);
    let said = visitor.post("/add", &[("name", "The grey half-ton"), ("size", "LT265/75R16")]);
    assert_eq!(said.is(303).location(), "/trucks/the-grey-half-ton/describe");
    let page = visitor.get_patiently(said.location());
    page.has(&["What would help", "brings", "how far off it truly reads"]);
    visitor
        .post("/add", &[("name", "The grey half-ton"), ("size", "")])
        .is(422)
        .has(&["which another truck has"]);
    visitor.post("/add", &[("name", ""), ("size", "")]).is(422);
    visitor.post("/add", &[("name", "No size yet"), ("size", "")]).is(303);
}

#[test]
fn dropped_files_become_a_drive_with_its_result() {
    let text = std::str::from_utf8(file("truck.toml")).unwrap();
    let bare = text.split("[[evidence]]").next().unwrap();
    let (visitor, slug) = Visitor::with("mine", bare, &[]);
    let files = [("drive.gpx", file("drive.gpx")), ("drive-log.csv", file("drive-log.csv"))];
    visitor.upload(&format!("/trucks/{slug}/files"), &visitor.token(), &files).is(303);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    let known = visitor.app.garage.known(&slug).unwrap();
    assert_eq!(known.estimate.drives.len(), 1, "the track and the log were put together");
    let report = VehicleReport::new(&known.loaded.vehicle, &known.estimate, Vec::new(), Default::default());
    let ratio = report.over_all.distance_ratio.unwrap();
    page.has(&[
        "Look at this drive",
        &value_and_uncertainty(ratio.value, ratio.standard_uncertainty),
        "setting 1479",
    ]);
    page.has(&["date 2026-05-02", "What it is: ", "How the evidence came together"]);
    let drive = visitor.get_patiently(&format!("/trucks/{slug}/evidence/0"));
    drive.is(200).has(&[
        "Speed over the drive",
        "What the ratio leaves unexplained",
        "The shape of the road",
        "name=\"holds\"",
    ]);
    // Coordinates of the demo's road stand in its file and nowhere on the page.
    let gpx = std::str::from_utf8(file("drive.gpx")).unwrap();
    let latitude: String = gpx.split("lat=\"").nth(1).unwrap().chars().take(6).collect();
    drive.lacks(&[&latitude]);
}

#[test]
fn a_track_alone_waits_for_what_it_lacks() {
    let (visitor, slug) = Visitor::with("mine", "[tire]\nsize = \"LT265/75R16\"\n", &[]);
    let address = format!("/trucks/{slug}/files");
    visitor
        .upload(&address, &visitor.token(), &[("drive.gpx", file("drive.gpx")), ("notes.txt", b"hello")])
        .is(303);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    page.has(&[
        "Files not used yet",
        "a track: positions over time",
        "new/evidence/drive?track=drive.gpx",
        "nothing that can be read here",
    ]);
    let form = visitor.get(&format!("/trucks/{slug}/new/evidence/drive?track=drive.gpx"));
    form.has(&["value=\"drive.gpx\"", "A second person reads the instruments"]);
    // What few need is folded away, under words that say for whom it is.
    let (open, folded) = form.body.split_once("Say how the logs are read").unwrap();
    for name in ["track_columns", "vehicle_columns", "can_signal", "dbc", "signal"] {
        let field = format!("name=\"{name}\"");
        assert!(folded.contains(&field) && !open.contains(&field), "{name}");
    }
    visitor.post(&format!("/trucks/{slug}/files/notes.txt/remove"), &[]).is(303);
    visitor.post(&format!("/trucks/{slug}/files/truck.toml/remove"), &[]).is(404);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).lacks(&["notes.txt"]);
}

/// Most bytes of a first page with its style sheet, scripts and pictures.
const FIRST_PAGE_BYTES: usize = 60_000;

#[test]
fn a_first_visit_is_light() {
    let (visitor, slug) = Visitor::with("mine", "[tire]\nsize = \"LT265/75R16\"\n", &[]);
    for address in ["/".to_string(), "/add".to_string(), format!("/trucks/{slug}/measure")] {
        let page = visitor.get_patiently(&address).body;
        let parts = page.split('"').filter(|part| part.starts_with("/static/"));
        let parts: std::collections::BTreeSet<&str> = parts.collect();
        assert!(parts.len() >= 3, "style sheet, mark and script: {parts:?}");
        let bytes = page.len() + parts.iter().map(|part| visitor.get(part).body.len()).sum::<usize>();
        assert!(bytes < FIRST_PAGE_BYTES, "{address}: {bytes} bytes");
    }
}

/// As a browser takes them: the style sheet and every script count again on each.
#[test]
fn every_screen_is_light_as_a_first_page() {
    let (visitor, slug) = Visitor::with_sample();
    let stages = ["describe", "measure", "choose", "set", "set?screen=3", "prove", "record", "evidence/1"];
    let of_truck = stages.iter().map(|stage| format!("/trucks/{slug}/{stage}"));
    for address in of_truck.chain(["/", "/manual/measure-well"].map(String::from)) {
        let page = visitor.get_patiently(&address).body;
        let parts = page.split('"').filter(|part| part.starts_with("/static/") || part.ends_with(".svg"));
        let parts: std::collections::BTreeSet<&str> = parts.collect();
        let all = parts.into_iter().chain([address.as_str()]);
        let bytes: usize = all.map(|part| visitor.get_packed(part)).sum();
        assert!(bytes < FIRST_PAGE_BYTES, "{address}: {bytes} bytes");
        assert!(bytes > 5_000, "{address}: {bytes} bytes are no page");
    }
}

#[test]
fn what_came_in_is_said_with_its_setting() {
    let text = std::str::from_utf8(file("truck.toml")).unwrap();
    let bare = text.split("[[evidence]]").next().unwrap();
    let (visitor, slug) = Visitor::with("mine", bare, &[]);
    let files = [("drive.gpx", file("drive.gpx")), ("drive-log.csv", file("drive-log.csv"))];
    let said = visitor.upload(&format!("/trucks/{slug}/files"), &visitor.token(), &files);
    assert!(said.location().ends_with("/measure?came=drive.gpx&came=drive-log.csv"), "{}", said.location());
    visitor
        .get_patiently(said.location())
        .has(&["came in and counts", "It counts as taken with 1479 stored and LT275/75R17 on."]);
    // A name that nobody sent says nothing.
    visitor
        .get(&format!("/trucks/{slug}/measure?came=other.gpx"))
        .lacks(&["came in and counts", "other.gpx"]);
}

#[test]
fn a_track_alone_says_what_it_gave() {
    let (visitor, slug) = Visitor::with("mine", "[tire]\nsize = \"LT265/75R16\"\n", &[]);
    let files = [("drive.gpx", file("drive.gpx"))];
    let said = visitor.upload(&format!("/trucks/{slug}/files"), &visitor.token(), &files);
    visitor.get_patiently(said.location()).has(&[
        "came in: a track: positions over time",
        "It gives a true length of",
        "Missing is what the truck showed meanwhile",
        "new/evidence/drive?track=drive.gpx",
    ]);
}

#[test]
fn the_stages_say_how_they_stand_and_one_way_leads_on() {
    let check = |text: &str, stands: &[&str], way_on: &str| {
        let (visitor, slug) = Visitor::with("mine", text, &[]);
        let page = visitor.get_patiently(&format!("/trucks/{slug}/describe"));
        let stages = page.body.split("class=\"stages\"").nth(1).unwrap().split("</nav>").next().unwrap();
        let found: Vec<&str> =
            stages.split("<small>").skip(1).map(|rest| rest.split('<').next().unwrap()).collect();
        assert_eq!(found, stands, "{text}");
        page.has(&[way_on]);
    };
    let tire = "[tire]\nsize = \"LT265/75R16\"\n";
    check(
        tire,
        &["missing", "next", "missing", "missing", "missing", "missing"],
        "how far off does it read?",
    );
    let set = format!(
        "{tire}[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 9000\npresent = 8000\n"
    );
    check(&set, &["done", "next", "missing", "missing", "missing", "missing"], "how far off does it read?");
    let read = format!(
        "{set}[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"48.0 mi\"\ntrue = \"50.00 mi +/- 0.02\"\nresolution = \"0.1 mi\"\n"
    );
    check(&read, &["done", "done", "done", "next", "missing", "missing"], "what to store?");
    let faulty = format!("{set}[[fault]]\ntouches = \"brakes\"\n");
    check(&faulty, &["done", "held back", "missing", "missing", "held back", "missing"], "repair what holds");
}

#[test]
fn a_recording_has_its_own_page() {
    let wav = recording();
    let (visitor, slug) = Visitor::with("mine", "[tire]\nsize = \"LT265/75R16\"\n", &[]);
    visitor.upload(&format!("/trucks/{slug}/files"), &visitor.token(), &[("wheel.wav", &wav)]).is(303);
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).has(&["Look at this recording"]);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/evidence/0"));
    page.is(200).has(&["The signal and its pulses", "Frequency over time", "attenuate and isolate"]);
}

/// Two seconds of an even 100 Hz sine, 8000 samples a second, 16 bits: 200 pulses by construction.
fn recording() -> Vec<u8> {
    let samples: Vec<u8> = (0..16_000)
        .map(|k| (20_000.0 * (2.0 * std::f64::consts::PI * 100.0 * f64::from(k) / 8000.0).sin()) as i16)
        .flat_map(i16::to_le_bytes)
        .collect();
    let length = samples.len() as u32;
    let mut wav = b"RIFF".to_vec();
    wav.extend((36 + length).to_le_bytes());
    wav.extend(b"WAVEfmt ");
    for part in [
        &16u32.to_le_bytes()[..],
        &1u16.to_le_bytes(),
        &1u16.to_le_bytes(),
        &8000u32.to_le_bytes(),
        &16_000u32.to_le_bytes(),
        &2u16.to_le_bytes(),
        &16u16.to_le_bytes(),
    ] {
        wav.extend(part);
    }
    wav.extend(b"data");
    wav.extend(length.to_le_bytes());
    wav.extend(samples);
    wav
}

#[test]
fn the_chain_is_drawn_with_what_is_known_of_each_link() {
    let (visitor, slug) = Visitor::with_sample();
    let page = visitor.get_patiently(&format!("/trucks/{slug}/describe"));
    page.has(&[
        "class=\"chain\"",
        "Sensor",
        ">22<",
        "Axle",
        ">46/11<",
        "known",
        "measured",
        "The road",
        "What is shown",
    ]);
    page.has(&["aria-current=\"page\"", "Skip to the content", "lang=\"en\""]);
    // Open faults hold a drive back wherever it is asked for.
    let version = page.hidden("version");
    let fields = [
        ("version", version.as_str()),
        ("keys", "touches note"),
        ("touches", "brakes"),
        ("note", "pedal soft"),
    ];
    visitor.post(&format!("/trucks/{slug}/part/fault/0"), &fields).is(303);
    visitor
        .get_patiently(&format!("/trucks/{slug}/describe"))
        .has(&["Do not take this truck on a test drive", "pedal soft"]);
    visitor
        .get(&format!("/trucks/{slug}/new/evidence/drive"))
        .has(&["Not while these faults are open: brakes"]);
    visitor.get_patiently("/").has(&["Open faults: brakes", "no test drive"]);
}

#[test]
fn a_page_that_waits_says_for_what() {
    let (visitor, slug) = Visitor::with_sample();
    let truck = visitor.app.garage.truck(&slug).unwrap();
    let page = visitor.said(super::super::waiting::wait(
        &visitor.app,
        &truck,
        super::super::addresses::Stage::Measure,
    ));
    // The files of the demo: 0.1 MB of track, less of log.
    page.is(200).has(&[
        "Reading the files of this truck",
        "<progress aria-label=\"Reading\">",
        "drive.gpx",
        " MB",
    ]);
    page.has(&["http-equiv=\"refresh\"", "Look now"]).lacks(&["after.gpx"]);
}
