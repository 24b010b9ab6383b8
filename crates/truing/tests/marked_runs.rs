//! Drives with marks of a passenger, from bytes to ratios. The worlds are written here, from a road, a dial and a hand, and share
//! nothing with the estimator.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
#![allow(clippy::print_stdout, reason = "the coverage is shown with --nocapture")]

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use truing::logs::Track;
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::TrackReader;
use truing::measure::drive::{DriveEstimate, Indicated, Marked, Reads, estimate};
use truing::problem::Problem;

/// 2026-05-01T10:00:00Z.
const BEGAN_S: f64 = 1_777_629_600.0;
/// The device's clock at that moment (s).
const DEVICE_S: f64 = 5000.0;
/// Metres in a degree of latitude at 45 degrees north: WGS 84, a(1-e²)/(1-e² sin²)^(3/2) times pi/180, by hand.
const METRES_PER_DEGREE: f64 = 111_131.8;
/// Held speeds of the road (m/s), 30 s each with 15 s of change before.
const HELD_M_PER_S: [f64; 6] = [13.0, 20.0, 26.0, 17.0, 24.0, 29.0];

/// A truck on a road to the north, with a passenger.
struct World {
    /// Shown over true, of dial and odometer alike.
    ratio: f64,
    seed: u64,
    /// How late the device hands a fix on (s), and by how much that scatters.
    delay_s: (f64, f64),
    /// The fix before the first, an hour old.
    stale: bool,
    /// Nothing recorded from one moment to another (s), and a second start then.
    lost_s: Option<(f64, f64)>,
}

const PLAIN: World = World { ratio: 1.04, seed: 1, delay_s: (0.4, 0.1), stale: false, lost_s: None };

/// What the device wrote down.
struct Written {
    lines: Vec<String>,
    fixes: Vec<String>,
    marks: Vec<String>,
}

impl World {
    fn speed(time_s: f64) -> f64 {
        let (piece, within_s) = ((time_s / 45.0) as usize, time_s % 45.0);
        let Some(&to) = HELD_M_PER_S.get(piece) else { return HELD_M_PER_S[5] };
        let from = if piece == 0 { 0.0 } else { HELD_M_PER_S[piece - 1] };
        from + (to - from) * (within_s / 15.0).min(1.0)
    }

    fn write(&self) -> Written {
        let mut chance = ChaCha8Rng::seed_from_u64(self.seed);
        let mut normal = || -> f64 { StandardNormal.sample(&mut chance) };
        let (mut metres, mut turned) = (0.0, 0.0);
        let mut written = Written {
            lines: vec![r#"{"run":"start","version":1}"#.into()],
            fixes: Vec::new(),
            marks: Vec::new(),
        };
        if self.stale {
            let (time, at) = (stamp(BEGAN_S - 3600.0), DEVICE_S - 1.0);
            written.lines.push(fix_line(&time, at, 44.9, 0.0));
            written.fixes.push(fix_point(&time, at, 44.9, 0.0));
        }
        let mut slow_m = 0.0;
        for tenth in 0..2700_u32 {
            let time_s = f64::from(tenth) / 10.0;
            metres += 0.1 * Self::speed(time_s);
            // The odometer turns at each tenth of a mile that it counts; the hand marks the first and one late in the drive.
            let tenths = (metres * self.ratio / 160.934_4).floor();
            if tenths > turned {
                turned = tenths;
                if tenths == 2.0 || tenths == 29.0 {
                    let at = DEVICE_S + time_s + self.delay_s.0 + 0.1 * normal();
                    let shown = format!("{:.1} mi", 128_400.0 + tenths / 10.0);
                    written.mark(
                        &format!(r#""run":"odometer","shown":"{shown}","at":{at:.2}"#),
                        &format!(r#"odometer shown="{shown}" at="{at:.2}""#),
                    );
                }
            }
            let is_lost = self.lost_s.is_some_and(|(from_s, to_s)| from_s <= time_s && time_s < to_s);
            if tenth % 10 == 0 && !is_lost {
                if self.lost_s.is_some_and(|(_, to_s)| to_s == time_s) {
                    written.lines.push(r#"{"run":"segment"}"#.into());
                    written.fixes.push("</trkseg><trkseg>".into());
                }
                slow_m = 0.98 * slow_m + 0.4 * normal();
                let latitude = 45.0 + (metres + slow_m + 0.3 * normal()) / METRES_PER_DEGREE;
                let speed = (Self::speed(time_s) + 0.05 * normal()).max(0.0);
                let at = DEVICE_S + time_s + self.delay_s.0 + self.delay_s.1 * normal();
                written.lines.push(fix_line(&stamp(BEGAN_S + time_s), at, latitude, speed));
                written.fixes.push(fix_point(&stamp(BEGAN_S + time_s), at, latitude, speed));
            }
        }
        for (place, speed) in HELD_M_PER_S.iter().enumerate() {
            let start = DEVICE_S + 45.0 * place as f64 + 18.0 + 0.5 * normal();
            // A dial is read to about half a mile an hour.
            let shown = format!("{:.1} mph", speed / 0.447_04 * self.ratio + 0.3 * normal());
            let end = start + 24.0;
            written.mark(
                &format!(r#""run":"hold","shown":"{shown}","start":{start:.2},"end":{end:.2}"#),
                &format!(r#"hold shown="{shown}" start="{start:.2}" end="{end:.2}""#),
            );
        }
        written
    }
}

impl Written {
    fn mark(&mut self, json: &str, xml: &str) {
        self.lines.push(format!("{{{json}}}"));
        self.marks.push(format!("<w:{xml}/>"));
    }

    fn json_lines(&self) -> String {
        self.lines.join("\n")
    }

    fn gpx(&self) -> String {
        format!(
            "<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:w=\"urn:waywiser:run\">\n<trk><trkseg>\n{}\n</trkseg></trk>\n<extensions>\n{}\n</extensions></gpx>",
            self.fixes.join("\n"),
            self.marks.join("\n")
        )
    }
}

/// A time of the day of the drive.
fn stamp(unix_s: f64) -> String {
    let of_day = unix_s - BEGAN_S + 36_000.0;
    format!(
        "2026-05-01T{:02}:{:02}:{:06.3}Z",
        (of_day / 3600.0) as u32,
        (of_day / 60.0) as u32 % 60,
        of_day % 60.0
    )
}

fn fix_line(time: &str, at: f64, latitude: f64, speed: f64) -> String {
    format!(
        r#"{{"run":"fix","time":"{time}","delivered":{at:.3},"latitude":{latitude:.8},"longitude":9.5,"accuracy_m":4,"speed_m_per_s":{speed:.2}}}"#
    )
}

fn fix_point(time: &str, at: f64, latitude: f64, speed: f64) -> String {
    format!(
        "<trkpt lat=\"{latitude:.8}\" lon=\"9.5\"><time>{time}</time><extensions><w:speed>{speed:.2}</w:speed><w:accuracy>4</w:accuracy><w:delivered>{at:.3}</w:delivered></extensions></trkpt>"
    )
}

fn read(text: &str) -> (Track, Vec<Problem>) {
    let mut reader = TrackReader::new("run", CsvOptions::default());
    text.as_bytes().chunks(4096).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

fn measured(text: &str, which: Marked) -> (Option<DriveEstimate>, Vec<String>) {
    let (track, mut problems) = read(text);
    let (drive, more) = estimate("run", &track, &Indicated::Marks(which));
    problems.extend(more);
    (drive, problems.iter().map(ToString::to_string).collect())
}

#[test]
fn a_track_with_marks_tells_dial_and_odometer_by_itself() {
    let written = PLAIN.write();
    let both = [written.json_lines(), written.gpx()].map(|text| {
        let (drive, problems) = measured(&text, Marked::All);
        assert!(problems.is_empty(), "{problems:?}");
        drive.unwrap()
    });
    // The two ways of writing it down say the same.
    assert_eq!(both[0], DriveEstimate { ..both[1].clone() });
    let drive = &both[0];
    let (needle, odometer) = (drive.reading_ratio.unwrap(), drive.by_odometer.unwrap());
    assert_eq!((drive.reads, drive.holds.len()), (Reads::Needle, 6));
    assert!((needle.value.plain() - 1.04).abs() < 3.0 * needle.standard_uncertainty.plain(), "{needle:?}");
    assert!(
        (odometer.value.plain() - 1.04).abs() < 3.0 * odometer.standard_uncertainty.plain(),
        "{odometer:?}"
    );
    assert!(odometer.standard_uncertainty.plain() < 0.005, "{odometer:?}");
}

#[test]
fn either_is_taken_alone() {
    let text = PLAIN.write().json_lines();
    let reads = |which| measured(&text, which).0.map(|drive| (drive.reads, drive.by_odometer.is_some()));
    assert_eq!(reads(Marked::Holds), Some((Reads::Needle, false)));
    assert_eq!(reads(Marked::Odometer), Some((Reads::Distance, false)));
    let without: Vec<&str> = text.lines().filter(|line| !line.contains("odometer")).collect();
    let (drive, problems) = measured(&without.join("\n"), Marked::Odometer);
    assert!(drive.is_none() && problems[0].contains("the odometer marked at two moments"), "{problems:?}");
}

#[test]
fn an_old_first_fix_and_a_second_start_change_nothing_but_what_they_must() {
    let plain = measured(&PLAIN.write().json_lines(), Marked::All).0.unwrap();
    let (stale, told) = measured(&World { stale: true, ..PLAIN }.write().json_lines(), Marked::All);
    assert!(told.iter().any(|problem| problem.contains("kept by the device")), "{told:?}");
    let ratio = |drive: &DriveEstimate| drive.reading_ratio.unwrap().value.plain();
    assert!((ratio(&stale.unwrap()) - ratio(&plain)).abs() < 2e-3);
    // The odometer was marked before and after the second start: what lies between is not known.
    let (parted, told) =
        measured(&World { lost_s: Some((100.0, 130.0)), ..PLAIN }.write().json_lines(), Marked::All);
    assert!(told.iter().any(|problem| problem.contains("one stretch without a gap")), "{told:?}");
    let parted = parted.unwrap();
    assert!(parted.by_odometer.is_none() && parted.holds.len() == 5, "{:?}", parted.holds);
    // With one reading of the dial less, the answer moves by less than it is unsure.
    let u = parted.reading_ratio.unwrap().standard_uncertainty.plain();
    assert!((ratio(&parted) - ratio(&plain)).abs() < u);
}

#[test]
fn slips_of_the_hand_are_told() {
    let text = PLAIN.write().json_lines();
    let check = |from: &str, to: &str, expected: &str| {
        assert!(text.contains(from), "{from}");
        let (_, told) = measured(&text.replace(from, to), Marked::All);
        assert!(told.iter().any(|problem| problem.contains(expected)), "{expected}: {told:?}");
    };
    check("128402.9 mi", "128302.9 mi", "an odometer that counts up");
    check("\"start\":50", "\"start\":90", "marked holds of 3 s or more");
    let third = r#"{"run":"odometer","shown":"128402.5 mi","at":5120.0}"#;
    check("{\"run\":\"hold\"", &format!("{third}\n{{\"run\":\"hold\""), "agree with each other");
}

/// Ratios of drives with other chances, over their standard uncertainties: within two of them in nineteen of twenty.
#[test]
fn the_intervals_hold_the_truth() {
    let mut seeds = ChaCha8Rng::seed_from_u64(7);
    let (mut needle, mut odometer, drives) = (0, 0, 60);
    for seed in 0..drives {
        let world = World { seed: 100 + seed, ratio: 0.93 + 0.14 * seeds.random::<f64>(), ..PLAIN };
        let (drive, _) = measured(&world.write().json_lines(), Marked::All);
        let drive = drive.unwrap();
        let holds = |measured: metrology::measured::Measured<metrology::quantity::Ratio>| {
            let off = (measured.value.plain() - world.ratio).abs();
            i32::from(off < 1.96 * measured.standard_uncertainty.plain())
        };
        needle += holds(drive.reading_ratio.unwrap());
        odometer += holds(drive.by_odometer.unwrap());
    }
    println!("of {drives} intervals of dial and odometer hold {needle} and {odometer}");
    // Of 60, nineteen of twenty are 57; 52 or fewer come about in one of a hundred tries.
    assert!(needle >= 53 && odometer >= 53, "{needle} and {odometer} of {drives}");
}

/// The examples of the description are what the reader reads, and say the same.
#[test]
fn the_described_examples_are_read() {
    let page = include_str!("../../../docs/recording.md");
    let example = |language: &str| {
        let from = page.split(&format!("```{language}\n")).nth(1).unwrap();
        let (track, problems) = read(from.split("```").next().unwrap());
        assert!(problems.is_empty(), "{language}: {problems:?}");
        track
    };
    let (lines, gpx) = (example("json"), example("xml"));
    let marks = |track: &Track| {
        let held =
            track.marks.holds.iter().map(|hold| (hold.shown, hold.start, hold.end)).collect::<Vec<_>>();
        let turned = track.marks.odometer.iter().map(|mark| (mark.shown, mark.at)).collect::<Vec<_>>();
        (held, turned, track.marks.gaps.clone(), track.marks.notes.clone())
    };
    assert_eq!(marks(&lines), marks(&gpx));
    assert_eq!((lines.fixes.len(), gpx.fixes.len(), marks(&lines).0.len()), (1, 1, 1));
    assert_eq!(
        lines.fixes.get(0).map(|fix| (fix.time, fix.speed)),
        gpx.fixes.get(0).map(|fix| (fix.time, fix.speed))
    );
}
