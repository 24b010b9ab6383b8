//! The chain from the road to the sensor's wire: what is there, and what it multiplies.

mod assumed;
pub mod axle;
mod hypotheses;
mod links;
pub mod reader;

pub use assumed::{Assumption, Basis, CABLE_TURNS_PER_MILE, assumed_by};
pub use hypotheses::{Factor, Hardware, Link, LinkFactor, MOST_HYPOTHESES, Point};
pub use links::{Amount, ChainLink, Effect, LinkId, Standing, links};

use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::candidates::Candidates;
use crate::describe::file::document::Entry;
use crate::describe::file::fraction::Fraction;
use crate::describe::file::keys::chain as keys;
use crate::describe::file::words::words;
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Serialize;

words! {
    /// Where the sensor or cable takes its turns.
    SensorAt {
        /// A ring on the final drive, which sees the mean of both wheels.
        AxleRing = "axle-ring",
        /// A ring on a wheel.
        WheelRing = "wheel-ring",
        /// The output shaft of the transmission.
        TransmissionOutput = "transmission-output",
        /// The output shaft of the transfer case.
        TransferCaseOutput = "transfer-case-output",
    }
}

words! {
    /// How the turns travel on.
    #[derive(Default)]
    Transport {
        /// As counts on a wire.
        #[default]
        Electric = "electric",
        /// As turns of a cable.
        Cable = "cable",
    }
}

words! {
    /// What else lives on the same signal.
    #[derive(Serialize, JsonSchema)]
    #[serde(rename_all = "kebab-case")]
    AlsoFeeds {
        /// The computer that decides when to shift.
        Transmission = "transmission",
        /// The anti-lock brakes.
        AntiLockBrakes = "anti-lock-brakes",
        /// The transfer case.
        TransferCase = "transfer-case",
        /// The cruise control.
        Cruise = "cruise",
    }
}

words! {
    /// Which signal the others read that live on it beside the dial.
    #[derive(Default, Serialize, JsonSchema)]
    #[serde(rename_all = "kebab-case")]
    OthersRead {
        /// The sensor's own wire: what a module stores leaves them alone.
        Sensor = "sensor",
        /// What the module passes on: what it stores changes them too.
        Module = "module",
        /// One or the other.
        #[default]
        NotKnown = "not-known",
    }
}

/// From the road to the sensor's wire. What an adjuster has fitted now stands here already.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chain {
    /// Where the sensor or cable takes its turns; unknown without a `[chain]`.
    pub sensor_at: Option<SensorAt>,
    /// How the turns travel on.
    pub transport: Transport,
    /// Teeth of the tone ring.
    pub ring_teeth: Candidates<u32>,
    /// Counts per turn of the sensor's own shaft.
    pub counts_per_turn: Candidates<u32>,
    /// Teeth of the gear on the output shaft.
    pub drive_gear: Candidates<u32>,
    /// Teeth of the gear on the cable or sensor.
    pub driven_gear: Candidates<u32>,
    /// Low range of the transfer case.
    pub transfer_low_ratio: Candidates<Decimal>,
    /// Turns of the propeller shaft per turn of the wheels.
    pub axle_ratio: Candidates<AxleRatio>,
    /// Turns of the engine per turn of the transmission's output shaft, gear by gear; they change no signal.
    pub gear_ratios: Vec<Decimal>,
    /// Output counts per input count of a signal conditioner.
    pub conditioner: Candidates<Fraction>,
    /// Output turns per input turn of an adapter in the cable.
    pub cable_adapter: Candidates<Fraction>,
    /// What else lives on the same signal.
    pub also_feeds: Vec<AlsoFeeds>,
    /// Which signal these read, where it is said.
    pub others_read: Option<OthersRead>,
    /// Line in the file, counted from 1; 0 without a `[chain]`.
    pub line: usize,
}

/// Reads `[chain]`.
pub(super) fn read(entry: &Entry<'_>) -> Chain {
    let chain = Chain {
        sensor_at: entry.get(&keys::SENSOR_AT),
        transport: entry.get(&keys::TRANSPORT).unwrap_or_default(),
        ring_teeth: entry.get(&keys::RING_TEETH).unwrap_or_default(),
        counts_per_turn: entry.get(&keys::COUNTS_PER_TURN).unwrap_or_default(),
        drive_gear: entry.get(&keys::DRIVE_GEAR).unwrap_or_default(),
        driven_gear: entry.get(&keys::DRIVEN_GEAR).unwrap_or_default(),
        transfer_low_ratio: entry.get(&keys::TRANSFER_LOW_RATIO).unwrap_or_default(),
        axle_ratio: entry.get(&keys::AXLE_RATIO).unwrap_or_default(),
        gear_ratios: entry.get(&keys::GEAR_RATIOS).unwrap_or_default(),
        conditioner: entry.get(&keys::CONDITIONER).unwrap_or_default(),
        cable_adapter: Candidates::absent(),
        also_feeds: entry.get(&keys::ALSO_FEEDS).unwrap_or_default(),
        others_read: entry.get(&keys::OTHERS_READ),
        line: entry.line(),
    };
    if entry.has(&keys::RING_TEETH) && entry.has(&keys::COUNTS_PER_TURN) {
        let both = [(keys::RING_TEETH.name, true), (keys::COUNTS_PER_TURN.name, true)];
        entry.exactly_one(&both);
    }
    chain
}
