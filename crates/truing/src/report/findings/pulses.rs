//! What is wrong with a recording.

use crate::measure::pulses::Trouble;
use schemars::JsonSchema;
use serde::Serialize;

/// Something wrong with a recording, with its numbers.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
#[non_exhaustive]
pub enum TroubleDetails {
    /// No pulse stands out of the noise.
    Silent,
    /// The sound was coded with loss.
    Lossy,
    /// Samples stand at the limit of the input.
    AtLimit {
        /// Their share of all samples.
        share_percent: f64,
    },
    /// Hum of the mains beside the signal.
    Hum {
        /// Its share of the signal.
        share_percent: f64,
        /// 50 or 60.
        frequency_hz: f64,
    },
    /// The signal itself stands at the frequency of the mains.
    AtMains {
        /// For how long.
        duration_s: f64,
    },
    /// The signal hardly stands out of the noise.
    Noisy {
        /// Power of the signal over that of the noise.
        signal_to_noise_db: f64,
    },
    /// Holes in the train of pulses that no fault of the ring explains.
    Holes {
        /// How many.
        count: u64,
        /// Pulses that would have fitted into all of them.
        missing: u64,
        /// Since the start: when the first begins.
        first_start_s: f64,
        /// Pulses that would have fitted into the first.
        first_missing: f64,
    },
    /// Edges that came again for a pulse already counted.
    Doubled {
        /// How many.
        edges: u64,
    },
}

impl TroubleDetails {
    /// Of a trouble.
    pub fn new(trouble: &Trouble) -> Self {
        match *trouble {
            Trouble::Silent => Self::Silent,
            Trouble::Lossy => Self::Lossy,
            Trouble::AtLimit { share } => Self::AtLimit { share_percent: share.percent() },
            Trouble::Hum { share, frequency } => {
                Self::Hum { share_percent: share.percent(), frequency_hz: frequency.hz() }
            }
            Trouble::AtMains { duration } => Self::AtMains { duration_s: duration.s() },
            Trouble::Noisy { signal_to_noise_db } => Self::Noisy { signal_to_noise_db },
            Trouble::Holes { count, missing, first_start, first_missing } => {
                Self::Holes { count, missing, first_start_s: first_start.s(), first_missing }
            }
            Trouble::Doubled { edges } => Self::Doubled { edges },
        }
    }
}
