//! What a reader assumes a mile to be.
//!
//! Source for a cable head: 1000 turns per mile, SAE J678 (from memory).

use super::Transport;
use crate::describe::adjuster::setting::{DeclaredSetting, Setting};
use crate::describe::adjuster::{Adjuster, AdjusterKind, ConstantUnit};
use crate::describe::chain::reader::Reader;
use crate::describe::file::decimal::to_f64;
use metrology::quantity::PerLength;
use rust_decimal::Decimal;

/// Turns of the cable that a head takes for a mile unless it is said. SAE J678, from memory.
pub const CABLE_TURNS_PER_MILE: f64 = 1000.0;

/// How an assumed number is known.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// It stands in the file.
    Declared,
    /// It is what such heads are commonly built for.
    CommonPractice,
}

/// What a reader or module assumes.
#[derive(Clone, Debug, PartialEq)]
pub enum Assumption {
    /// So many counts or turns per length of road.
    PerLength {
        /// The number.
        per_length: PerLength,
        /// How it is known.
        basis: Basis,
    },
    /// A stored constant of unknown convention: counts per mile are some fixed unknown times this.
    Constant(Decimal),
    /// Counts per mile of a declared tire and axle with the rest of the chain as it is: revolutions of the declared
    /// tire, times the declared axle where the sensor sits before the axle.
    Declared(DeclaredSetting),
    /// Nothing is known of it.
    Unknown,
}

impl Assumption {
    /// The number per length, where there is one.
    pub fn per_length(&self) -> Option<PerLength> {
        match self {
            Self::PerLength { per_length, .. } => Some(*per_length),
            _ => None,
        }
    }
}

impl Adjuster {
    /// What the module assumes when it is set so; `None` for adjusters that assume nothing themselves.
    pub fn assumption_at(&self, setting: &Setting) -> Option<Assumption> {
        let per_length = |per_length| Some(Assumption::PerLength { per_length, basis: Basis::Declared });
        match (&self.kind, setting) {
            (AdjusterKind::SteppedConstant(constant), Setting::Number(value)) => match constant.per_unit {
                Some(per_unit) => {
                    per_length(PerLength::from_per_mi(per_unit.per_length().per_mi() * to_f64(*value)))
                }
                None => Some(Assumption::Constant(*value)),
            },
            (AdjusterKind::FreeConstant(constant), Setting::Number(value)) => {
                per_length(match constant.unit {
                    ConstantUnit::PulsesPerMile => PerLength::from_per_mi(to_f64(*value)),
                    ConstantUnit::PulsesPerKm => PerLength::from_per_km(to_f64(*value)),
                })
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Declared(declared)) => {
                Some(Assumption::Declared(declared.clone()))
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Number(revs_per_mile)) => {
                let declared = DeclaredSetting { revs_per_mile: *revs_per_mile, axle_ratio: None };
                Some(Assumption::Declared(declared))
            }
            _ => None,
        }
    }
}

/// What a reader assumes with everything set as at present: its own figure, or that of the first adjuster that
/// assumes something, or the common one of a cable head.
pub fn assumed_by(reader: Option<&Reader>, adjusters: &[Adjuster], transport: Transport) -> Assumption {
    if let Some(takes) = reader.and_then(|reader| reader.takes) {
        return Assumption::PerLength { per_length: takes.per_length(), basis: Basis::Declared };
    }
    let set = adjusters.iter().find_map(|adjuster| adjuster.assumption_at(&adjuster.present()?));
    match set {
        Some(assumption) => assumption,
        None if transport == Transport::Cable
            && !adjusters.iter().any(|adjuster| adjuster.kind.decides_a_mile()) =>
        {
            Assumption::PerLength {
                per_length: PerLength::from_per_mi(CABLE_TURNS_PER_MILE),
                basis: Basis::CommonPractice,
            }
        }
        None => Assumption::Unknown,
    }
}
