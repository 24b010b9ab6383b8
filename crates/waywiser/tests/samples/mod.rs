//! Documents to lay out: a usual one, and one with everything that strains a layout. Every number is invented.

use truing::report::document::{Block, Chart, Document, Series, SeriesKind, Step, Tick};
use waywiser::paper::SheetInfo;

pub fn info() -> SheetInfo {
    SheetInfo { as_of: Some("9 May 2026".into()), software: "waywiser 0.1.0".into(), record: None }
}

fn series(label: &str, kind: SeriesKind, points: &[(f64, f64)]) -> Series {
    Series::new(label, points.to_vec(), kind)
}

pub fn evidence(pieces: &[(&str, f64, f64)]) -> Chart {
    let mut all: Vec<Series> = pieces
        .iter()
        .map(|(label, value, half)| {
            series(label, SeriesKind::Interval, &[(value - half, 0.0), (*value, 0.0), (value + half, 0.0)])
        })
        .collect();
    all.push(series("all of it, weighed together", SeriesKind::Upright, &[(655.4, 0.0)]));
    Chart {
        title: "What each piece of evidence says".into(),
        description:
            "The tape, the drive and the size printed on the tire agree; the drive is the sharpest. \
                      Weighed together they say 655.4 turns per mile, between 654.2 and 656.6."
                .into(),
        x_label: "revs per mile".into(),
        y_label: String::new(),
        series: all,
    }
}

pub fn errors() -> Chart {
    let permitted = [(25.0, 0.0), (70.0, 0.0), (70.0, 6.9), (25.0, 4.0)];
    Chart {
        title: "Error of the dial before and after".into(),
        description: "At every speed from 25 to 70 mph the dial shows too little now, 2.5 mph at 60 mph. \
                      With 7.86 stored it is true within 0.3 mph."
            .into(),
        x_label: "true speed (mph)".into(),
        y_label: "indicated minus true (mph)".into(),
        series: vec![
            series("permitted", SeriesKind::Band, &permitted),
            series("with 8.20, now", SeriesKind::Line, &[(25.0, -1.0), (45.0, -1.8), (70.0, -2.9)]),
            series("with 7.86", SeriesKind::Line, &[(25.0, 0.1), (45.0, 0.1), (70.0, 0.2)]),
            series("holds", SeriesKind::Points, &[(30.2, -1.2), (45.1, -1.9), (60.3, -2.4)]),
            series("true", SeriesKind::Level, &[(0.0, 0.0)]),
        ],
    }
}

fn chain() -> Vec<Vec<String>> {
    [
        ("Tire", "LT265/75R16, 655.4 revs per mile", "measured"),
        ("Axle ratio", "41/11 = 3.727", "counted"),
        ("Tone ring", "96 teeth, in the axle", "counted"),
        ("Constant", "8.20 stored, 4 writes left", "read off the module"),
    ]
    .iter()
    .map(|(link, what, how)| vec![link.to_string(), what.to_string(), how.to_string()])
    .collect()
}

fn ticks(upto: usize) -> Vec<Tick> {
    // A display of 400 to 1200 in steps of 2 that shows 820 at first.
    let shows = |presses: usize| (400 + (820 - 400 + 2 * presses) % (1200 - 400 + 2)).to_string();
    (1..=upto / 50).map(|n| Tick { presses: 50 * n, shows: shows(50 * n) }).collect()
}

pub fn usual() -> Document {
    let mut sheet = Document::new("The grey half-ton: store 7.86");
    sheet.sentence("The dial reads 4.1 % slow, give or take 0.2 %. Storing 7.86 makes it true within 0.4 %. It is worth a write.");
    sheet.heading("The truck");
    sheet.table("From the road to the dial", &["Link", "What it is", "How it is known"], chain());
    sheet.heading("How this is known");
    sheet.push(Block::Chart(evidence(&[
        ("rollout, 5 turns, chalk and tape", 655.1, 2.4),
        ("drive of 2 May 2026, 20 min", 655.5, 1.3),
        ("size printed on the tire", 661.0, 13.0),
    ])));
    sheet.heading("What changes");
    sheet.push(Block::Chart(errors()));
    sheet.table(
        "Error of the dial by speed",
        &["True speed", "Shows now", "Will show", "Permitted from", "to"],
        [("30 mph", "28.8", "30.1"), ("45 mph", "43.2", "45.1"), ("60 mph", "57.5", "60.2")]
            .iter()
            .map(|(at, now, then)| {
                vec![at.to_string(), now.to_string(), then.to_string(), "0".into(), "+4.1 mph".into()]
            })
            .collect(),
    );
    sheet.heading("Set it");
    sheet.caution("Park the truck, wheels chocked. Keep a steady supply on the battery: a write that is cut off may still count.");
    sheet.push(Block::Steps(vec![
        Step::new("Note what the display shows now. It must be 820."),
        Step {
            ticks: ticks(384),
            ..Step::new(
                "Press the up button 384 times. The display passes from 1200 to 400 once, at press 191.",
            )
        },
        Step::new("Check that the display shows 786. If it does not, press on; nothing is stored yet."),
    ]));
    sheet
        .caution("From here there is no way back. To leave things as they are, switch the ignition off now.");
    sheet.push(Block::Steps(vec![
        Step::irreversible("Hold the button for 5 seconds until the display goes dark. This spends one of the 4 writes left."),
        Step::new("Switch off, wait, switch on. The display must show 786."),
    ]));
    sheet.heading("Prove it");
    sheet.caution("A second person reads the dial; the driver watches the road. Obey the limit.");
    sheet.sentence(
        "Drive 9.7 miles at a steady 57 mph by the dial with the track running, then read both files in.",
    );
    sheet
}

pub fn hard() -> Document {
    let long = "The extraordinarily long-winded flat-bed that came with two axles in the bed and Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichen <b>\"&\"</b>";
    let mut sheet = Document::new(long);
    let names: Vec<String> =
        (1..=10).map(|n| format!("evidence number {n}, {}", long.split_at(10 * n).0)).collect();
    let pieces: Vec<(&str, f64, f64)> =
        names.iter().enumerate().map(|(n, name)| (name.as_str(), 650.0 + n as f64, 1.0 + n as f64)).collect();
    sheet.heading(long).push(Block::Chart(evidence(&pieces))).push(Block::Chart(evidence(&[])));
    let crowd = (0..9).map(|n| {
        series(&format!("setting {n} of nine"), SeriesKind::Line, &[(0.0, 0.1 * f64::from(n)), (80.0, 0.2)])
    });
    let crowded = Chart { series: crowd.collect(), y_label: long.into(), ..errors() };
    sheet.push(Block::Chart(crowded));
    let broken = [(f64::NAN, 1.0), (1.0, f64::INFINITY), (1e300, 0.0), (3.0, 4.0)];
    let nothing = Chart {
        series: vec![series("", SeriesKind::Line, &[]), series("broken", SeriesKind::Band, &broken)],
        ..errors()
    };
    sheet.push(Block::Chart(nothing));
    sheet.push(Block::Steps(vec![Step { ticks: ticks(600), ..Step::new(long) }, Step::irreversible(long)]));
    sheet.table(
        long,
        &["one", "two", "three", "four", "five"],
        vec![vec![long.into(); 5], vec!["short row".into()]],
    );
    sheet.table("Nothing in it", &["one", "two"], Vec::new()).table(
        "No head",
        &[],
        vec![vec!["a".into(), "b".into()]],
    );
    sheet
}
