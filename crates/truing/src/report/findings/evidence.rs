//! Beliefs that are beaten, evidence that disagrees, and what cannot be known of a truck.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Alarm, Conflict, LikelySlip, PieceId, QuantityId, Remedy, Slip, Unknowable};
use crate::report::words::{evidence as words, labels};
use schemars::JsonSchema;
use serde::Serialize;

/// A quantity that is asked of a truck, by its key.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Of the mounted tires.
    RevsPerMile,
    /// At the wire.
    CountsPerMile,
    /// Odometer over true.
    DistanceRatio,
    /// Needle over true.
    NeedleRatio,
    /// Of the propeller shaft.
    ShaftTurnsPerMile,
}

impl From<QuantityId> for Quantity {
    fn from(asked: QuantityId) -> Self {
        match asked {
            QuantityId::Revs => Self::RevsPerMile,
            QuantityId::Counts => Self::CountsPerMile,
            QuantityId::DistanceRatio => Self::DistanceRatio,
            QuantityId::NeedleRatio => Self::NeedleRatio,
            QuantityId::ShaftTurns => Self::ShaftTurnsPerMile,
        }
    }
}

/// A piece of evidence, or what was believed before any.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PieceName {
    /// What it is called.
    pub label: String,
    /// Its place among the `[[evidence]]` of the file, from 1; null for what was believed beforehand.
    pub evidence: Option<usize>,
}

impl PieceName {
    /// Of a piece.
    pub fn new(vehicle: &Vehicle, piece: &PieceId) -> Self {
        let evidence = match piece {
            PieceId::Evidence(index) => Some(index + 1),
            _ => None,
        };
        Self { label: labels::piece(vehicle, piece), evidence }
    }
}

/// A slip that would explain what a piece says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum SlipDetails {
    /// Other turns were entered than were made.
    Turns {
        /// As entered.
        entered: u32,
        /// As made, most likely.
        made: u32,
        /// Odds against an entry without a slip.
        odds: f64,
    },
    /// A mile taken for a kilometre, or the other way round.
    MilesAndKilometres {
        /// Odds against an entry without a slip.
        odds: f64,
    },
    /// One wheel turned where both were entered, or the other way round.
    WheelsTurned {
        /// Odds against an entry without a slip.
        odds: f64,
    },
    /// The point stands one place off.
    FactorTen {
        /// Odds against an entry without a slip.
        odds: f64,
    },
    /// One digit is another, or two neighbours are swapped.
    Digit {
        /// The digits as entered, without their point.
        entered: u64,
        /// The digits as they were meant, most likely.
        meant: u64,
        /// Odds against an entry without a slip.
        odds: f64,
    },
}

impl SlipDetails {
    /// Of a slip.
    pub fn new(likely: &LikelySlip) -> Self {
        let odds = likely.odds;
        match likely.slip {
            Slip::Turns { entered, made } => Self::Turns { entered, made, odds },
            Slip::MilesAndKilometres => Self::MilesAndKilometres { odds },
            Slip::WheelsTurned => Self::WheelsTurned { odds },
            Slip::FactorTen => Self::FactorTen { odds },
            Slip::Digit { entered, meant } => Self::Digit { entered, meant, odds },
        }
    }
}

/// Evidence that disagrees by more than its uncertainties allow.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum ConflictDetails {
    /// One piece lies off what the rest says.
    OnePiece {
        /// Which.
        piece: PieceName,
        /// How far, above 0 where it says more.
        off_percent: f64,
        /// The same in standard deviations.
        deviations: f64,
        /// The slip that most likely explains it.
        slip: Option<SlipDetails>,
        /// Whether it is one of several drives.
        between_drives: bool,
    },
    /// Several pieces lie off one another, and which is off cannot be told.
    Among {
        /// Which.
        pieces: Vec<PieceName>,
        /// How far the first lies off what the rest says.
        off_percent: f64,
        /// The same in standard deviations.
        deviations: f64,
        /// The slip that most likely explains it.
        slip: Option<SlipDetails>,
        /// The piece that the slip is in.
        slip_in: Option<PieceName>,
        /// Whether several drives are among them.
        between_drives: bool,
    },
    /// No single piece stands out.
    NoneStandsOut {
        /// How much more all scatters than it should.
        birge_ratio: f64,
    },
}

impl ConflictDetails {
    /// Of a conflict.
    pub fn new(vehicle: &Vehicle, conflict: &Conflict) -> Self {
        let name = |piece: &PieceId| PieceName::new(vehicle, piece);
        let percent = |off: &metrology::quantity::Ratio| 100.0 * (off.plain() - 1.0);
        match conflict {
            Conflict::OnePiece { piece, off, deviations, slip, between_drives, .. } => Self::OnePiece {
                piece: name(piece),
                off_percent: percent(off),
                deviations: *deviations,
                slip: slip.as_ref().map(SlipDetails::new),
                between_drives: *between_drives,
            },
            Conflict::Among { pieces, off, deviations, slip, between_drives, .. } => Self::Among {
                pieces: pieces.iter().map(name).collect(),
                off_percent: percent(off),
                deviations: *deviations,
                slip: slip.as_ref().map(|(_, likely)| SlipDetails::new(likely)),
                slip_in: slip.as_ref().map(|(piece, _)| name(piece)),
                between_drives: *between_drives,
            },
            Conflict::NoneStandsOut { scatter } => Self::NoneStandsOut { birge_ratio: scatter.birge_ratio },
        }
    }
}

/// A belief of the owner that the evidence denies.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum AlarmDetails {
    /// What was measured agrees only with another part.
    AnotherPart {
        /// The part.
        part: String,
        /// What it would have to be.
        instead: String,
        /// What is believed.
        believed: String,
        /// Odds against the belief.
        odds: f64,
        /// The two pieces that disagree most while the belief is kept.
        clash: Vec<PieceName>,
    },
}

impl AlarmDetails {
    /// Of an alarm.
    pub fn new(vehicle: &Vehicle, alarm: &Alarm) -> Self {
        match alarm {
            Alarm::AnotherPart { link, instead, believed, odds, clash } => Self::AnotherPart {
                part: link.name().into(),
                instead: instead.clone(),
                believed: believed.clone(),
                odds: *odds,
                clash: clash.iter().map(|piece| PieceName::new(vehicle, piece)).collect(),
            },
        }
    }
}

/// Something that cannot be known from what is given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum UnknowableDetails {
    /// Something it is made of is not known.
    Missing {
        /// What was asked.
        quantity: Quantity,
        /// What is missing.
        missing: Vec<String>,
        /// What would tell, each by itself.
        remedies: Vec<RemedyDetails>,
    },
}

/// Something a person can add.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RemedyDetails {
    /// `rollout`, `size-or-book`, `logged-drive`, `odometer-drive`, `dial-drive`, `pulses-over-distance`, `pulses-over-turns`
    /// or `say`.
    pub kind: &'static str,
    /// In words.
    pub says: String,
}

impl RemedyDetails {
    fn new(vehicle: &Vehicle, remedy: &Remedy) -> Self {
        let kind = match remedy {
            Remedy::Rollout => "rollout",
            Remedy::SizeOrBook => "size-or-book",
            Remedy::LoggedDrive => "logged-drive",
            Remedy::OdometerDrive => "odometer-drive",
            Remedy::DialDrive => "dial-drive",
            Remedy::PulsesOverDistance => "pulses-over-distance",
            Remedy::PulsesOverTurns => "pulses-over-turns",
            Remedy::Say(_) => "say",
        };
        Self { kind, says: words::remedy(vehicle, remedy) }
    }
}

impl UnknowableDetails {
    /// Of what cannot be known.
    pub fn new(vehicle: &Vehicle, unknowable: &Unknowable) -> Self {
        match unknowable {
            Unknowable::Missing { asked, missing, remedies } => Self::Missing {
                quantity: Quantity::from(*asked),
                missing: missing.iter().map(|id| labels::unknown(vehicle, id)).collect(),
                remedies: remedies.iter().map(|remedy| RemedyDetails::new(vehicle, remedy)).collect(),
            },
        }
    }
}
