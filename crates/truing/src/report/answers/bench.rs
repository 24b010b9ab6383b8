//! The answer of `bench-signal`.

use crate::measure::pulses::bench::BenchSignal;
use crate::report::document::Document;
use metrology::quantity::Speed;
use schemars::JsonSchema;
use serde::Serialize;

/// Speeds of the table (mph).
const TABLE_MPH: [f64; 16] =
    [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0];

/// A written signal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BenchReport {
    /// Where it was written.
    pub file: String,
    /// Pulses in it.
    pub pulses: u64,
    /// How long it is.
    pub duration_s: f64,
    /// Speed and frequency at these counts per mile.
    pub table: Vec<BenchRow>,
    /// What to mind.
    pub cautions: Vec<&'static str>,
}

/// A row of the table.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BenchRow {
    /// Speed to be shown, in mph.
    pub speed_mph: f64,
    /// The same in km/h.
    pub speed_km_per_h: f64,
    /// Frequency.
    pub frequency_hz: f64,
}

/// What to mind before a signal is fed to anything.
pub const CAUTIONS: [&str; 4] = [
    "Never feed a signal into a vehicle that can move: a module that believes it is driving may shift, lock or release. Key \
     position as the module's instructions say, transmission in park, wheels chocked, engine off unless they ask for it.",
    "The same wire may feed the anti-lock brakes, the transmission or the transfer case: take off the sensor's plug and feed only \
     what is to be tested.",
    "Level: find out what the input expects before it is connected (a switch to ground, a few volts of logic, or a coil's sine \
     around zero) and start low. A sound output gives about a volt and no level for direct current.",
    "Isolate: an audio transformer or an optocoupler between the computer and the vehicle keeps either from harming the other.",
];

impl BenchReport {
    /// The report of a signal written to `file`.
    pub fn new(signal: &BenchSignal, file: impl Into<String>) -> Self {
        let row = |mph: f64| {
            let speed = Speed::from_mi_per_h(mph);
            BenchRow {
                speed_mph: mph,
                speed_km_per_h: speed.km_per_h(),
                frequency_hz: signal.frequency(speed).hz(),
            }
        };
        Self {
            file: file.into(),
            pulses: signal.pulses(),
            duration_s: signal.duration().s(),
            table: TABLE_MPH.map(row).to_vec(),
            cautions: CAUTIONS.to_vec(),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("A signal for the bench");
        self.cautions.iter().for_each(|caution| {
            document.caution(*caution);
        });
        document.sentence(format!("{}: {} pulses in {:.3} s.", self.file, self.pulses, self.duration_s));
        let row = |row: &BenchRow| {
            vec![
                format!("{:.0}", row.speed_mph),
                format!("{:.1}", row.speed_km_per_h),
                format!("{:.2}", row.frequency_hz),
            ]
        };
        document.table("Speed and frequency", &["mph", "km/h", "Hz"], self.table.iter().map(row).collect());
        document
    }
}
