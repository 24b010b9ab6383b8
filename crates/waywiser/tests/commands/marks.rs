//! A drive whose marks stand in its track.

use super::{folder, waywiser, write};

/// A drive at 20 m/s of a truck that reads 5 % fast, its marks in the track.
#[test]
fn a_track_with_marks_is_enough_for_dial_and_odometer() {
    let folder = folder("marked");
    let fix = |second: u32| {
        let (minute, second_of) = (second / 60, second % 60);
        let latitude = 45.0 + f64::from(second) * 20.0 / 111_131.8;
        format!(
            r#"{{"run":"fix","time":"2026-05-01T10:{minute:02}:{second_of:02}Z","delivered":{second},"latitude":{latitude:.8},"longitude":9.5,"speed_m_per_s":20}}"#
        )
    };
    // 21 m/s are 46.975 mph; 400 s of them are 8400 m, 5.2195 mi.
    let marks = [
        r#"{"run":"hold","shown":"47 mph","start":30,"end":60}"#,
        r#"{"run":"hold","shown":"47 mph","start":200,"end":260}"#,
        r#"{"run":"odometer","shown":"1000.0 mi","at":40}"#,
        r#"{"run":"odometer","shown":"1005.2 mi","at":438.5}"#,
    ];
    let lines: Vec<String> = std::iter::once(r#"{"run":"start","version":1}"#.to_string())
        .chain((0..480).map(fix))
        .chain(marks.map(String::from))
        .collect();
    write(&folder, "run.jsonl", &lines.join("\n"));
    let said = waywiser(&folder, &["measure", "drive", "--track", "run.jsonl", "--json"]).json();
    assert_eq!(said["reads"], "needle", "{said}");
    for key in ["reading_ratio", "by_odometer"] {
        let value = said[key]["value"].as_f64().unwrap();
        assert!((value - 1.05).abs() < 0.01, "{key}: {said}");
    }
    let text = waywiser(&folder, &["measure", "drive", "--track", "run.jsonl"]).out;
    assert!(text.contains("the odometer over true, as marked"), "{text}");
}
