//! How each measurement is made, as a sheet says it: five lines, what is written down, and what it is drawn as.

use crate::choose::MeasurementKind;
use crate::report::document::Drawing;
use crate::units::Units;

/// What a sheet for one measurement holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Method {
    /// What is measured, in a few words.
    pub title: &'static str,
    /// How, in five lines.
    pub lines: [String; 5],
    /// Heads of the table to fill in.
    pub head: Vec<String>,
    /// What each row is begun with.
    pub rows: Vec<String>,
    /// The drawing.
    pub drawing: Drawing,
    /// The kind of evidence that it makes, by which its cautions are found.
    pub evidence: &'static str,
}

/// The road that is driven, in miles and in km.
const ROAD: (&str, &str) = ("ten miles", "16 km");

/// The words of one measurement, before the units are put in.
struct Words {
    kind: MeasurementKind,
    title: &'static str,
    evidence: &'static str,
    drawing: Drawing,
    head: &'static [&'static str],
    lines: [&'static str; 5],
}

/// Every measurement. ROAD and LONG stand for a length and its word in the owner's units.
static WORDS: [Words; 7] = [
    Words {
        kind: MeasurementKind::DriveWithLog,
        title: "A drive with a track and the truck's own log",
        evidence: "drive",
        drawing: Drawing::Track,
        head: &[
            "try",
            "started, by the clock",
            "ended, by the clock",
            "odometer at the start",
            "odometer at the end",
        ],
        lines: [
            "Set the tires cold to the pressure below. Load the truck as you use it.",
            "Start a GPS track, a place every second, where it sees the sky. Start the log of the truck's own speed.",
            "Drive 20 minutes: several steady speeds, half a minute each, with slow changes between them. Both ways if you can.",
            "Stand still before you stop both logs. Write down the clock and the odometer.",
            "Give both files to the program. Nothing else has to be typed.",
        ],
    },
    Words {
        kind: MeasurementKind::OdometerByTrack,
        title: "The odometer over a GPS track",
        evidence: "odometer-distance",
        drawing: Drawing::Track,
        head: &["try", "odometer at the start", "odometer at the end", "LONG by the track"],
        lines: [
            "Set the tires cold to the pressure below. Load the truck as you use it.",
            "Start a GPS track, a place every second, where it sees the sky.",
            "Set off just when the last digit of the odometer comes up. Write it down.",
            "Drive ROAD on open road with few stops. Stop just when the last digit comes up again, and write it down.",
            "End the track, and write down its length. Do it three times, both ways.",
        ],
    },
    Words {
        kind: MeasurementKind::OdometerByPosts,
        title: "The odometer over marker posts",
        evidence: "odometer-distance",
        drawing: Drawing::Posts,
        head: &["try", "first post", "odometer there", "last post", "odometer there"],
        lines: [
            "Choose ROAD of road with marker posts and without road works. Numbers of exits are no posts.",
            "Set the tires cold to the pressure below. Load the truck as you use it.",
            "At the first post a second person reads the odometer, the last digit in tenths if it turns.",
            "Keep your lane and one steady legal speed. At the last post it is read again.",
            "Do it three times, both ways.",
        ],
    },
    Words {
        kind: MeasurementKind::CalledSpeeds,
        title: "Speeds called out beside a GPS track",
        evidence: "hold",
        drawing: Drawing::Needle,
        head: &["needle held at", "true by GPS, there", "true by GPS, back", "by the clock"],
        lines: [
            "Set the tires cold to the pressure below. Load the truck as you use it.",
            "Start a GPS track, a place every second. Choose a level, straight, empty road.",
            "The driver holds the needle on a mark for 20 seconds and says so. The second person writes.",
            "Six marks over all the speeds you drive, each both ways. Stay legal even if the dial reads slow.",
            "Write down from which seat the dial was read: from the passenger's it looks otherwise.",
        ],
    },
    Words {
        kind: MeasurementKind::TimedMile,
        title: "A measured mile by stopwatch",
        evidence: "timed-mile",
        drawing: Drawing::Posts,
        head: &["run", "needle held at", "seconds", "which way", "posts"],
        lines: [
            "Choose a mile (or a kilometre) between two marker posts, level and straight.",
            "Set the tires cold to the pressure below. Load the truck as you use it.",
            "Be at a steady legal speed before the first post. The driver holds the needle on a mark.",
            "The second person starts and stops the watch when the posts pass the same place of the window.",
            "Three runs, both ways. Write down tenths of a second.",
        ],
    },
    Words {
        kind: MeasurementKind::Rollout,
        title: "A rollout with chalk and tape",
        evidence: "rollout",
        drawing: Drawing::Rollout,
        head: &["try", "turns", "length along the tape", "which wheel"],
        lines: [
            "Level, hard, straight ground. Tires cold at the pressure below, load as you use it, somebody at the brake.",
            "Chalk the tire at its lowest point, and the ground beside it.",
            "Roll slowly straight ahead, five whole turns, until the mark is lowest again. Chalk the ground.",
            "Measure between both marks with one tape, pulled tight, to the nearest 1/8 in (3 mm).",
            "Do it three times from the start. If the tires of the axle differ, do both.",
        ],
    },
    Words {
        kind: MeasurementKind::LoadedRadius,
        title: "The height of the wheel's middle",
        evidence: "loaded-radius",
        drawing: Drawing::Radius,
        head: &["try", "left wheel", "right wheel"],
        lines: [
            "Level, hard ground. Tires cold at the pressure below, load as you use it, wheels chocked.",
            "Find the middle of the hub: the centre of the axle or of the cap.",
            "Measure straight up from the ground to it, to the nearest 1/16 in (1 mm).",
            "Roll the truck half a turn on, and measure again. Three times.",
            "This is quick and rough, about 2 %. A rollout is five times as good.",
        ],
    },
];

/// Tries that have their row, and speeds where they are called out.
const TRIES: usize = 3;
const SPEEDS: usize = 6;

/// The method of a measurement.
pub fn method(kind: MeasurementKind, units: Units) -> Method {
    let found = WORDS.iter().find(|words| words.kind == kind);
    let Words { title, evidence, drawing, head, lines, .. } = found.unwrap_or(&WORDS[0]);
    let rows = match kind {
        MeasurementKind::CalledSpeeds => vec![String::new(); SPEEDS],
        _ => (1..=TRIES).map(|number| number.to_string()).collect(),
    };
    Method {
        title,
        lines: lines.map(|line| line.replace("ROAD", units.by_road(ROAD.0, ROAD.1))),
        head: head.iter().map(|word| word.replace("LONG", units.by_road("miles", "km"))).collect(),
        rows,
        drawing: *drawing,
        evidence,
    }
}

/// What is written down with every measurement.
pub const WITH_IT: [&str; 8] = [
    "Date",
    "Tires",
    "Pressure, front and rear",
    "Load: people, fuel, cargo",
    "Shown or set now",
    "Odometer",
    "Who measured",
    "Remarks",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_measurement_has_its_own_words() {
        let kinds: Vec<MeasurementKind> = WORDS.iter().map(|words| words.kind).collect();
        assert_eq!(kinds, MeasurementKind::ALL);
        for kind in MeasurementKind::ALL {
            for units in [Units::Us, Units::Metric] {
                let method = method(kind, units);
                let all = [method.lines.to_vec(), method.head].concat().join(" ");
                assert!(!all.contains("ROAD") && !all.contains("LONG"), "{kind:?}: {all}");
                assert!(method.rows.len() >= TRIES);
            }
        }
    }
}
