//! What goes into the estimate of a drive and what comes out: plain data that every part of it shares.

use super::rejection::Rejected;
use crate::describe::evidence::{MarkedReading, OdometerRead, OdometerReadings, ReadFrom};
use crate::describe::tire::size::Construction;
use crate::logs::VehicleLog;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};
use schemars::JsonSchema;
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
    /// What was marked while the track was recorded, and stands in it.
    Marks(Marked),
}

/// Which marks of a track are taken.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Marked {
    /// Speeds held and the odometer, as far as they are there.
    #[default]
    All,
    /// Speeds held.
    Holds,
    /// The odometer as it turned.
    Odometer,
}

impl From<MarkedReading> for Marked {
    fn from(marked: MarkedReading) -> Self {
        match marked {
            MarkedReading::Holds => Self::Holds,
            MarkedReading::Odometer => Self::Odometer,
        }
    }
}

/// What is known of a drive beside its logs.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct DriveConditions {
    /// The speed at which the ratio is wanted: the owner's usual one. The drive's own where it is not said.
    pub usual_speed: Option<Speed>,
    /// How the tires are built, which decides how they grow with speed.
    pub construction: Option<Construction>,
    /// The road went through hills: without good heights its length is less sure.
    pub hilly: bool,
    /// Where whoever called out the speeds sat.
    pub read_from: ReadFrom,
}

/// How the offset of a channel comes about.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum OffsetKind {
    /// No step, or rounded to the nearest one.
    Rounded,
    /// Truncated to whole steps.
    Truncated,
    /// The channel has an offset of its own.
    Own,
}

/// The ratio under one component: how likely the component is after the drive, the ratio and its standard uncertainty.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct ComponentFit {
    /// How the offset comes about.
    pub kind: OffsetKind,
    /// How well the component predicted what the drive shows (density, s/m), times how likely it was before.
    pub evidence: f64,
    /// How likely it was before.
    pub prior_weight: f64,
    /// Share of this component; the shares of all add up to 1.
    pub weight: f64,
    /// The ratio.
    pub ratio: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Its degrees of freedom.
    pub dof: f64,
    /// Standard uncertainty of the offset before the drive (m/s).
    pub offset_u: f64,
}

/// Why the ratio of a drive cannot be told, or not closely.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum Doubt {
    /// Track and log show no common motion at any clock lag, though the speed changes.
    NoLag,
    /// The log moves otherwise than the track: by so much of the speed (median), at the best of all clock lags.
    OtherDrive {
        /// Median difference over the true speed.
        median_difference: f64,
    },
    /// The vehicle's channel shows one value while the truck's speed changes.
    ChannelStands,
    /// Both sides are one measurement.
    SameSource,
    /// Latitude and longitude are most likely swapped.
    SwappedCoordinates,
    /// The ratio is that of one unit taken for another, or of no truck at all.
    Unit {
        /// Indicated over true.
        ratio: f64,
    },
    /// The interval is so wide on either side (share of the ratio).
    Wide {
        /// Half the width of the 95 % interval over the ratio.
        half_width: f64,
    },
}

impl Doubt {
    /// What the drive is then, without its numbers: for problems of what rests on it.
    pub fn found(&self) -> &'static str {
        match self {
            Doubt::NoLag => "one whose track and vehicle log show no common changes of speed",
            Doubt::OtherDrive { .. } => "one whose vehicle log moves otherwise than its track",
            Doubt::ChannelStands => "one whose vehicle log stands while the truck's speed changes",
            Doubt::SameSource => "one whose track and vehicle log are the same measurement",
            Doubt::SwappedCoordinates => "one whose latitude and longitude are most likely swapped",
            Doubt::Unit { .. } => {
                "one whose ratio is that of a wrong unit, or of files that do not belong together"
            }
            Doubt::Wide { .. } => "one whose interval is wide",
        }
    }

    /// Whether the number itself means nothing; else it stands, as uncertain as it is.
    pub fn voids(&self) -> bool {
        !matches!(self, Doubt::Wide { .. } | Doubt::Unit { .. })
    }
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
    /// Indicated over true at the usual speed, offset and growth held by their priors.
    pub reading_ratio: Option<Measured<Ratio>>,
    /// The speed at which that ratio holds.
    pub usual_speed: Speed,
    /// Why the ratio cannot be told, or not closely; empty where it can.
    pub doubts: Vec<Doubt>,
    /// The ratio under each way the channel's offset may come about.
    pub by_offset_kind: Vec<ComponentFit>,
    /// Integral of indicated over integral of true above [`MOVING_M_PER_S`], no offset.
    pub ratio_by_distance: Option<Measured<Ratio>>,
    /// The same by marks of the odometer, where dial and odometer were marked.
    pub by_odometer: Option<Measured<Ratio>>,
    /// The offset of the indication.
    pub offset: Option<Measured<Speed>>,
    /// Correlation of ratio and offset.
    pub ratio_offset_correlation: f64,
    /// The vehicle log's clock minus the track's.
    pub clock_lag: Option<Measured<Duration>>,
    /// True length of the drive; gaps in the track that the vehicle's log covers are as long as it says. Nothing where a gap leaves
    /// it unknown.
    pub distance: Option<Measured<Length>>,
    /// The first gap that leaves the length unknown: start and end since the start of the track.
    pub missing: Option<(Duration, Duration)>,
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

/// A ratio less sure than this (half the width of its 95 % interval over the ratio) is no answer: it says neither slow nor fast of a
/// truck that is off as most are.
const WIDEST: f64 = 0.05;

impl DriveEstimate {
    /// Whether the ratio can be told.
    pub fn can_be_told(&self) -> bool {
        self.doubts.is_empty()
    }

    /// Takes the doubts into account: what is void is taken out, and nothing is diagnosed from what cannot be told.
    pub(super) fn doubted(mut self) -> DriveEstimate {
        if let Some(ratio) = &self.reading_ratio {
            let half_width = 0.5 * (ratio.high_95.plain() - ratio.low_95.plain()) / ratio.value.plain();
            if half_width.is_nan() || half_width.abs() > WIDEST {
                self.doubts.push(Doubt::Wide { half_width });
            }
        }
        if self.doubts.iter().any(Doubt::voids) {
            self.reading_ratio = None;
            self.ratio_by_distance = None;
            self.offset = None;
            self.clock_lag = None;
            self.by_offset_kind.clear();
        }
        // A fault that is seen stays seen where the ratio is wide, and often is what makes it so.
        let only_wide = self.doubts.iter().all(|doubt| matches!(doubt, Doubt::Wide { .. }));
        if !only_wide || (!self.can_be_told() && self.diagnosis.kind() == DiagnosisKind::Proportional) {
            self.diagnosis = Diagnosis::Undetermined;
        }
        self
    }
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
#[non_exhaustive]
pub enum DiagnosisKind {
    /// The same per cent everywhere: a setting puts it right.
    Proportional,
    /// The same amount everywhere.
    Offset,
    /// Another per cent at another speed.
    Curved,
    /// Drops out or jumps.
    Erratic,
    /// The driven wheels spun.
    Slipping,
    /// Cannot be told from this drive.
    Undetermined,
}

/// What kind of error a drive shows, with the numbers behind it.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Diagnosis {
    /// The same per cent at every speed.
    Proportional {
        /// The offset without any assumption about it.
        offset: Speed,
        /// Its standard uncertainty.
        standard_uncertainty: Speed,
    },
    /// The same amount at every speed.
    Offset {
        /// How far off it reads.
        offset: Speed,
        /// What of it no rounding explains, in standard uncertainties.
        deviations: f64,
    },
    /// Another per cent at another speed.
    Curved {
        /// How far it reads at middle speeds off the line through slow and fast, as a share of the reading.
        middle: Ratio,
        /// The same in standard uncertainties.
        deviations: f64,
    },
    /// The signal drops out or jumps.
    Erratic {
        /// The share of the samples at a steady speed that are far from the line.
        far_off: Ratio,
    },
    /// The driven wheels spun: under power it reads far too much, and never far too little.
    Slipping {
        /// The share of the samples under power that are far above the line.
        spinning: Ratio,
    },
    /// Two odometer readings tell no kind of error.
    OdometerOnly {
        /// How they were read.
        read: OdometerRead,
        /// What makes up most of the uncertainty, where one thing does.
        most: Option<MostOfIt>,
    },
    /// Cannot be told from this drive.
    Undetermined,
}

/// What makes up most of the uncertainty of a distance between two odometer readings.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum MostOfIt {
    /// Reading the odometer.
    Readings,
    /// Starting and stopping the recording under way.
    Ends,
}

impl Diagnosis {
    /// The kind of error.
    pub fn kind(&self) -> DiagnosisKind {
        match self {
            Diagnosis::Proportional { .. } => DiagnosisKind::Proportional,
            Diagnosis::Offset { .. } => DiagnosisKind::Offset,
            Diagnosis::Curved { .. } => DiagnosisKind::Curved,
            Diagnosis::Erratic { .. } => DiagnosisKind::Erratic,
            Diagnosis::Slipping { .. } => DiagnosisKind::Slipping,
            Diagnosis::OdometerOnly { .. } | Diagnosis::Undetermined => DiagnosisKind::Undetermined,
        }
    }
}
