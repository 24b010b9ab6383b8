//! How each asked quantity comes about: the formula and where it is from, for whoever opens a number.

use crate::measure::fusion::QuantityId;
use crate::units::Units;

/// A quantity and its formula.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Formula {
    /// What is asked.
    pub asked: QuantityId,
    /// The same in words.
    pub quantity: &'static str,
    /// In words and signs.
    pub formula: &'static str,
    /// Where it is from.
    pub source: &'static str,
}

impl Formula {
    /// What is asked and the formula, in words of these units.
    pub fn said(&self, units: Units) -> [String; 2] {
        [self.quantity, self.formula]
            .map(|text| units.by_road(text.to_string(), text.replace("mile", "kilometre")))
    }
}

/// By definition of the quantities; the adjustment is named in [`ADJUSTED`].
const DEFINED: &str = "by definition of the parts of the chain";

/// The quantities in the order of [`crate::measure::fusion::Quantities`].
pub const FORMULAS: [Formula; 4] = [
    Formula {
        asked: QuantityId::Revs,
        quantity: "revolutions per mile",
        formula: "one mile over the distance the mounted tire rolls in one turn",
        source: DEFINED,
    },
    Formula {
        asked: QuantityId::Counts,
        quantity: "counts per mile",
        formula: "revolutions per mile, times each factor from the tire to the wire: axle, gears, ring or sensor, conditioner",
        source: DEFINED,
    },
    Formula {
        asked: QuantityId::DistanceRatio,
        quantity: "odometer over true",
        formula: "counts per mile that arrive, over the counts for which the odometer shows a mile with what is stored now",
        source: DEFINED,
    },
    Formula {
        asked: QuantityId::NeedleRatio,
        quantity: "needle over true",
        formula: "odometer over true, times the gain of the pointer, which is about 1",
        source: DEFINED,
    },
];

/// How the evidence becomes one answer.
pub const ADJUSTED: &str = "All evidence is fitted at once by generalised least squares in logarithms, what shares a cause sharing \
     a parameter; the interval holds the truth 95 times in 100 (JCGM 100:2008, annexes G and H; Aitken 1935). Where several \
     kinds of hardware are possible, each is fitted and weighed by how well it explains the evidence (MacKay 2003, ch. 28).";
