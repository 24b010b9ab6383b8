//! Why fixes and samples are left out.

use serde::Serialize;

/// Why a fix or a sample was left out.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum RejectionCause {
    /// Without a time.
    NoTime,
    /// Its time lies before that of an earlier one.
    TimeBackward,
    /// It shares its time with an earlier one.
    TimeStill,
    /// It repeats an earlier row, or nothing of it is left.
    Repeated,
    /// A position at zero north and zero east, and nothing else.
    ZeroPosition,
    /// It lies far from the others in time.
    Alone,
    /// Neither position nor speed.
    Empty,
    /// The satellites stood badly.
    PoorGeometry,
    /// A position rounded to a coarse grid.
    PositionInCoarseGrid,
    /// A position of the coarser of two sources.
    PositionOfCoarserSource,
    /// A position that stands while the vehicle moves.
    PositionStands,
    /// A reported speed that is repeated with its position.
    SpeedRepeated,
    /// A position of an earlier drive.
    PositionOfEarlierDrive,
    /// A reported speed at full scale.
    SpeedAtFullScale,
    /// A reported speed of zero while the vehicle moves.
    SpeedZero,
    /// A reported speed that stands, then leaps.
    SpeedStands,
    /// A reported speed that no vehicle reaches so fast.
    SpeedTooSoon,
    /// Neither a speed nor a credible position.
    NoCrediblePosition,
    /// Neither a position nor a credible speed.
    NoCredibleSpeed,
    /// A position far from the path.
    PositionOffPath,
    /// A reported speed far from the path's.
    SpeedOffPath,
    /// A sample of the vehicle log at full scale.
    LogAtFullScale,
    /// A sample of the vehicle log of zero while the vehicle moves.
    LogZero,
    /// A sample of the vehicle log that stands, then leaps.
    LogStands,
    /// A sample of the vehicle log that no vehicle reaches so soon.
    LogTooSoon,
    /// A sample of the vehicle log that repeats an earlier row.
    LogRepeated,
    /// A sample of the vehicle log whose time lies before that of an earlier one.
    LogTimeBackward,
    /// A sample of the vehicle log far from the others in time.
    LogAlone,
    /// A sample of the vehicle log that shares its time with an earlier one.
    LogTimeStill,
    /// A sample of the vehicle log that is no speed of a road vehicle.
    LogImpossible,
    /// A sample of the vehicle log far from the line.
    LogOffLine,
    /// A sample of the vehicle log that is too slow, or outside the track.
    LogAside,
}

impl RejectionCause {
    /// The cause in a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NoTime => "no time",
            Self::TimeBackward => "time runs backward",
            Self::TimeStill => "time stands still",
            Self::Repeated => "repeats an earlier row, or nothing of it is left",
            Self::ZeroPosition => "position at zero north and zero east",
            Self::Empty => "neither position nor speed",
            Self::Alone => "far from the others in time",
            Self::PoorGeometry => "poor satellite geometry",
            Self::PositionInCoarseGrid => "position in a coarse grid",
            Self::PositionOfCoarserSource => "position of a coarser source",
            Self::PositionStands => "position that stands while the vehicle moves",
            Self::SpeedRepeated => "reported speed repeated with its position",
            Self::PositionOfEarlierDrive => "position of an earlier drive",
            Self::SpeedAtFullScale => "reported speed at full scale",
            Self::SpeedZero => "reported speed of zero under way",
            Self::SpeedStands => "reported speed that stands, then leaps",
            Self::SpeedTooSoon => "reported speed that no vehicle reaches so fast",
            Self::NoCrediblePosition => "neither speed nor credible position",
            Self::NoCredibleSpeed => "neither position nor credible speed",
            Self::PositionOffPath => "position far from the path",
            Self::SpeedOffPath => "reported speed far from the path's",
            Self::LogAtFullScale => "vehicle log: at full scale",
            Self::LogZero => "vehicle log: zero under way",
            Self::LogStands => "vehicle log: stands, then leaps",
            Self::LogTooSoon => "vehicle log: no vehicle is so fast so soon",
            Self::LogRepeated => "vehicle log: repeats an earlier row",
            Self::LogTimeBackward => "vehicle log: time runs backward",
            Self::LogAlone => "vehicle log: far from the others in time",
            Self::LogTimeStill => "vehicle log: time stands still",
            Self::LogImpossible => "vehicle log: no speed of a road vehicle",
            Self::LogOffLine => "vehicle log: far from the line",
            Self::LogAside => "vehicle log: too slow, or outside the track",
        }
    }
}

/// How many points were left out for one cause.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Rejected {
    /// Why.
    pub cause: RejectionCause,
    /// How many.
    pub count: usize,
}
