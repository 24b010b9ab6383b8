//! The answer of `measure vehicle`.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Assumption, Piece, Quantities, QuantityId, VehicleEstimate};
use crate::problem::Problem;
use crate::report::answers::engine::{self, GearReport};
use crate::report::answers::faults::OpenFault;
use crate::report::document::{Document, TableId};
use crate::report::findings::evidence::{AlarmDetails, ConflictDetails, Quantity, UnknowableDetails};
use crate::report::words::value::V;
use crate::report::words::{cautions, held_back_by, reads, value_and_uncertainty};
use crate::report::words::{evidence, labels};
use crate::units::Units;
use metrology::quantity::{PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// What is known of a truck.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct VehicleReport {
    /// The truck.
    pub vehicle: String,
    /// The quantities over all hypotheses.
    #[serde(flatten)]
    pub over_all: QuantitiesReport,
    /// The same for the most likely hypothesis.
    pub given_top_hypothesis: QuantitiesReport,
    /// The hypotheses, most likely first.
    pub hypotheses: Vec<HypothesisReport>,
    /// What each piece did.
    pub evidence: Vec<PieceReport>,
    /// Scatter beside what the uncertainties say.
    pub birge_ratio: Option<f64>,
    /// By how much every uncertainty was widened for it.
    pub widening: f64,
    /// What cannot be known, and what would tell.
    pub unknowable: Vec<String>,
    /// The same with its kind.
    pub unknowable_details: Vec<UnknowableDetails>,
    /// Where the evidence speaks against what the owner believes.
    pub alarms: Vec<String>,
    /// The same with its kind and numbers.
    pub alarm_details: Vec<AlarmDetails>,
    /// Where pieces contradict each other.
    pub conflicts: Vec<String>,
    /// The same with its kind and numbers.
    pub conflict_details: Vec<ConflictDetails>,
    /// The beliefs that each answer hangs on.
    pub hangs_on: Vec<HangsOn>,
    /// Engine speed in each gear; empty where the gears or the turns of the shaft are not known.
    pub gears: Vec<GearReport>,
    /// What else to know.
    pub notes: Vec<String>,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    sentences: Vec<String>,
    #[serde(skip)]
    units: Units,
}

/// The quantities asked of a truck.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct QuantitiesReport {
    /// Of the mounted tires.
    pub revs_per_mile: Option<V>,
    /// At the wire.
    pub counts_per_mile: Option<V>,
    /// Odometer over true.
    pub distance_ratio: Option<V>,
    /// Needle over true.
    pub needle_ratio: Option<V>,
    /// Of the propeller shaft; asked for where the file names the gears.
    pub shaft_turns_per_mile: Option<V>,
}

/// A hypothesis.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HypothesisReport {
    /// What is assumed in it.
    pub label: String,
    /// Its probability.
    pub probability: f64,
}

/// An answer and the beliefs it hangs on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct HangsOn {
    /// Which quantity the answer is.
    pub quantity: Quantity,
    /// The answer.
    pub answer: String,
    /// What would change it if it were not so.
    pub beliefs: Vec<String>,
}

/// A piece of evidence.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PieceReport {
    /// What it is called.
    pub label: String,
    /// Believed before anything was measured.
    pub is_prior: bool,
    /// Its share in the variance of the answer.
    pub weight: f64,
    /// Its distance from what the rest says, in deviations.
    pub normalised_residual: Option<f64>,
}

impl QuantitiesReport {
    fn new(quantities: &Quantities) -> QuantitiesReport {
        QuantitiesReport {
            revs_per_mile: V::maybe(quantities.revs.as_ref(), PerLength::per_mi),
            counts_per_mile: V::maybe(quantities.counts.as_ref(), PerLength::per_mi),
            distance_ratio: V::maybe(quantities.distance_ratio.as_ref(), Ratio::plain),
            needle_ratio: V::maybe(quantities.needle_ratio.as_ref(), Ratio::plain),
            shaft_turns_per_mile: V::maybe(quantities.shaft_turns.as_ref(), PerLength::per_mi),
        }
    }
}

impl HangsOn {
    fn new(vehicle: &Vehicle, asked: QuantityId, on: &[Assumption]) -> HangsOn {
        HangsOn {
            quantity: asked.into(),
            answer: labels::asked(asked).into(),
            beliefs: on.iter().map(|one| labels::assumption(vehicle, one)).collect(),
        }
    }
}

impl PieceReport {
    fn new(vehicle: &Vehicle, piece: &Piece) -> PieceReport {
        PieceReport {
            label: labels::piece(vehicle, &piece.id),
            is_prior: piece.is_prior,
            weight: piece.weight.plain(),
            normalised_residual: piece.normalised_residual,
        }
    }
}

impl VehicleReport {
    /// The report of a truck.
    pub fn new(
        vehicle: &Vehicle,
        estimate: &VehicleEstimate,
        problems: Vec<Problem>,
        units: Units,
    ) -> VehicleReport {
        let of = |what: &str, ratio: Option<&metrology::measured::Measured<Ratio>>| {
            ratio.map(|ratio| format!("With the present setting the {what} {}.", reads(ratio)))
        };
        let over_all = &estimate.over_all;
        let sentences =
            [of("odometer", over_all.distance_ratio.as_ref()), of("needle", over_all.needle_ratio.as_ref())];
        VehicleReport {
            vehicle: vehicle.name.clone(),
            over_all: QuantitiesReport::new(over_all),
            given_top_hypothesis: QuantitiesReport::new(&estimate.given_top),
            hypotheses: estimate
                .hypotheses
                .iter()
                .map(|h| HypothesisReport { label: h.label.clone(), probability: h.probability.plain() })
                .collect(),
            evidence: estimate.evidence.iter().map(|piece| PieceReport::new(vehicle, piece)).collect(),
            birge_ratio: estimate.birge_ratio,
            widening: estimate.widening,
            unknowable: estimate.unknowable.iter().map(|one| evidence::unknowable(vehicle, one)).collect(),
            unknowable_details: estimate
                .unknowable
                .iter()
                .map(|one| UnknowableDetails::new(vehicle, one))
                .collect(),
            alarms: estimate.alarms.iter().map(|one| evidence::alarm(vehicle, one)).collect(),
            alarm_details: estimate.alarms.iter().map(|one| AlarmDetails::new(vehicle, one)).collect(),
            conflicts: estimate.conflicts.iter().map(|one| evidence::conflict(vehicle, one)).collect(),
            conflict_details: estimate
                .conflicts
                .iter()
                .map(|one| ConflictDetails::new(vehicle, one))
                .collect(),
            hangs_on: estimate.hangs_on.iter().map(|(asked, on)| HangsOn::new(vehicle, *asked, on)).collect(),
            gears: engine::gears(vehicle, estimate, units),
            notes: estimate.notes.iter().map(evidence::note).collect(),
            held_back_by: held_back_by(&vehicle.faults),
            open_faults: OpenFault::all(&vehicle.faults),
            problems,
            sentences: sentences.into_iter().flatten().collect(),
            units,
        }
    }

    /// How far off the odometer reads, else the needle; none where neither is known.
    pub fn reads(&self) -> Option<&str> {
        self.sentences.first().map(String::as_str)
    }

    /// The beliefs that a quantity hangs on.
    pub fn beliefs(&self, quantity: Quantity) -> &[String] {
        let hangs = self.hangs_on.iter().find(|hangs| hangs.quantity == quantity);
        hangs.map_or(&[], |hangs| &hangs.beliefs)
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: what is known", self.vehicle));
        self.sentences.iter().for_each(|sentence| {
            document.sentence(sentence.clone());
        });
        self.alarms.iter().chain(&self.conflicts).for_each(|sentence| {
            document.sentence(sentence.clone());
        });
        if let Some(caution) = cautions::of_faults(&self.open_faults) {
            document.caution(caution);
        }
        let head = ["quantity", "value ± standard uncertainty"];
        document.table_of(TableId::Quantities, "Quantities", &head, self.quantity_rows());
        for sentence in &self.unknowable {
            document.sentence(format!("{sentence}."));
        }
        if self.widening > 1.0 {
            document.sentence(format!("The pieces disagree more than their uncertainties say; every uncertainty was widened by {:.2}.", self.widening));
        }
        if self.hypotheses.len() > 1 {
            let row = |h: &HypothesisReport| vec![h.label.clone(), format!("{:.1} %", 100.0 * h.probability)];
            let rows = self.hypotheses.iter().take(5).map(row).collect();
            document.table_of(
                TableId::Hardware,
                "What hardware it has",
                &["hypothesis", "probability"],
                rows,
            );
        }
        let answer = |h: &HangsOn| h.answer.replace("per mile", self.units.per_word());
        let row = |h: &HangsOn| vec![answer(h), h.beliefs.join("; ")];
        let hanging = self.hangs_on.iter().filter(|h| !h.beliefs.is_empty()).map(row).collect::<Vec<_>>();
        if !hanging.is_empty() {
            document.table("What each answer hangs on", &["answer", "changes if this is not so"], hanging);
        }
        self.notes.iter().for_each(|sentence| {
            document.sentence(sentence.clone());
        });
        engine::push_gears(&self.gears, self.units, &mut document);
        document.table_of(
            TableId::Evidence,
            "Evidence",
            &["piece", "weight", "off by, in deviations"],
            self.piece_rows(),
        );
        document
    }

    /// What is asked of every truck, in the order of [`crate::report::explanation::came_about::FORMULAS`] and in the owner's units.
    pub fn asked(&self) -> [Option<V>; 4] {
        let of = &self.over_all;
        let in_units =
            |v: Option<V>| v.map(|v| v.to(|n| self.units.of_per_length(PerLength::from_per_mi(n))));
        [in_units(of.revs_per_mile), in_units(of.counts_per_mile), of.distance_ratio, of.needle_ratio]
    }

    fn quantity_rows(&self) -> Vec<Vec<String>> {
        let row = |name: &str, v: Option<&V>| {
            let value = v.map_or("cannot be known".to_string(), |v| {
                value_and_uncertainty(v.value, v.standard_uncertainty)
            });
            vec![name.to_string(), value]
        };
        let [revs, counts, distance, needle] = self.asked();
        let per = self.units.per_word();
        let mut rows = vec![
            row(&format!("revolutions {per}"), revs.as_ref()),
            row(&format!("counts {per}"), counts.as_ref()),
        ];
        if !self.units.in_miles() {
            // Many a module stores counts per mile whatever its dial shows.
            rows.push(row("counts per mile", self.over_all.counts_per_mile.as_ref()));
        }
        rows.push(row("odometer over true", distance.as_ref()));
        rows.push(row("needle over true", needle.as_ref()));
        rows
    }

    fn piece_rows(&self) -> Vec<Vec<String>> {
        let row = |piece: &PieceReport| {
            vec![
                piece.label.clone(),
                format!("{:.0} %", 100.0 * piece.weight),
                piece.normalised_residual.map_or("not checked by another".into(), |r| format!("{r:+.1}")),
            ]
        };
        self.evidence.iter().map(row).collect()
    }
}
