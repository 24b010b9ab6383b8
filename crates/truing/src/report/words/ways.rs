//! The six ways to measure that everybody has: what each needs, how long it takes, what it leaves, and how to do it well.

use crate::choose::{Measurement, MeasurementKind, every_measurement};
use crate::describe::fault::Fault;
use crate::describe::hold_back::held_back;
use crate::describe::usage::MakeTrue;
use metrology::measured::coverage_factor_95;

/// A way to measure.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum MeasureWay {
    /// A track beside the truck's own log.
    Files,
    /// Speeds called out along a track.
    CalledOut,
    /// The odometer at both ends of a known distance.
    Odometer,
    /// A rollout with chalk and tape.
    Tape,
    /// A measured mile by stopwatch.
    Stopwatch,
    /// A recording of the sensor's wire.
    Wire,
}

impl MeasureWay {
    /// All six, in the order in which they are offered.
    pub const ALL: [Self; 6] =
        [Self::Files, Self::CalledOut, Self::Odometer, Self::Tape, Self::Stopwatch, Self::Wire];

    /// The way of a kind of evidence, where it is one of the six.
    pub fn of_kind(kind: &str) -> Option<Self> {
        Self::ALL.into_iter().skip(1).find(|way| way.kind() == kind)
    }

    /// The word of the evidence that it makes.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Files | Self::CalledOut => "drive",
            Self::Odometer => "odometer-distance",
            Self::Tape => "rollout",
            Self::Stopwatch => "timed-mile",
            Self::Wire => "pulses",
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Files => "Files from a drive",
            Self::CalledOut => "Called-out speeds",
            Self::Odometer => "Two odometer readings",
            Self::Tape => "Tape on the ground",
            Self::Stopwatch => "Stopwatch",
            Self::Wire => "Sensor wire",
        }
    }

    /// What it needs.
    pub fn needs(self) -> &'static str {
        match self {
            Self::Files => "A phone's track and the truck's own log",
            Self::CalledOut => "A phone's track and a passenger",
            Self::Odometer => "Ten miles (16 km) of posts or a map",
            Self::Tape => "Chalk, tape, level ground, a helper",
            Self::Stopwatch => "A measured mile and a passenger",
            Self::Wire => "A sound recording of its pulses",
        }
    }

    /// How to do it well, in order.
    pub fn done_well(self) -> &'static [&'static str] {
        match self {
            Self::Files => &[
                "Fix the phone where it sees the sky. Start its track and the truck's log before you move.",
                "Drive 20 minutes on an open, dry road: no tunnels, no streets between high walls.",
                "Hold three steady speeds or more, half a minute each.",
                "Stop both and send the two files together. Their clocks need not agree.",
            ],
            Self::CalledOut => &[
                "Start the track on the phone. The passenger reads the dial, the driver watches the road.",
                "Hold a speed for 20 to 30 seconds. The passenger writes it down, in order.",
                "Six speeds from low to high, all of them legal by true speed.",
                "A pointer is read less closely from the passenger's seat: the form asks who read it.",
            ],
            Self::Odometer => &[
                "Stop beside a marker post, or start a track, and note the odometer with its last digit.",
                "Drive ten miles (16 km) or more along the posts, with no way round.",
                "Stop beside the last post and read it again in the same way.",
                "The farther, the better: a tenth of a mile is 1 % of ten miles and 0.2 % of fifty.",
            ],
            Self::Tape => &[
                "Tires at the pressure they are driven with, cold, and the truck loaded as it is driven.",
                "Chalk a line across the tread and onto the ground, right under the hub.",
                "Roll straight ahead, slowly, five whole turns; chalk the ground where the line comes down again.",
                "Pull the tape tight and flat from mark to mark. Do it twice or more, and type every try.",
            ],
            Self::Stopwatch => &[
                "Find two posts a true mile (or kilometre) apart on a level road with little traffic.",
                "Reach the speed before the first post, and hold the dial steady.",
                "The passenger starts and stops the watch as the same part of the truck passes each post.",
                "Three runs or more, in both directions. Type every time.",
            ],
            Self::Wire => &[
                "Put a resistor in series and an attenuator before a sound input: the sensor can give far more than it takes.",
                "Record over a whole number of wheel turns, or over a known distance.",
                "At least 20 turns without a break; a steady walk or a steady drive.",
                "Say in the form what it was recorded over.",
            ],
        }
    }

    fn measurement(self) -> Option<MeasurementKind> {
        match self {
            Self::Files => Some(MeasurementKind::DriveWithLog),
            Self::CalledOut => Some(MeasurementKind::CalledSpeeds),
            Self::Odometer => Some(MeasurementKind::OdometerByPosts),
            Self::Tape => Some(MeasurementKind::Rollout),
            Self::Stopwatch => Some(MeasurementKind::TimedMile),
            Self::Wire => None,
        }
    }

    /// How long it takes and what it leaves: `30 min, leaves ± 0.4 %`.
    pub fn price(self, make_true: MakeTrue) -> String {
        let all = every_measurement(make_true);
        let found = self.measurement().and_then(|kind| all.into_iter().find(|one| one.kind == kind));
        found.map_or("15 min, as sure as its distance".into(), |one| price(&one))
    }

    /// The open faults that hold it back.
    pub fn held_back_by(self, faults: &[Fault]) -> Vec<String> {
        let all = every_measurement(MakeTrue::Distance);
        let found = self.measurement().and_then(|kind| all.into_iter().find(|one| one.kind == kind));
        let faults = found.map(|one| held_back(faults, one.activity)).unwrap_or_default();
        faults.into_iter().map(super::fault).collect()
    }
}

/// What it leaves is said with 95 %, as everywhere.
fn price(one: &Measurement) -> String {
    format!(
        "{:.0} min, leaves \u{b1} {:.1} %",
        one.takes.min(),
        coverage_factor_95(f64::INFINITY) * one.u_ln_ratio.percent()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::fault::Touches;

    #[test]
    fn minutes_and_what_is_left() {
        let check = |way: MeasureWay, expected: &str| assert_eq!(way.price(MakeTrue::Distance), expected);
        // 1.96 times 0.2 %, and 1.96 times 0.37 %.
        check(MeasureWay::Files, "30 min, leaves \u{b1} 0.4 %");
        check(MeasureWay::Tape, "20 min, leaves \u{b1} 0.7 %");
        check(MeasureWay::Wire, "15 min, as sure as its distance");
    }

    #[test]
    fn faults_hold_back_what_they_touch() {
        let fault = Fault { touches: Touches::Seat, note: String::new(), mended: false, line: 1 };
        let held = |way: MeasureWay| way.held_back_by(std::slice::from_ref(&fault)).len();
        assert_eq!(MeasureWay::ALL.map(held), [1, 1, 1, 0, 1, 0]);
    }

    #[test]
    fn each_is_told_in_a_few_steps() {
        for way in MeasureWay::ALL {
            assert!((3..=5).contains(&way.done_well().len()), "{way:?}");
            assert!(way.needs().len() < 45, "{way:?}");
        }
        assert_eq!(MeasureWay::of_kind("rollout"), Some(MeasureWay::Tape));
        assert_eq!(MeasureWay::of_kind("drive"), Some(MeasureWay::CalledOut));
        assert_eq!(MeasureWay::of_kind("published"), None);
    }
}
