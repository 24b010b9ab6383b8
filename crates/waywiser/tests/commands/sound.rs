//! Sound as phones record it. The files and how they were made: `tests/data/SOURCES.md`.

use super::{answer, folder, waywiser, write};
use std::path::Path;

fn sample(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/sound").join(name).display().to_string()
}

/// The signal that all of the files hold, and its answer as WAV.
fn as_wav(folder: &Path) -> serde_json::Value {
    let signal = ["--counts-per-mile", "36000", "--from", "15 mph", "--to", "40 mph", "--lasting", "4 s"];
    let fault = ["--shape", "sensor", "--ring-teeth", "36", "--missing-tooth", "12", "--out", "x.wav"];
    let written = answer(folder, &[&["bench-signal"], &signal[..], &fault[..]].concat());
    let read = answer(folder, &["measure", "pulses", "x.wav"]);
    assert_eq!((&written["pulses"], &read["pulses"]), (&1069.into(), &1069.into()));
    read
}

#[test]
fn every_coding_gives_the_same_counts() {
    let folder = folder("sound");
    let wav = as_wav(&folder);
    let check = |name: &str, more: &[&str], lossy: bool| {
        let read = answer(&folder, &[&["measure", "pulses", &sample(name)], more].concat());
        for key in ["ring_teeth", "faulty_teeth"] {
            assert_eq!(read[key], wav[key], "{name}: {read:#}");
        }
        // AAC without a container does not say where the sound ends: an echo of the last pulse may count.
        let most = 1069 + u64::from(name == "aac.aac");
        assert!((1069..=most).contains(&read["pulses"].as_u64().unwrap()), "{name}: {read:#}");
        assert_eq!(read["lossy"], lossy, "{name}");
        // The coders of AAC fill up their last packet of 1024.
        let longer_s = read["duration_s"].as_f64().unwrap() - 4.0;
        assert!((-0.001..0.024).contains(&longer_s), "{name}: {longer_s} s longer");
        for place in ["min", "median", "max"] {
            let (found, expected) = (&read["frequency_hz"][place], &wav["frequency_hz"][place]);
            let off = found.as_f64().unwrap() / expected.as_f64().unwrap() - 1.0;
            // The stretches of 0.05 s do not begin at the same pulse.
            assert!(off.abs() < 0.02, "{name}: {found} Hz, {expected} Hz");
        }
        let u = read["crossing_standard_uncertainty_percent"].as_f64().unwrap();
        assert_eq!(u > 0.8, lossy, "{name}: {u} %");
    };
    for name in ["aac.m4a", "aac-head-first.m4a", "aac-24000.m4a", "aac.aac", "mono.mp3", "vorbis.ogg"] {
        check(name, &[], true);
    }
    check("stereo.mp3", &["--channel", "2"], true);
    check("alac.m4a", &[], false);
    check("flac.flac", &[], false);
}

#[test]
fn loss_is_said_and_widens_what_hangs_on_single_pulses() {
    let folder = folder("sound-loss");
    let said = waywiser(&folder, &["measure", "pulses", &sample("mono.mp3")]);
    assert!(said.err.contains("coded with loss") && said.err.contains("record WAV"), "{}", said.err);
    assert!(said.out.contains("the count stands"), "{}", said.out);
    let wav = as_wav(&folder);
    let mp3 = answer(&folder, &["measure", "pulses", &sample("mono.mp3")]);
    let u = |read: &serde_json::Value| read["frequency_hz"]["standard_uncertainty"][1].as_f64().unwrap();
    assert!(u(&mp3) > 10.0 * u(&wav), "{} {}", u(&mp3), u(&wav));
    // 0.8 % of a pitch at both ends of a stretch of 0.05 s or a little more: sqrt(2) 0.008 / 0.05 = 0.23 Hz.
    assert!((0.15..0.25).contains(&u(&mp3)), "{}", u(&mp3));
    let fault = |read: &serde_json::Value| read["faults"][0]["spacing_standard_uncertainty_percent"].as_f64();
    assert!(fault(&mp3).unwrap() > 10.0 * fault(&wav).unwrap());
}

#[test]
fn what_is_not_decoded_is_refused_with_a_way_out() {
    let folder = folder("sound-refused");
    let check = |file: &str, piece: &str| {
        let said = waywiser(&folder, &["measure", "pulses", file]);
        assert!(
            said.code == 1 && said.err.contains(piece) && said.err.contains("WAV"),
            "{file}: {}",
            said.err
        );
    };
    check(&sample("opus.ogg"), "Opus");
    write(&folder, "memo.amr", "#!AMR\n<\u{1}\u{2}");
    check("memo.amr", "AMR");
    write(&folder, "memo.m4a", "\0\0\0\u{20}ftypM4A ");
    check("memo.m4a", "AAC-LC");
    let said = waywiser(&folder, &["measure", "pulses", &sample("mono.mp3"), "--channel", "2"]);
    assert!(said.code == 1 && said.err.contains("--channel"), "{}", said.err);
}

#[test]
fn compressed_sound_joins_the_evidence() {
    let folder = folder("sound-evidence");
    std::fs::copy(sample("aac.m4a"), folder.join("memo.m4a")).unwrap();
    // 36 000 counts per mile over what 4 s at 27.5 mph are.
    let truck = "name = \"The grey half-ton\"\n[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 36\n\
                 [[evidence]]\nkind = \"pulses\"\nfile = \"memo.m4a\"\ndistance = \"161.3 ft +/- 0.2\"\n";
    write(&folder, "truck.toml", truck);
    let fused = answer(&folder, &["measure", "vehicle", "truck.toml"]);
    let counts = fused["counts_per_mile"]["value"].as_f64().unwrap();
    // 1069 pulses: one of 36 is missing.
    assert!((counts - 1069.0 / 161.3 * 5280.0).abs() < 1.0, "{counts}");
}
