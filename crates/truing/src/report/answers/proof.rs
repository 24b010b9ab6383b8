//! The answer of `prove`.

use crate::choose::{StoredInstead, stored_now};
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::{DriveEstimate, Reads};
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use crate::prove::Proof;
use crate::report::answers::faults::OpenFault;
use crate::report::charts;
use crate::report::document::{Chart, Document, TableId};
use crate::report::words::{self, cautions, held_back_by, reads};
use crate::rules::{TestPoint, Verdict};
use crate::units::Units;
use metrology::quantity::{Length, Ratio, Speed};
use schemars::JsonSchema;
use serde::Serialize;

/// Whether a rule is kept.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProofReport {
    /// The truck.
    pub vehicle: String,
    /// How it stands, in the sentence that the garage shows; null where nobody asked for it.
    pub state: Option<String>,
    /// The verdict.
    pub verdict: Verdict,
    /// The rule.
    pub rule: String,
    /// Probability that the true error lies in the band at every test speed.
    pub probability: f64,
    /// Further distance until the verdict falls, if the values stay.
    pub more_distance_m: Option<f64>,
    /// The same in further called-out speeds, where these were read.
    pub more_holds: Option<usize>,
    /// Probability at each test speed.
    pub test_points: Vec<PointReport>,
    /// The value that is stored most likely, where the drive contradicts the one that the file says is stored.
    pub stored_instead: Option<String>,
    /// Asks whether it is.
    pub asks: Option<String>,
    /// What was assumed.
    pub notes: Vec<String>,
    /// Where the rule stands, and how it is known.
    pub rule_source: String,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    sentence: String,
    #[serde(skip)]
    chart: Chart,
    #[serde(skip)]
    units: Units,
}

/// One test point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PointReport {
    /// Where.
    pub at: String,
    /// What is permitted there.
    pub permitted: String,
    /// Probability that the reading lies there.
    pub probability: f64,
}

impl ProofReport {
    /// The report of a proof.
    pub fn new(
        vehicle: &Vehicle,
        drive: &DriveEstimate,
        proof: &Proof,
        problems: Vec<Problem>,
        units: Units,
    ) -> ProofReport {
        let rule = &proof.rule;
        ProofReport {
            vehicle: vehicle.name.clone(),
            state: None,
            verdict: proof.conformity.verdict,
            rule: rule.id.to_string(),
            probability: proof.conformity.probability.plain(),
            more_distance_m: proof.more_distance.map(Length::m),
            more_holds: proof.more_holds,
            test_points: proof
                .conformity
                .points
                .iter()
                .map(|p| {
                    let (at, permitted) = shown(&rule.band, p.point, units);
                    PointReport { at, permitted, probability: p.probability.plain() }
                })
                .collect(),
            stored_instead: None,
            asks: None,
            notes: proof.notes.iter().map(|note| words::proof::note(*note)).collect(),
            rule_source: format!("{} ({}); {}", rule.source, rule.edition, rule.how_known.words()),
            held_back_by: held_back_by(&vehicle.faults),
            open_faults: OpenFault::all(&vehicle.faults),
            problems,
            sentence: drive.reading_ratio.as_ref().map(reads).unwrap_or_default(),
            chart: charts::proof::chart(vehicle, proof, units),
            units,
        }
    }

    /// The same held against what was measured before: a drive that fits another value than the one said to be stored asks
    /// which of them is.
    #[must_use]
    pub fn beside(mut self, vehicle: &Vehicle, estimate: &VehicleEstimate, drive: &DriveEstimate) -> Self {
        let of = &estimate.over_all;
        let believed = if drive.reads == Reads::Needle { of.needle_ratio } else { of.distance_ratio };
        let found =
            believed.zip(drive.reading_ratio).and_then(|(it, shown)| stored_now(vehicle, &it, &shown));
        if let Some(StoredInstead { said, fits, .. }) = found {
            self.asks = Some(words::proof::stored_instead(&said, &fits));
            self.stored_instead = Some(fits.to_string());
        }
        self
    }

    /// The same with how the truck stands before this drive is kept.
    #[must_use]
    pub fn standing(self, line: &str) -> Self {
        Self { state: Some(line.to_string()), ..self }
    }

    /// What it comes to, in one or two sentences.
    pub fn headline(&self) -> String {
        let verdict = match self.verdict {
            Verdict::Conforms => "It conforms",
            Verdict::DoesNotConform => "It does not conform",
            Verdict::Undecided => "Undecided",
        };
        format!(
            "{verdict}: the probability that the reading lies in the band of {} is {}. It {}.",
            self.rule,
            words::probability(self.probability),
            self.sentence
        )
    }

    /// How it reads, as the drive showed.
    pub(crate) fn reads(&self) -> &str {
        &self.sentence
    }

    /// The band of what was measured against the permitted band.
    pub fn chart(&self) -> &Chart {
        &self.chart
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: is it true now?", self.vehicle));
        document.sentence(self.headline());
        if let Some(asks) = &self.asks {
            document.sentence(asks.clone());
        }
        match self.more_distance_m {
            Some(more) if self.verdict == Verdict::Undecided => {
                let more = self.units.of_road(Length::from_m(more));
                let word = self.units.road_words();
                let holds = self.more_holds.map_or(String::new(), |holds| {
                    format!(" - {} more -", words::counted(holds as u64, "hold"))
                });
                document.sentence(format!(
                    "If it stays so, about {more:.0} more {word}{holds} of the same kind would settle it."
                ));
            }
            None if self.verdict == Verdict::Undecided => {
                document.sentence("More driving of the same kind would not settle it; another kind of measurement would, such as called-out speeds for a dial.");
            }
            _ => {}
        }
        let row =
            |p: &PointReport| vec![p.at.clone(), p.permitted.clone(), words::probability(p.probability)];
        document.table_of(
            TableId::TestSpeeds,
            "At each test speed",
            &["at", "permitted", "probability"],
            self.test_points.iter().map(row).collect(),
        );
        for note in &self.notes {
            document.sentence(note.clone());
        }
        document.sentence(format!("Rule: {}. Local law decides.", self.rule_source));
        if let Some(state) = &self.state {
            document.sentence(format!("How it stands without this drive: {state}"));
        }
        if let Some(caution) = cautions::of_faults(&self.open_faults) {
            document.caution(caution);
        }
        document
    }
}

fn shown(band: &crate::rules::Band, point: TestPoint, units: Units) -> (String, String) {
    let number = |speed: Speed| units.of_speed(speed);
    let between = |low: Speed, high: Speed| format!("{:.1} to {}", number(low), units.say_speed(high, 1));
    match point {
        TestPoint::True(speed) => {
            let permitted = band.indicated_at(speed);
            let between = format!("indicated {}", between(permitted.low, permitted.high));
            (format!("true {}", units.say_speed(speed, 1)), between)
        }
        TestPoint::Indicated(speed) => {
            let permitted = band.true_at(speed);
            let between = format!("true {}", between(permitted.low, permitted.high));
            (format!("indicated {}", units.say_speed(speed, 1)), between)
        }
        TestPoint::Ratio => {
            let edge = |edge: crate::rules::Edge| 100.0 * (edge.slope - Ratio::from_plain(1.0)).plain();
            let [low, high] = [edge(band.low()), edge(band.high())].map(|edge| words::signed(edge, 1));
            ("distance".into(), format!("{low} % to {high} %"))
        }
    }
}
