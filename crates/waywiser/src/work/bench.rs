//! A signal for the bench as it is asked for.

use super::typed::typed;
use clap::{Args, ValueEnum};
use metrology::quantity::{Duration, Frequency, PerLength, Speed};
use metrology::text;
use schemars::JsonSchema;
use serde::Deserialize;
use truing::measure::pulses::bench::{BenchSignal, Leg, RingFault, Shape};
use truing::problem::{Field, Problem, Problems};

/// How long a speed lasts where nothing is said.
pub const LASTING: &str = "10 s";
/// Share of full scale where nothing is said: it leaves room for the ringing of filters.
pub const LEVEL: f64 = 0.5;
/// Samples per second where nothing is said.
pub const RATE_HZ: u32 = 48_000;

/// Samples per second that sound outputs take.
const RATES_HZ: std::ops::RangeInclusive<u32> = 8_000..=192_000;
/// Most edges in a file: some 60 MB.
const MOST_EDGES: u64 = 4_000_000;

/// Which signal.
#[derive(Args, Clone, Debug, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Wanted {
    /// What the module is to be fed: counts per mile
    #[arg(
        long,
        value_name = "COUNTS",
        required_unless_present = "counts_per_km",
        conflicts_with = "counts_per_km"
    )]
    pub counts_per_mile: Option<f64>,
    /// The same per kilometre
    #[arg(long, value_name = "COUNTS")]
    pub counts_per_km: Option<f64>,
    /// One steady speed
    #[arg(long, value_name = "SPEED", required_unless_present_any = ["speeds", "from"], conflicts_with_all = ["speeds", "from"])]
    pub speed: Option<String>,
    /// Steady speeds one after the other: 20,40,60mph
    #[arg(long, value_name = "SPEEDS", conflicts_with = "from")]
    pub speeds: Option<String>,
    /// A sweep at an even rate: its first speed
    #[arg(long, value_name = "SPEED", requires = "to")]
    pub from: Option<String>,
    /// Its last speed
    #[arg(long, value_name = "SPEED", requires = "from")]
    pub to: Option<String>,
    /// How long each speed, or the sweep, lasts
    #[arg(long, value_name = "TIME", default_value = LASTING)]
    pub lasting: String,
    /// What the signal looks like
    #[arg(long, value_enum, default_value_t)]
    pub shape: ShapeName,
    /// Share of full scale in a sound file, up to 1
    #[arg(long, default_value_t = LEVEL)]
    pub level: f64,
    /// Samples per second in a sound file
    #[arg(long, value_name = "HZ", default_value_t = RATE_HZ)]
    pub rate: u32,
    /// Teeth of the ring that a fault is to be in
    #[arg(long, value_name = "N", requires = "fault")]
    pub ring_teeth: Option<usize>,
    /// This tooth is not there (from 1)
    #[arg(long, value_name = "K", group = "fault", requires = "ring_teeth")]
    pub missing_tooth: Option<usize>,
    /// This tooth stands a tenth of a pitch late (from 1)
    #[arg(long, value_name = "K", group = "fault", requires = "ring_teeth")]
    pub bent_tooth: Option<usize>,
}

impl Default for Wanted {
    fn default() -> Self {
        Self {
            counts_per_mile: None,
            counts_per_km: None,
            speed: None,
            speeds: None,
            from: None,
            to: None,
            lasting: LASTING.into(),
            shape: ShapeName::default(),
            level: LEVEL,
            rate: RATE_HZ,
            ring_teeth: None,
            missing_tooth: None,
            bent_tooth: None,
        }
    }
}

/// What the signal looks like.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, ValueEnum, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ShapeName {
    /// Two levels, half and half
    #[default]
    Square,
    /// A sine of one amplitude
    Sine,
    /// A sine whose amplitude grows with the speed
    Sensor,
}

/// What a signal is written as.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Format {
    /// Sound.
    Wav,
    /// Edges.
    Csv,
}

impl Wanted {
    /// The signal that is asked for.
    pub fn signal(&self) -> Result<BenchSignal, Problems> {
        let one = |problem: Problem| Problems::from(problem);
        if !(0.0..=1.0).contains(&self.level) || self.level == 0.0 {
            let problem = Problem::error(Field::Level, "a share above 0 and up to 1", self.level.to_string());
            return Err(one(problem.hint("0.5 leaves room for the ringing of filters")));
        }
        let shape = match self.shape {
            ShapeName::Square => Shape::Square,
            ShapeName::Sine => Shape::Sine,
            ShapeName::Sensor => Shape::Sensor,
        };
        BenchSignal::new(self.counts()?, self.legs()?, shape, self.fault()?).map_err(one)
    }

    fn counts(&self) -> Result<PerLength, Problems> {
        let wrong = |found: String| {
            let problem = Problem::error(Field::Counts, "counts per mile or per km, above 0", found);
            Err(problem.hint("say what the module is to be fed, such as 9500 per mile").into())
        };
        match (self.counts_per_mile, self.counts_per_km) {
            (Some(counts), None) | (None, Some(counts)) if !(counts.is_finite() && counts > 0.0) => {
                wrong(counts.to_string())
            }
            (Some(counts), None) => Ok(PerLength::from_per_mi(counts)),
            (None, Some(counts)) => Ok(PerLength::from_per_km(counts)),
            (Some(_), Some(_)) => wrong("both".into()),
            (None, None) => wrong("neither".into()),
        }
    }

    /// The signal as it is written.
    pub fn bytes(&self, signal: &BenchSignal, format: Format) -> Result<Vec<u8>, Problems> {
        match format {
            Format::Wav if !RATES_HZ.contains(&self.rate) => {
                let expected = format!("{} to {} samples per second", RATES_HZ.start(), RATES_HZ.end());
                Err(Problem::error(Field::Rate, expected, self.rate.to_string()).into())
            }
            Format::Csv if signal.pulses() > MOST_EDGES / 2 => {
                let expected = format!("at most {} pulses", MOST_EDGES / 2);
                let problem = Problem::error("the signal", expected, signal.pulses().to_string());
                Err(Problems::from(problem.hint("shorten it; generators can repeat a file")))
            }
            Format::Wav => {
                signal.wav(Frequency::from_hz(f64::from(self.rate)), self.level).map_err(Problems::from)
            }
            Format::Csv => Ok(signal.csv().into_bytes()),
        }
    }

    fn fault(&self) -> Result<Option<RingFault>, Problems> {
        let fault = |teeth, tooth, is_missing| Ok(Some(RingFault { teeth, tooth, is_missing }));
        match (self.ring_teeth, self.missing_tooth, self.bent_tooth) {
            (None, None, None) => Ok(None),
            (Some(teeth), Some(tooth), None) => fault(teeth, tooth, true),
            (Some(teeth), None, Some(tooth)) => fault(teeth, tooth, false),
            _ => {
                let problem = Problem::error(
                    Field::RingTeeth,
                    "the teeth of the ring, and one that is missing or bent",
                    "something else",
                );
                Err(Problems::from(
                    problem.hint("such as 96 teeth of which the 12th is missing; or leave out all three"),
                ))
            }
        }
    }

    fn legs(&self) -> Result<Vec<Leg>, Problems> {
        let lasting =
            text::read::<Duration>(&self.lasting).map_err(|error| typed(Field::Lasting, &error))?.value;
        let leg = |from: Speed, to: Speed| Leg { from, to, duration: lasting };
        let one = |field: Field, text: &str| {
            text::read::<Speed>(text).map(|speed| speed.value).map_err(|error| typed(field, &error))
        };
        match (&self.speed, &self.speeds, &self.from, &self.to) {
            (Some(speed), None, None, None) => one(Field::Speed, speed).map(|speed| vec![leg(speed, speed)]),
            (None, Some(speeds), None, None) => text::read_list::<Speed>(speeds)
                .map(|speeds| speeds.iter().map(|speed| leg(speed.value, speed.value)).collect())
                .map_err(|error| typed(Field::Speeds, &error)),
            (None, None, Some(from), Some(to)) => {
                Ok(vec![leg(one(Field::FirstSpeed, from)?, one(Field::LastSpeed, to)?)])
            }
            _ => {
                let problem = Problem::error(
                    Field::Speed,
                    "a speed, or several, or a sweep from one to another",
                    "something else",
                );
                Err(problem.hint("one of the three, such as 60 mph").into())
            }
        }
    }
}
