//! What goes into the estimate of a drive and what comes out: plain data that every part of it shares.

use crate::describe::evidence::OdometerReadings;
use crate::logs::VehicleLog;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};
use serde::Serialize;

/// What indicated.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Reads {
    /// A bus or logger speed.
    Channel,
    /// The dial, as called out.
    Needle,
    /// The odometer.
    Distance,
}

/// What the vehicle indicated during the drive.
#[derive(Clone, Debug, PartialEq)]
pub enum Indicated {
    /// Nothing: the track alone tells the true distance.
    Nothing,
    /// The vehicle's own log.
    Log(VehicleLog),
    /// Steady speeds called out, in order.
    Holds(Vec<Speed>),
    /// Odometer readings, taken where the recording of the track was started and where it was stopped.
    Odometer(OdometerReadings),
}

/// How many points were left out for one reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Rejected {
    /// Why.
    pub reason: &'static str,
    /// How many.
    pub count: usize,
}

/// Points of the drive.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Points {
    /// Points read, track and vehicle log together.
    pub read: usize,
    /// Points the result rests on.
    pub used: usize,
    /// Points left out, by reason.
    pub rejected: Vec<Rejected>,
}

/// Both channels for drawing: time since the start, true speed, indicated speed at the truth's time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// True speed over time since the start of the track.
    pub truth: Vec<(Duration, Speed)>,
    /// Indicated speed over the same time.
    pub indicated: Vec<(Duration, Speed)>,
}

/// What a drive says.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveEstimate {
    /// What indicated.
    pub reads: Reads,
    /// Indicated over true, the offset held by its prior.
    pub reading_ratio: Option<Measured<Ratio>>,
    /// Integral of indicated over integral of true above [`MOVING_M_PER_S`], no offset.
    pub ratio_by_distance: Option<Measured<Ratio>>,
    /// The offset of the indication.
    pub offset: Option<Measured<Speed>>,
    /// Correlation of ratio and offset.
    pub ratio_offset_correlation: f64,
    /// The vehicle log's clock minus the track's.
    pub clock_lag: Option<Measured<Duration>>,
    /// True length of the drive; gaps in the track that the vehicle's log covers are as long as it says.
    pub distance: Measured<Length>,
    /// Length of the drive that the ratio rests on.
    pub compared_distance: Length,
    /// From first to last fix.
    pub duration: Duration,
    /// What was read, used and left out.
    pub points: Points,
    /// Steady stretches, where speeds were called out.
    pub holds: Vec<Hold>,
    /// What kind of error it is.
    pub diagnosis: Diagnosis,
    /// For drawing.
    pub trace: Trace,
}

/// The speed (m/s) above which samples count: below it, rounding and wheel-lock say more than the ratio.
pub const MOVING_M_PER_S: f64 = 5.0;

/// A steady stretch matched to what was called out.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// What the dial showed.
    pub indicated: Speed,
    /// What was true.
    pub truth: Measured<Speed>,
    /// Start, since the start of the track.
    pub start: Duration,
    /// End, since the start of the track.
    pub end: Duration,
}

/// The kind of error.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum DiagnosisKind {
    /// The same per cent everywhere: a setting puts it right.
    Proportional,
    /// The same amount everywhere.
    Offset,
    /// Another per cent at another speed.
    Curved,
    /// Drops out or jumps.
    Erratic,
    /// Cannot be told from this drive.
    Undetermined,
}

/// The kind of error and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The kind.
    pub kind: DiagnosisKind,
    /// What it means, before the offset and after it.
    words: [String; 2],
    /// The offset that stands between them.
    offset: Option<Offset>,
}

/// An offset in a sentence; its standard uncertainty where that is said too.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Offset {
    /// The offset.
    pub value: Speed,
    /// Its standard uncertainty, where that is said too.
    pub standard_uncertainty: Option<Speed>,
}

impl Diagnosis {
    /// Nothing can be said.
    pub fn undetermined() -> Diagnosis {
        let says = "What kind of error it is cannot be told from this drive; a drive with slow and fast stretches would show it.";
        Diagnosis::plain(DiagnosisKind::Undetermined, says)
    }

    /// A kind and what it means, without an offset.
    pub(crate) fn plain(kind: DiagnosisKind, says: impl Into<String>) -> Diagnosis {
        Diagnosis { kind, words: [says.into(), String::new()], offset: None }
    }

    pub(crate) fn with_offset(kind: DiagnosisKind, before: &str, offset: Offset, after: String) -> Diagnosis {
        Diagnosis { kind, words: [before.into(), after], offset: Some(offset) }
    }

    /// What it means, with the statistic.
    pub fn sentence(&self, units: Units) -> String {
        let [before, after] = &self.words;
        let number = |speed: Speed| units.of_speed(speed);
        let offset = self.offset.map_or(String::new(), |offset| match offset.standard_uncertainty {
            // Twice the standard uncertainty: about 95 %.
            Some(u) => {
                format!("{:+.2} \u{b1} {:.2} {}", number(offset.value), 2.0 * number(u), units.speed_word())
            }
            None => format!("{:+.1} {}", number(offset.value), units.speed_word()),
        });
        format!("{before}{offset}{after}")
    }
}
