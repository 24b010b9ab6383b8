//! The kind of error that a drive shows.

use crate::measure::drive::{Diagnosis, MostOfIt};
use metrology::quantity::Speed;
use schemars::JsonSchema;
use serde::Serialize;

/// The kind of error with the numbers behind it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum DiagnosisDetails {
    /// The same per cent at every speed: a setting puts it right.
    Proportional {
        /// The offset without any assumption about it.
        offset_m_per_s: f64,
        /// Its standard uncertainty.
        standard_uncertainty_m_per_s: f64,
    },
    /// The same amount at every speed.
    Offset {
        /// How far off it reads.
        offset_m_per_s: f64,
        /// What of it no rounding explains, in standard uncertainties.
        deviations: f64,
    },
    /// Another per cent at another speed.
    Curved {
        /// How far it reads at middle speeds off the line through slow and fast.
        middle_percent: f64,
        /// The same in standard uncertainties.
        deviations: f64,
    },
    /// The signal drops out or jumps.
    Erratic {
        /// Samples at a steady speed that are far from the line.
        far_off_percent: f64,
    },
    /// The driven wheels spun.
    Slipping {
        /// Samples under power that are far above the line.
        spinning_percent: f64,
    },
    /// Two odometer readings tell no kind of error.
    OdometerOnly {
        /// How the odometer was read, in the word of `odometer_read`.
        read: String,
        /// What makes up most of the uncertainty, where one thing does.
        most: Option<MostOfIt>,
    },
    /// Cannot be told from this drive.
    Undetermined,
}

impl DiagnosisDetails {
    /// Of a diagnosis.
    pub fn new(diagnosis: &Diagnosis) -> Self {
        match diagnosis {
            Diagnosis::Proportional { offset, standard_uncertainty } => Self::Proportional {
                offset_m_per_s: offset.m_per_s(),
                standard_uncertainty_m_per_s: Speed::m_per_s(*standard_uncertainty),
            },
            Diagnosis::Offset { offset, deviations } => {
                Self::Offset { offset_m_per_s: offset.m_per_s(), deviations: *deviations }
            }
            Diagnosis::Curved { middle, deviations } => {
                Self::Curved { middle_percent: middle.percent(), deviations: *deviations }
            }
            Diagnosis::Erratic { far_off } => Self::Erratic { far_off_percent: far_off.percent() },
            Diagnosis::Slipping { spinning } => Self::Slipping { spinning_percent: spinning.percent() },
            Diagnosis::OdometerOnly { read, most } => {
                Self::OdometerOnly { read: read.to_string(), most: *most }
            }
            Diagnosis::Undetermined => Self::Undetermined,
        }
    }
}
