//! What a vehicle file says about a drive beside its logs.

use super::types::DriveConditions;
use crate::describe::chain::reader::{Needle, Role};
use crate::describe::evidence::{Evidence, EvidenceKind, ReadFrom};
use crate::describe::tire::size::{Construction, TireSize};
use crate::describe::vehicle::Vehicle;
use metrology::quantity::Speed;

impl DriveConditions {
    /// Those of a drive among the evidence of a vehicle.
    pub fn new(vehicle: &Vehicle, evidence: &Evidence) -> DriveConditions {
        DriveConditions {
            hilly: matches!(&evidence.kind, EvidenceKind::Drive { reading, .. } if reading.hilly),
            ..Self::of(vehicle, evidence.tires.as_deref(), evidence.read_from)
        }
    }

    /// Those of a drive that is still to come, with what is mounted and a passenger who reads the dial.
    pub fn to_come(vehicle: &Vehicle) -> DriveConditions {
        Self::of(vehicle, None, None)
    }

    fn of(vehicle: &Vehicle, tires: Option<&str>, read_from: Option<ReadFrom>) -> DriveConditions {
        DriveConditions {
            usual_speed: vehicle.usage.speeds.map(|(least, greatest)| middle(least, greatest)),
            construction: construction(vehicle, tires),
            read_from: match dial_is_digital(vehicle) {
                true => ReadFrom::Driver,
                false => read_from.unwrap_or_default(),
            },
            hilly: false,
        }
    }
}

/// As many miles are driven at each speed between both.
fn middle(least: Speed, greatest: Speed) -> Speed {
    Speed::from_m_per_s(0.5 * (least.m_per_s() + greatest.m_per_s()))
}

/// Digits read alike from every seat.
fn dial_is_digital(vehicle: &Vehicle) -> bool {
    let dial = vehicle.readers.iter().find(|reader| reader.roles.contains(&Role::Dial));
    dial.and_then(|reader| reader.needle) == Some(Needle::Digital)
}

/// How the tires that were on are built, where their size says it.
pub(in crate::measure) fn construction(vehicle: &Vehicle, tires: Option<&str>) -> Option<Construction> {
    let named = |name: &str| vehicle.tires.iter().find(|set| set.name.as_deref() == Some(name));
    let set = match tires {
        Some(name) => named(name),
        None => vehicle.tires.iter().find(|set| set.mounted).or(vehicle.tires.first()),
    };
    let size = TireSize::parse(set?.size.as_deref()?).ok()?;
    size.construction_is_known.then_some(size.construction)
}
