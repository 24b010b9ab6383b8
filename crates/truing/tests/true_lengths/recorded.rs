//! Recorded drives: what is in `data/SOURCES.md`.

use super::{Row, length};

/// Rows of numbers under one line of names.
fn numbers(text: &str) -> Vec<Vec<f64>> {
    let row = |line: &str| line.split(',').map(|cell| cell.parse().unwrap()).collect();
    text.lines().skip(1).map(row).collect()
}

/// Drives with positions and speeds.
fn drives() -> Vec<(String, Vec<Row>)> {
    let row = |time_s: f64, lat: f64, lon: f64, speed: f64| Row {
        time_s,
        place: Some((lat, lon)),
        speed_m_per_s: Some(speed),
        height_m: None,
    };
    let mut drives = Vec::new();
    for (drive, text) in [
        ("clocks 1", include_str!("../data/two-clocks-1-track.csv")),
        ("clocks 2", include_str!("../data/two-clocks-2-track.csv")),
    ] {
        let rows = numbers(text).iter().map(|r| row(r[0] / 1e3, r[1], r[2], r[3])).collect();
        drives.push((drive.to_string(), rows));
    }
    let towns = numbers(include_str!("../data/town-drives.csv"));
    for drive in [6.0, 7.0, 17.0, 34.0] {
        let rows = towns.iter().filter(|r| r[0] == drive).map(|r| row(r[1], r[2], r[3], r[4])).collect();
        drives.push((format!("town {drive}"), rows));
    }
    drives
}

/// By both, by positions alone and by speeds alone.
fn ways(rows: &[Row]) -> [Vec<Row>; 3] {
    let by_positions = rows.iter().map(|row| Row { speed_m_per_s: None, ..*row }).collect();
    let by_speeds = rows.iter().map(|row| Row { place: None, ..*row }).collect();
    [rows.to_vec(), by_positions, by_speeds]
}

/// Of all pairs these many in a hundred agree at least, as intervals of 95 % have to.
const AGREE_OF_100: usize = 95;

/// Positions and speeds of one drive, each alone and both together, and each of them thinned out to 2, 5 and 10 s, agree.
#[test]
fn each_way_to_the_same_length() {
    let (mut pairs, mut agree) = (0, 0);
    let mut check = |name: &str, one: &[Row], other: &[Row]| {
        let Some((one, other)) = length(one, false).zip(length(other, false)) else { return };
        pairs += 1;
        agree += usize::from(one.agrees(&other));
        if !one.agrees(&other) {
            println!("{name}: {one:?} {other:?}");
        }
    };
    for (name, rows) in drives() {
        let [both, positions, speeds] = ways(&rows);
        check(&format!("{name}: both, positions"), &both, &positions);
        check(&format!("{name}: both, speeds"), &both, &speeds);
        check(&format!("{name}: positions, speeds"), &positions, &speeds);
        for every in [2, 5, 10] {
            let last = (rows.len() - 1) / every * every;
            for (way, whole) in ["both", "positions", "speeds"].iter().zip(ways(&rows[..=last])) {
                let thin: Vec<Row> = whole.iter().step_by(every).copied().collect();
                check(&format!("{name}: {way} every {every} s"), &thin, &whole);
            }
        }
    }
    println!("{agree} of {pairs} pairs agree");
    assert!(100 * agree >= AGREE_OF_100 * pairs, "{agree} of {pairs}");
}
