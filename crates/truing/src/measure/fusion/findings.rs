//! What the evidence shows beside the numbers: contradictions, beliefs that are beaten, and what cannot be known.

use super::id::{PieceId, QuantityId, UnknownId};
use super::slips::Slip;
use crate::describe::chain::Link;
use metrology::quantity::Ratio;

/// Evidence that disagrees by more than its uncertainties allow.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Conflict {
    /// One piece lies off what the rest says.
    OnePiece {
        /// Which.
        piece: PieceId,
        /// How far: what it says over what the rest says.
        off: Ratio,
        /// The same in standard deviations, above 0 where it says more.
        deviations: f64,
        /// The slip that most likely explains it.
        slip: Option<LikelySlip>,
        /// Whether it is one of several drives.
        between_drives: bool,
        /// How much more all scatters than it should.
        scatter: Scatter,
    },
    /// Several pieces lie off one another, and which of them is off cannot be told.
    Among {
        /// Which, in the order of the file.
        pieces: Vec<PieceId>,
        /// How far the first lies off the rest: what it says over what the rest says.
        off: Ratio,
        /// The same in standard deviations.
        deviations: f64,
        /// The slip that most likely explains it, and the piece it is in.
        slip: Option<(PieceId, LikelySlip)>,
        /// Whether several drives are among them.
        between_drives: bool,
        /// How much more all scatters than it should.
        scatter: Scatter,
    },
    /// All of it scatters, and no single piece stands out.
    NoneStandsOut {
        /// How much more all scatters than it should.
        scatter: Scatter,
    },
}

impl Conflict {
    /// How much more all scatters than it should.
    pub fn scatter(&self) -> Scatter {
        match self {
            Conflict::OnePiece { scatter, .. }
            | Conflict::Among { scatter, .. }
            | Conflict::NoneStandsOut { scatter } => *scatter,
        }
    }
}

/// How much more evidence scatters than its uncertainties say.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Scatter {
    /// Scatter beside what the uncertainties say; 1 where all is well.
    pub birge_ratio: f64,
    /// By how much every uncertainty was widened for it.
    pub widening: f64,
}

/// A slip and the odds for it.
#[derive(Clone, Debug, PartialEq)]
pub struct LikelySlip {
    /// What was done.
    pub slip: Slip,
    /// Odds against an entry without a slip.
    pub odds: f64,
}

/// A belief of the owner that the evidence denies.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Alarm {
    /// What was measured agrees only with another part.
    AnotherPart {
        /// The part.
        link: Link,
        /// What it would have to be, as a person writes it.
        instead: String,
        /// What is believed, as a person writes it.
        believed: String,
        /// Odds of all other parts against the believed one.
        odds: f64,
        /// The two pieces that disagree most while the belief is kept; empty where fewer stand out.
        clash: Vec<PieceId>,
    },
}

/// Something that cannot be known from what is given.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Unknowable {
    /// Something it is made of is not known.
    Missing {
        /// What was asked.
        asked: QuantityId,
        /// What is missing.
        missing: Vec<UnknownId>,
        /// What would tell, each by itself.
        remedies: Vec<Remedy>,
    },
}

/// Something a person can add.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Remedy {
    /// A rollout.
    Rollout,
    /// The tire's size, or its published revolutions.
    SizeOrBook,
    /// A drive with the vehicle's log.
    LoggedDrive,
    /// A drive with odometer readings, or an odometer against a known distance.
    OdometerDrive,
    /// A drive with called-out speeds, a hold or a timed mile.
    DialDrive,
    /// Pulses over a known distance.
    PulsesOverDistance,
    /// Pulses over turns of a wheel.
    PulsesOverTurns,
    /// To say what something is.
    Say(UnknownId),
}

/// Something worth knowing beside the answer.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Note {
    /// The axle ratio is stated and nothing that was read moves with it.
    AxleUnseen {
        /// Whether the sensor sits before the axle, so that what it counts shows the axle.
        sensor_sees_it: bool,
        /// Whether the engine speeds hang on it.
        engine_depends: bool,
    },
}
