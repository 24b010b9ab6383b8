//! `waywiser bench-signal`.

use super::drive_inputs::typed;
use super::{Answer, Outcome};
use crate::world;
use clap::{Args, ValueEnum};
use metrology::quantity::{Duration, Frequency, PerLength, Speed};
use metrology::text;
use std::path::PathBuf;
use truing::measure::pulses::bench::{BenchSignal, Leg, RingFault, Shape};
use truing::problem::Problem;
use truing::report::bench::BenchReport;

/// A signal that makes a module read given speeds.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser bench-signal --counts-per-mile 8000 --speed \"60 mph\" --out 60mph.wav\n  waywiser bench-signal --counts-per-mile 4000 --speeds 20,40,60mph --shape sensor --out steps.wav\n  waywiser bench-signal --counts-per-mile 128000 --from \"5 mph\" --to \"70 mph\" --ring-teeth 96 --missing-tooth 12 --out sweep.csv"
)]
pub struct Bench {
    /// What the module is to be fed: counts per mile
    #[arg(
        long,
        value_name = "COUNTS",
        required_unless_present = "counts_per_km",
        conflicts_with = "counts_per_km"
    )]
    counts_per_mile: Option<f64>,
    /// The same per kilometre
    #[arg(long, value_name = "COUNTS")]
    counts_per_km: Option<f64>,
    /// One steady speed
    #[arg(long, value_name = "SPEED", required_unless_present_any = ["speeds", "from"], conflicts_with_all = ["speeds", "from"])]
    speed: Option<String>,
    /// Steady speeds one after the other: 20,40,60mph
    #[arg(long, value_name = "SPEEDS", conflicts_with = "from")]
    speeds: Option<String>,
    /// A sweep at an even rate: its first speed
    #[arg(long, value_name = "SPEED", requires = "to")]
    from: Option<String>,
    /// Its last speed
    #[arg(long, value_name = "SPEED", requires = "from")]
    to: Option<String>,
    /// How long each speed, or the sweep, lasts
    #[arg(long, value_name = "TIME", default_value = "10 s")]
    lasting: String,
    /// What the signal looks like
    #[arg(long, value_enum, default_value_t = ShapeName::Square)]
    shape: ShapeName,
    /// Share of full scale in a sound file, up to 1
    #[arg(long, default_value_t = 0.5)]
    level: f64,
    /// Samples per second in a sound file
    #[arg(long, value_name = "HZ", default_value_t = 48_000)]
    rate: u32,
    /// Teeth of the ring that a fault is to be in
    #[arg(long, value_name = "N", requires = "fault")]
    ring_teeth: Option<usize>,
    /// This tooth is not there (from 1)
    #[arg(long, value_name = "K", group = "fault", requires = "ring_teeth")]
    missing_tooth: Option<usize>,
    /// This tooth stands a tenth of a pitch late (from 1)
    #[arg(long, value_name = "K", group = "fault", requires = "ring_teeth")]
    bent_tooth: Option<usize>,
    /// Where to write it: .wav for sound, .csv for edges
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

/// What the signal looks like.
#[derive(Copy, Clone, ValueEnum)]
enum ShapeName {
    /// Two levels, half and half
    Square,
    /// A sine of one amplitude
    Sine,
    /// A sine whose amplitude grows with the speed
    Sensor,
}

impl Bench {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let one = |problem: Problem| vec![problem];
        if !(0.0..=1.0).contains(&self.level) || self.level == 0.0 {
            let problem = Problem::error("--level", "a share above 0 and up to 1", self.level.to_string());
            return Err(one(problem.hint("0.5 leaves room for the ringing of filters")));
        }
        let counts = match (self.counts_per_mile, self.counts_per_km) {
            (Some(counts), _) => PerLength::from_per_mi(counts),
            (None, counts) => PerLength::from_per_km(counts.unwrap_or_default()),
        };
        let shape = match self.shape {
            ShapeName::Square => Shape::Square,
            ShapeName::Sine => Shape::Sine,
            ShapeName::Sensor => Shape::Sensor,
        };
        let signal = BenchSignal::new(counts, self.legs()?, shape, self.fault()).map_err(one)?;
        let extension = self.out.extension().map(|name| name.to_ascii_lowercase());
        let bytes = match extension.as_deref().and_then(|name| name.to_str()) {
            Some("wav") => signal.wav(Frequency::from_hz(f64::from(self.rate)), self.level).map_err(one)?,
            Some("csv") => signal.csv().into_bytes(),
            _ => {
                let problem = Problem::error(
                    "--out",
                    "a name that ends in .wav or .csv",
                    self.out.display().to_string(),
                );
                return Err(one(problem.hint("the format follows the extension")));
            }
        };
        world::write(&self.out, &bytes).map_err(|problem| vec![*problem])?;
        let report = BenchReport::new(&signal, self.out.display().to_string());
        Answer::new(&report, report.document(), Vec::new())
    }

    fn fault(&self) -> Option<RingFault> {
        let teeth = self.ring_teeth?;
        let tooth = self.missing_tooth.or(self.bent_tooth)?;
        Some(RingFault { teeth, tooth, is_missing: self.missing_tooth.is_some() })
    }

    fn legs(&self) -> Result<Vec<Leg>, Vec<Problem>> {
        let lasting =
            text::read::<Duration>(&self.lasting).map_err(|error| typed("--lasting", &error))?.value;
        let leg = |from: Speed, to: Speed| Leg { from, to, duration: lasting };
        let one = |flag: &str, text: &str| {
            text::read::<Speed>(text).map(|speed| speed.value).map_err(|error| typed(flag, &error))
        };
        match (&self.speed, &self.speeds, &self.from, &self.to) {
            (Some(speed), ..) => one("--speed", speed).map(|speed| vec![leg(speed, speed)]),
            (_, Some(speeds), ..) => text::read_list::<Speed>(speeds)
                .map(|speeds| speeds.iter().map(|speed| leg(speed.value, speed.value)).collect())
                .map_err(|error| typed("--speeds", &error)),
            (.., Some(from), Some(to)) => Ok(vec![leg(one("--from", from)?, one("--to", to)?)]),
            _ => Ok(Vec::new()),
        }
    }
}
