//! What a person calls a piece of evidence.

use super::{Evidence, EvidenceKind, MarkedReading, Shown};
use crate::units::Units;
use metrology::quantity::Speed;

impl Evidence {
    /// What a person calls it: the owner's label or what was done, and the day.
    pub fn called(&self) -> String {
        let kind = match &self.kind {
            EvidenceKind::Rollout { turns, lengths } => match lengths.len() {
                1 => format!("rollout, {turns} turns"),
                tries => format!("rollout, {turns} turns, {tries} tries"),
            },
            EvidenceKind::LoadedRadius { .. } => "loaded radius".into(),
            EvidenceKind::Published { .. } => "published revolutions per mile".into(),
            EvidenceKind::TimedMile { times, .. } => match times.len() {
                1 => "timed mile, 1 pass".into(),
                passes => format!("timed mile, {passes} passes"),
            },
            EvidenceKind::OdometerDistance { .. } => "odometer against a distance".into(),
            EvidenceKind::Hold { indicated, .. } => format!("hold at {}", called_out(indicated.value)),
            EvidenceKind::Drive { shown: Shown { marked: Some(MarkedReading::Holds), .. }, .. } => {
                "drive with speeds marked".into()
            }
            EvidenceKind::Drive { shown: Shown { marked: Some(MarkedReading::Odometer), .. }, .. } => {
                "drive with the odometer marked".into()
            }
            EvidenceKind::Drive { shown, .. } => match (&shown.vehicle_log, shown.holds.is_empty()) {
                (Some(_), _) => "drive with the vehicle's log".into(),
                (None, false) => "drive with called-out speeds".into(),
                (None, true) => "drive with odometer readings".into(),
            },
            EvidenceKind::Pulses { .. } => "pulses counted".into(),
            EvidenceKind::ShaftSpeed { .. } => "shaft speed".into(),
            EvidenceKind::EngineSpeed { .. } => "engine speed in a locked gear".into(),
            EvidenceKind::ShaftTurns { .. } => "shaft turns per wheel turn".into(),
            EvidenceKind::Earlier { .. } => "earlier calibration".into(),
        };
        let named = self.label.clone().unwrap_or(kind);
        match self.date {
            Some(date) => format!("{named}, {date}"),
            None => named,
        }
    }
}

/// A speed as a passenger calls it out.
fn called_out(speed: Speed) -> String {
    Units::of_called_out(&[speed]).say_speed(speed, 0)
}
