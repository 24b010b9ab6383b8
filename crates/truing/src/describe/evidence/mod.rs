//! Measurements as declared: plain typed values. Their equations are made where they are fused.

mod called;
pub(super) mod read;

use crate::describe::adjuster::setting::Setting;
use crate::describe::file::words::words;
use crate::logs::can::CanSignal;
use crate::logs::csv::CsvOptions;
use jiff::civil::Date;
use metrology::quantity::{Duration, Frequency, Length, PerLength, Ratio, Speed};
use metrology::text::Typed;
use rust_decimal::Decimal;

words! {
    /// What made the turns that were counted.
    TurnsOf {
        /// A wheel.
        Wheel = "wheel",
        /// The propeller shaft.
        Shaft = "shaft",
        /// The tone ring itself.
        Ring = "ring",
    }
}

words! {
    /// Which wheels of the driven axle turned.
    WheelsTurned {
        /// One, with the other held: the final drive makes half a turn per turn of it.
        One = "one",
        /// Both together.
        Both = "both",
    }
}

words! {
    /// Where the wire was tapped.
    TappedAt {
        /// At the sensor.
        Sensor = "sensor",
        /// After the conditioner.
        AfterConditioner = "after-conditioner",
        /// At the output of the module.
        ModuleOutput = "module-output",
    }
}

words! {
    /// A shaft whose speed was read.
    Shaft {
        /// Output of the transmission.
        TransmissionOutput = "transmission-output",
        /// Output of the transfer case.
        TransferCaseOutput = "transfer-case-output",
    }
}

words! {
    /// How both readings of an odometer were taken.
    OdometerRead {
        /// The digits as they stood, wherever between two of them the last wheel was.
        Digits = "digits",
        /// Where between two digits the last wheel stood was estimated, and typed as one digit more.
        BetweenDigits = "between-digits",
        /// At the instant when the last digit came up.
        AsItTurned = "as-it-turned",
    }
}

words! {
    /// What a passenger marked while the track was recorded.
    MarkedReading {
        /// Speeds held.
        Holds = "holds",
        /// The odometer as it turned.
        Odometer = "odometer",
    }
}

words! {
    /// Where whoever read the dial sat.
    #[derive(Default)]
    ReadFrom {
        /// Before the dial.
        Driver = "driver",
        /// Beside it, from where a pointer stands before another mark. So it is where nothing is said: a passenger reads, so
        /// that the driver can look at the road.
        #[default]
        Passenger = "passenger",
    }
}

/// One piece of evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// What was measured.
    pub kind: EvidenceKind,
    /// What it is called in answers.
    pub label: Option<String>,
    /// When it was taken.
    pub date: Option<Date>,
    /// What was set then, by the name of the adjuster; no name means the first adjuster.
    pub settings: Vec<(Option<String>, Setting)>,
    /// Which set of tires was on.
    pub tires: Option<String>,
    /// Whether the transfer case was in low.
    pub low_range: bool,
    /// Pressure of the tires, over 1 psi.
    pub tire_pressure: Option<Ratio>,
    /// Load on a tire over its rated load.
    pub tire_load: Option<Ratio>,
    /// Where whoever read the dial sat.
    pub read_from: Option<ReadFrom>,
    /// To the nearest what its length was measured.
    pub measured_to_nearest: Option<Typed<Length>>,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// What was measured.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum EvidenceKind {
    /// Wheel turns along a tape, one length per try.
    Rollout {
        /// Turns of the wheel in each try.
        turns: u32,
        /// Length rolled in each try.
        lengths: Vec<Typed<Length>>,
    },
    /// Height of the wheel's centre above the ground.
    LoadedRadius {
        /// The height.
        radius: Typed<Length>,
    },
    /// A figure from a data sheet.
    Published {
        /// Revolutions per length.
        revs: PerLength,
    },
    /// A stopwatch over a known distance at a steady reading.
    TimedMile {
        /// The speed shown.
        indicated: Typed<Speed>,
        /// Time of each run.
        times: Vec<Duration>,
        /// How far; one mile where not said.
        distance: Option<Typed<Length>>,
    },
    /// The odometer against a known distance.
    OdometerDistance {
        /// Distance shown.
        indicated: Typed<Length>,
        /// Distance travelled.
        true_distance: Typed<Length>,
        /// Least step of the odometer.
        resolution: Option<Typed<Length>>,
        /// How it was read at both ends.
        read: OdometerRead,
    },
    /// A steady reading against a true speed.
    Hold {
        /// The speed shown.
        indicated: Typed<Speed>,
        /// The speed travelled.
        true_speed: Typed<Speed>,
    },
    /// A logged drive.
    Drive {
        /// File of positions, relative to the vehicle file.
        track: String,
        /// What the vehicle itself showed, by up to three means.
        shown: Shown,
        /// How its files are to be read.
        reading: Box<LogReading>,
    },
    /// A recording or a count of pulses.
    Pulses {
        /// How many there were.
        source: PulseSource,
        /// Over what.
        span: PulseSpan,
        /// Where the wire was tapped.
        tapped_at: TappedAt,
    },
    /// Speed of a shaft at a true speed.
    ShaftSpeed {
        /// Turns of the shaft per time.
        speed: Frequency,
        /// The speed travelled.
        true_speed: Typed<Speed>,
        /// Which shaft.
        shaft: Shaft,
    },
    /// Speed of the engine in a locked gear at a true speed.
    EngineSpeed {
        /// Turns of the engine per time.
        speed: Frequency,
        /// The speed travelled.
        true_speed: Typed<Speed>,
        /// Turns of the engine per turn of the output shaft.
        gear_ratio: Decimal,
    },
    /// Turns of the propeller shaft against turns of a wheel, counted by hand.
    ShaftTurns {
        /// Turns of the shaft.
        shaft: Decimal,
        /// Turns of the wheel.
        wheel: Decimal,
        /// Which wheels turned.
        wheels: WheelsTurned,
    },
    /// An earlier calibration.
    Earlier {
        /// Revolutions per length found then.
        revs: PerLength,
        /// One standard deviation of it.
        standard_uncertainty: PerLength,
    },
}

/// What the vehicle showed during a drive.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// File of the vehicle's own speed, relative to the vehicle file.
    pub vehicle_log: Option<String>,
    /// Steady speeds called out, in order.
    pub holds: Vec<Typed<Speed>>,
    /// Odometer at the start and at the end.
    pub odometer: Option<OdometerReadings>,
    /// What of the marks in the track is taken.
    pub marked: Option<MarkedReading>,
}

/// What an odometer showed at the start and at the end of a drive.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct OdometerReadings {
    /// At the start.
    pub start: Typed<Length>,
    /// At the end.
    pub end: Typed<Length>,
    /// How both were taken.
    pub read: OdometerRead,
}

/// How the files of a drive are to be read, as far as they do not say it themselves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LogReading {
    /// Columns of a CSV track.
    pub track_columns: CsvOptions,
    /// Columns of a CSV vehicle log.
    pub vehicle_columns: CsvOptions,
    /// The signal of a CAN log.
    pub signal: Option<Signal>,
    /// The road went through hills.
    pub hilly: bool,
}

impl LogReading {
    /// The DBC file, where there is one.
    pub fn dbc(&self) -> Option<&str> {
        match &self.signal {
            Some(Signal::InDbc { file, .. }) => Some(file),
            _ => None,
        }
    }
}

/// A signal of a CAN log.
#[derive(Clone, Debug, PartialEq)]
pub enum Signal {
    /// Described by the owner.
    Described(CanSignal),
    /// Described in a DBC file, relative to the vehicle file; its only speed where there is no name.
    InDbc {
        /// The file.
        file: String,
        /// `SIGNAL` or `MESSAGE.SIGNAL`.
        name: Option<String>,
    },
}

/// How many pulses there were.
#[derive(Clone, Debug, PartialEq)]
pub enum PulseSource {
    /// As many as in a recording.
    File {
        /// The recording, relative to the vehicle file.
        name: String,
        /// Which channel of it, by name, or by number from 1.
        channel: Option<String>,
    },
    /// As many as were counted.
    Count(u32),
}

/// What a count of pulses belongs to.
#[derive(Clone, Debug, PartialEq)]
pub enum PulseSpan {
    /// A distance travelled.
    Distance(Typed<Length>),
    /// The drive of which this file holds positions, relative to the vehicle file.
    Track(String),
    /// Turns made.
    Turns {
        /// How many.
        turns: Decimal,
        /// Of what.
        of: TurnsOf,
        /// Which wheels turned, where wheels did.
        wheels: Option<WheelsTurned>,
    },
    /// Nothing: only the pattern of the ring is wanted.
    Pattern,
}

impl EvidenceKind {
    /// The lengths that were measured beside what the vehicle shows, each with its key.
    pub fn measured_lengths(&self) -> Vec<(&'static str, &Typed<Length>)> {
        match self {
            Self::Rollout { lengths, .. } => {
                let key = if lengths.len() > 1 { "lengths" } else { "length" };
                lengths.iter().map(|length| (key, length)).collect()
            }
            Self::LoadedRadius { radius } => vec![("radius", radius)],
            Self::TimedMile { distance: Some(distance), .. } => vec![("distance", distance)],
            Self::OdometerDistance { true_distance, .. } => vec![("true", true_distance)],
            Self::Pulses { span: PulseSpan::Distance(distance), .. } => vec![("distance", distance)],
            _ => Vec::new(),
        }
    }

    /// The same lengths as measured to the nearest of this, whatever digits were typed.
    fn take_as_nearest(&mut self, nearest: Length) {
        let all: Vec<&mut Typed<Length>> = match self {
            Self::Rollout { lengths, .. } => lengths.iter_mut().collect(),
            Self::LoadedRadius { radius } => vec![radius],
            Self::TimedMile { distance, .. } => distance.iter_mut().collect(),
            Self::OdometerDistance { true_distance, .. } => vec![true_distance],
            Self::Pulses { span: PulseSpan::Distance(distance), .. } => vec![distance],
            _ => Vec::new(),
        };
        all.into_iter().for_each(|length| length.resolution = nearest);
    }

    /// Whether it shows an indicated value, which means nothing without the setting it was read with.
    pub fn shows_indicated(&self) -> bool {
        matches!(
            self,
            Self::TimedMile { .. } | Self::OdometerDistance { .. } | Self::Hold { .. } | Self::Drive { .. }
        )
    }
}
