//! The answer of `measure pulses`.

use crate::measure::pulses::PulseEstimate;
use crate::problem::Problem;
use crate::report::charts;
use crate::report::document::{Block, Document};
use crate::report::findings::pulses::TroubleDetails;
use crate::report::words::value::V;
use crate::report::words::{interval, probability, value_and_uncertainty};
use crate::units::Units;
use metrology::cycle::{Fault, FaultKind, LEAST_TURNS, Ring, Untold};
use metrology::measured::Measured;
use metrology::quantity::{PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// Said wherever a wire is tapped.
pub const TAP_CAUTION: &str = "A variable-reluctance sensor can far exceed what a sound input takes: attenuate and isolate before \
     it is connected. The same wire may feed the anti-lock brakes, the transmission or the transfer case: find out what else reads \
     it before it is tapped, and do not load it. On stands: wheels that touch ground chocked, stands and no jacks, nobody under \
     the truck, and fresh air if the engine runs.";

/// What a recording says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PulseReport {
    /// One for each tooth that shows.
    pub pulses: u64,
    /// From the start to the end of the recording.
    pub duration_s: f64,
    /// Lowest, median and highest; null with fewer than two pulses.
    pub frequency_hz: Option<FrequencyReport>,
    /// Teeth of the ring, missing ones included; null where it cannot be told.
    pub ring_teeth: Option<usize>,
    /// Probability of that count among all that were tried.
    pub ring_confidence: Option<f64>,
    /// Teeth with a fault, counted from 1 at the first pulse that the ring was found from.
    pub faulty_teeth: Vec<usize>,
    /// What is wrong at each.
    pub faults: Vec<FaultReport>,
    /// Once-per-turn part of the spacing in per cent of a pitch, where the ring runs out of true.
    pub off_centre_percent: Option<f64>,
    /// Counts per turn, where the turns were given.
    pub counts_per_turn: Option<V>,
    /// Counts per mile, where the distance was given.
    pub counts_per_mile: Option<V>,
    /// Which edges were taken.
    pub edges: &'static str,
    /// Holes between regular pulses.
    pub holes: u64,
    /// Pulses that would have fitted into the holes; not counted.
    pub missing: u64,
    /// Edges that came again for a pulse already counted; not counted.
    pub doubled: u64,
    /// Whether the sound was coded with loss.
    pub lossy: bool,
    /// Standard uncertainty of when one pulse came, in per cent of the time between two; null for recorded edges.
    pub crossing_standard_uncertainty_percent: Option<f64>,
    /// Signal over noise, for a wave.
    pub signal_to_noise_db: Option<f64>,
    /// What is wrong with the recording, with its kind and numbers.
    pub troubles: Vec<TroubleDetails>,
    /// Why something is null.
    pub unknowable: Vec<String>,
    /// What was wrong with the input.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    ring_says: String,
    #[serde(skip)]
    charts: Vec<crate::report::document::Chart>,
    #[serde(skip)]
    units: Units,
}

/// A range of frequencies.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FrequencyReport {
    /// Lowest.
    pub min: f64,
    /// Exceeded half of the time.
    pub median: f64,
    /// Highest.
    pub max: f64,
    /// Standard uncertainties of the three; null for recorded edges.
    pub standard_uncertainty: Option<[f64; 3]>,
}

/// A tooth with a fault.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FaultReport {
    /// Which, from 1.
    pub tooth: usize,
    /// `missing`, `displaced`, `wide-gap-before` or `narrow-gap-before`.
    pub kind: &'static str,
    /// How far the space before it is off, in per cent of a pitch.
    pub spacing_percent: f64,
    /// Standard uncertainty of that, over the turns that were used; null for recorded edges.
    pub spacing_standard_uncertainty_percent: Option<f64>,
}

impl FaultReport {
    fn new(fault: &Fault, ring: &Ring, crossing_u: Option<Ratio>) -> Self {
        let kind = match fault.kind {
            FaultKind::Missing => "missing",
            FaultKind::Displaced => "displaced",
            FaultKind::WideBefore => "wide-gap-before",
            FaultKind::NarrowBefore => "narrow-gap-before",
        };
        // Two crossings in each turn.
        let u = |crossing_u: Ratio| crossing_u.percent() * (2.0 / ring.turns).sqrt();
        Self {
            tooth: fault.mark + 1,
            kind,
            spacing_percent: 100.0 * fault.share,
            spacing_standard_uncertainty_percent: crossing_u.map(u),
        }
    }

    fn says(&self) -> String {
        let off = self.spacing_percent.abs();
        match self.kind {
            "missing" => "missing".into(),
            "displaced" => format!("out of its place by about {off:.0} % of a pitch: bent or chipped"),
            "wide-gap-before" => format!("the gap before it is {off:.0} % too wide: a crack may be there"),
            _ => format!("the gap before it is {off:.0} % too narrow"),
        }
    }
}

impl PulseReport {
    /// The report of a recording; turns and distance are what the owner said it spans.
    pub fn new(
        estimate: &PulseEstimate,
        per_turn: Option<Measured<Ratio>>,
        per_length: Option<Measured<PerLength>>,
        problems: Vec<Problem>,
        units: Units,
    ) -> Self {
        let ring = estimate.ring.as_ref().ok();
        let faults: Vec<FaultReport> = ring
            .iter()
            .flat_map(|ring| ring.faults.iter().map(|f| FaultReport::new(f, ring, estimate.crossing_u)))
            .collect();
        let ring_says = match &estimate.ring {
            Ok(ring) => found(ring),
            Err(why) => untold(*why),
        };
        let untold = estimate.ring.as_ref().err().map(|why| format!("ring_teeth: {}", untold(*why)));
        Self {
            pulses: estimate.pulses,
            duration_s: estimate.duration.s(),
            frequency_hz: estimate.frequency.map(|range| FrequencyReport {
                min: range.min.hz(),
                median: range.median.hz(),
                max: range.max.hz(),
                standard_uncertainty: range.standard_uncertainties.map(|three| three.map(|u| u.hz())),
            }),
            ring_teeth: ring.map(|ring| ring.marks),
            ring_confidence: ring.map(|ring| ring.confidence),
            faulty_teeth: faults.iter().map(|fault| fault.tooth).collect(),
            faults,
            off_centre_percent: ring.and_then(|ring| ring.off_centre).map(|share| 100.0 * share),
            counts_per_turn: V::maybe(per_turn.as_ref(), Ratio::plain),
            counts_per_mile: V::maybe(per_length.as_ref(), PerLength::per_mi),
            edges: if estimate.falling { "falling" } else { "rising" },
            holes: estimate.holes,
            missing: estimate.missing,
            doubled: estimate.doubled,
            lossy: estimate.lossy,
            crossing_standard_uncertainty_percent: estimate.crossing_u.map(|u| u.percent()),
            signal_to_noise_db: estimate.findings.and_then(|findings| findings.signal_to_noise_db),
            troubles: estimate.troubles.iter().map(TroubleDetails::new).collect(),
            unknowable: untold.into_iter().collect(),
            problems,
            ring_says,
            charts: charts::pulses::charts(estimate),
            units,
        }
    }

    /// What is less certain for the loss.
    fn loss(&self) -> String {
        let highest = self.frequency_hz.and_then(|range| Some((range, range.standard_uncertainty?)));
        let highest = highest.map_or(String::new(), |(range, [_, _, u])| {
            format!(" The highest frequency is {} Hz.", value_and_uncertainty(range.max, u))
        });
        let percent = self.crossing_standard_uncertainty_percent.unwrap_or(0.0);
        format!(
            "The sound was coded with loss: the count stands, but when a single pulse came is uncertain by {percent:.1} % of \
             the time to the next.{highest}"
        )
    }

    /// Counts per turn and per length, as far as they are known; beside counts per kilometre those per mile, which many a
    /// module stores.
    fn rows(&self) -> Vec<Vec<String>> {
        let per_km = self.counts_per_mile.map(|v| v.to(|n| PerLength::from_per_mi(n).per_km()));
        let counts = [
            ("counts per turn", self.counts_per_turn),
            ("counts per km", per_km.filter(|_| !self.units.in_miles())),
            ("counts per mile", self.counts_per_mile),
        ];
        let row = |(name, v): (&str, Option<V>)| {
            let v = v?;
            Some(vec![
                name.to_string(),
                value_and_uncertainty(v.value, v.standard_uncertainty),
                interval(v.low_95, v.high_95, v.standard_uncertainty),
            ])
        };
        counts.into_iter().filter_map(row).collect()
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("A recording of pulses");
        document.sentence(match &self.frequency_hz {
            Some(range) => format!(
                "{} pulses in {:.1} s, from {:.1} to {:.1} Hz, half of the time above {:.1} Hz.",
                self.pulses, self.duration_s, range.min, range.max, range.median
            ),
            None => format!("{} pulses in {:.1} s: too few for a frequency.", self.pulses, self.duration_s),
        });
        if self.lossy {
            document.sentence(self.loss());
        }
        document.sentence(self.ring_says.clone());
        let rows = self.rows();
        if !rows.is_empty() {
            document.table(
                "What it gives",
                &["quantity", "value ± standard uncertainty", "95 % interval"],
                rows,
            );
        }
        if !self.faults.is_empty() {
            let row = |fault: &FaultReport| vec![fault.tooth.to_string(), fault.says()];
            let rows = self.faults.iter().map(row).collect();
            document.table("Teeth with a fault, counted from the first pulse used", &["tooth", "what"], rows);
        }
        if let Some(percent) = self.off_centre_percent {
            document.sentence(format!(
                "The spacing swings by {percent:.1} % of a pitch once per turn: the ring runs off centre."
            ));
        }
        document.caution(TAP_CAUTION);
        self.charts.iter().for_each(|chart| {
            document.push(Block::Chart(chart.clone()));
        });
        document
    }
}

fn found(ring: &Ring) -> String {
    let alone = match ring.faults_alone {
        true => {
            " Nothing repeats but the faults: a ring of twice the teeth with the same faults twice would look the same."
        }
        false => "",
    };
    let sound = if ring.faults.is_empty() { "No tooth stands out." } else { "Not all of them are sound." };
    format!(
        "The ring has {} teeth (probability {}), found from its own spacing over {:.0} turns. {sound}{alone}",
        ring.marks,
        probability(ring.confidence),
        ring.turns
    )
}

fn untold(why: Untold) -> String {
    let why = match why {
        Untold::TooShort => {
            return format!(
                "The teeth of the ring cannot be counted: too few turns without a break. Record at least 20 turns \
                 ({LEAST_TURNS} are the least)."
            );
        }
        Untold::NoPattern => {
            "The teeth of the ring cannot be counted: no spacing pattern stands out. Record more turns at a steadier speed, with \
             a stronger signal."
        }
        Untold::Undecided => {
            "The teeth of the ring cannot be counted: several counts explain the spacing as well. Record more turns at a \
             steadier speed."
        }
        Untold::UnevenSpeed => {
            "The teeth of the ring cannot be counted: what repeats may be an engine or a joint that turns unevenly as well as \
             the spacing. Record once more coasting in neutral or pushed by hand, at speeds that change."
        }
        Untold::TooFine => {
            "The teeth of the ring cannot be counted: what repeats is no larger than the rounding of the times, or finer than \
             rings are made. Record at a higher rate, at speeds that change."
        }
        Untold::OutOfRange => {
            "The teeth of the ring cannot be counted: the pattern repeats after fewer than 6 or more than 200 pulses."
        }
    };
    why.to_string()
}
