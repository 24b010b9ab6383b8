//! The answer of `describe tire`.

use crate::describe::tire::circumference::{
    Contribution, Factor, Rolling, RollingConditions, geometric_revs_per_mile, roll,
};
use crate::describe::tire::{Construction, DiameterBasis, HowKnown, Marks, System, TireSize};
use crate::problem::Problem;
use crate::report::document::Document;
use crate::report::words::value::V;
use crate::report::words::{interval, percent, value_and_uncertainty};
use crate::units::Units;
use metrology::quantity::{Length, PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// A tire size and what follows from it; lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TireReport {
    /// The size in canonical writing, with its marks.
    pub size: String,
    /// Radial or bias.
    pub construction: Construction,
    /// Outer diameter as new.
    pub diameter_mm: V,
    /// Distance per turn.
    pub rolling_circumference_mm: V,
    /// Turns per mile.
    pub revs_per_mile: V,
    /// Turns per mile of a rigid wheel of that diameter, for comparison: what bare geometry would say.
    pub geometric_revs_per_mile: f64,
    /// Designation system.
    pub system: System,
    /// Load index, ply rating and the like.
    pub marks: Marks,
    /// What the diameter rests on.
    pub diameter_basis: DiameterBasis,
    /// How it is known.
    pub how_known: HowKnown,
    /// What each factor is worth.
    pub budget: Vec<BudgetLine>,
    /// What the reader should know.
    pub notes: Vec<String>,
    #[serde(skip)]
    units: Units,
}

/// One factor of the rolling circumference.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BudgetLine {
    /// What it is.
    pub what: String,
    /// Its value: mm for the diameter, else a plain factor.
    pub value: f64,
    /// `mm` or `1`.
    pub unit: &'static str,
    /// Standard uncertainty in the same unit.
    pub standard_uncertainty: f64,
    /// What that makes in revolutions per mile.
    pub standard_uncertainty_revs_per_mile: f64,
    /// Its part of the variance of revolutions per mile, 0 to 1.
    pub share: f64,
    /// How it is known.
    pub how_known: String,
}

impl TireReport {
    /// The report of a tire under conditions.
    ///
    /// # Errors
    /// A condition out of its range.
    pub fn new(tire: &TireSize, conditions: &RollingConditions, units: Units) -> Result<Self, Problem> {
        let Rolling { circumference, revs_per_mile, budget } = roll(tire, conditions)?;
        Ok(Self {
            size: tire.to_string(),
            construction: tire.construction,
            diameter_mm: V::new(&tire.diameter, |length| length.mm()),
            rolling_circumference_mm: V::new(&circumference, |length| length.mm()),
            revs_per_mile: V::new(&revs_per_mile, PerLength::per_mi),
            geometric_revs_per_mile: geometric_revs_per_mile(tire.diameter.value).per_mi(),
            system: tire.system,
            marks: tire.marks.clone(),
            diameter_basis: tire.diameter_basis,
            how_known: tire.how_known,
            budget: budget.iter().map(BudgetLine::new).collect(),
            notes: tire.notes.clone(),
            units,
        })
    }

    /// The same in one line, for somebody who is still typing.
    pub fn in_short(&self) -> String {
        let (revs, per) = (self.revs_per_mile.to(|n| self.per_road(n)), self.units.per_word());
        format!(
            "{}, {}: {} revolutions {per}, {} tall.",
            self.size,
            self.construction.word(),
            value_and_uncertainty(revs.value, revs.standard_uncertainty),
            self.by_tape(&self.diameter_mm)
        )
    }

    /// The same in sentences.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("Tire {}", self.size));
        document.sentence(self.what_it_is());
        document.sentence(format!("It stands {} tall when new.", self.by_tape(&self.diameter_mm)));
        document.sentence(format!("It rolls {} per turn.", self.by_tape(&self.rolling_circumference_mm)));
        let (revs, per) = (self.revs_per_mile.to(|n| self.per_road(n)), self.units.per_word());
        document.sentence(format!(
            "It makes {} revolutions {per}; with 95 % probability {}.",
            value_and_uncertainty(revs.value, revs.standard_uncertainty),
            interval(revs.low_95, revs.high_95, revs.standard_uncertainty),
        ));
        for note in &self.notes {
            document.sentence(note.clone());
        }
        document.table(
            "What makes the uncertainty",
            &["what", "value", &format!("revs {per}"), "share", "known"],
            self.budget.iter().map(|line| self.row(line)).collect(),
        );
        document.sentence(format!(
            "A figure after ± is a standard uncertainty. Bare geometry would say {:.0} revolutions {per}; a loaded \
             tire makes more. A rollout with chalk and tape outweighs all of this.",
            self.per_road(self.geometric_revs_per_mile)
        ));
        document
    }
}

impl TireReport {
    fn what_it_is(&self) -> String {
        let (size, construction) = (&self.size, self.construction.word());
        if self.system == System::GivenDiameter {
            return format!("{size} is a diameter as given, for a {construction} tire.");
        }
        let (system, basis, known) =
            (self.system.words(), self.diameter_basis.words(), self.how_known.words());
        let article = if system.starts_with('a') { "an" } else { "a" };
        format!("{size} is {article} {system} size, {construction}; its diameter is {basis} ({known}).")
    }

    /// A number per mile as one in the owner's units.
    fn per_road(&self, per_mile: f64) -> f64 {
        self.units.of_per_length(PerLength::from_per_mi(per_mile))
    }

    /// A length in millimetres as the owner's tape shows it.
    fn by_tape(&self, mm: &V) -> String {
        let (_, word) = self.units.of_short(Length::default());
        let v = mm.to(|mm| self.units.of_short(Length::from_mm(mm)).0);
        format!("{} {word}", value_and_uncertainty(v.value, v.standard_uncertainty))
    }

    fn row(&self, line: &BudgetLine) -> Vec<String> {
        let u = line.standard_uncertainty;
        let v = V { value: line.value, standard_uncertainty: u, low_95: line.value, high_95: line.value };
        let value = if line.unit == "mm" { self.by_tape(&v) } else { value_and_uncertainty(line.value, u) };
        vec![
            line.what.clone(),
            value,
            format!("± {:.1}", self.per_road(line.standard_uncertainty_revs_per_mile)),
            percent(Ratio::from_plain(line.share)),
            line.how_known.clone(),
        ]
    }
}

impl BudgetLine {
    fn new(contribution: &Contribution) -> Self {
        let (value, unit) = match contribution.factor {
            Factor::Diameter(length) => (length.mm(), "mm"),
            Factor::Plain(ratio) => (ratio.plain(), "1"),
        };
        Self {
            what: contribution.cause.words().into(),
            value,
            unit,
            standard_uncertainty: value * contribution.relative_uncertainty.plain(),
            standard_uncertainty_revs_per_mile: contribution.in_revs_per_mile.per_mi(),
            share: contribution.share.plain(),
            how_known: contribution.how_known.into(),
        }
    }
}
