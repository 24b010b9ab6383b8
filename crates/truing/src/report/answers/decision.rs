//! The answer of `describe decision`: the numbers by which a choice is made, what each means and where it is from.

use crate::describe::thresholds::Thresholds;
use crate::report::document::Document;
use schemars::JsonSchema;
use serde::Serialize;

/// Every number a choice is made by.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DecisionReport {
    /// Each number.
    pub numbers: Vec<DecisionNumber>,
}

/// One number.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DecisionNumber {
    /// The key under `[use]` that changes it.
    pub key: String,
    /// Its value in per cent.
    pub percent: f64,
    /// What it is unless the file says otherwise.
    pub usual_percent: f64,
    /// What it means.
    pub meaning: String,
    /// Where it is from.
    pub origin: String,
}

/// What each number means and where it is from, by its key.
const TOLD: [(&str, &str, &str); 9] = [
    (
        "worth_a_write_percent",
        "A write is advised where it lowers the expected error by at least so many percentage points.",
        "A judgement: half a per cent is what a careful owner notices.",
    ),
    (
        "worth_measuring_percent",
        "It is measured first where that lowers the error of what would be stored by more than so many percentage points.",
        "A judgement: half of what makes a write worth it.",
    ),
    (
        "worth_deciding_percent",
        "A measurement that may turn the decision is worth it only where that brings so many percentage points on average.",
        "A judgement: on the edge of what a write is worth the decision turns easily and matters to nobody.",
    ),
    (
        "chance_worth_measuring_percent",
        "It is measured first where with a greater probability the decision turns, or a second write follows.",
        "A judgement: one owner in five.",
    ),
    (
        "chance_of_breaking_percent",
        "Up to this chance of breaking it a rule counts as kept; each per cent beyond is paid for like a write.",
        "The usual risk of a conformity statement (JCGM 106:2012 leaves the number to the parties); a judgement.",
    ),
    (
        "slow_counts_percent",
        "An error on the slow side counts so much beside one on the fast side.",
        "A judgement: who goes by a slow dial goes faster than they think; who goes by a fast one does not.",
    ),
    (
        "slow_hazard_percent",
        "A dial that reads slow by more is called a hazard, whatever the advice.",
        "A judgement: half a mile per hour at 50.",
    ),
    (
        "chance_of_worse_percent",
        "A write that leaves the truck worse than it is with a greater probability is measured first.",
        "A judgement: one write in a hundred.",
    ),
    (
        "far_off_percent",
        "A reading that is farther off is checked before anything is stored, unless several kinds of evidence agree.",
        "A judgement: other tires and another axle together rarely make as much.",
    ),
];

impl DecisionReport {
    /// The numbers of a vehicle, or the usual ones.
    pub fn new(thresholds: &Thresholds) -> Self {
        let usual = Thresholds::default().all();
        let number = |((key, value), (_, usual)): (
            (&'static str, metrology::quantity::Ratio),
            (_, metrology::quantity::Ratio),
        )| {
            let told = TOLD.iter().find(|(of, ..)| *of == key);
            let (meaning, origin) = told.map_or(("", ""), |(_, meaning, origin)| (*meaning, *origin));
            DecisionNumber {
                key: key.into(),
                percent: rounded(value.percent()),
                usual_percent: rounded(usual.percent()),
                meaning: meaning.into(),
                origin: origin.into(),
            }
        };
        Self { numbers: thresholds.all().into_iter().zip(usual).map(number).collect() }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("What a choice is decided by");
        document.sentence("Each number may be changed in the vehicle file under [use].");
        for number in &self.numbers {
            let changed = match number.percent == number.usual_percent {
                true => String::new(),
                false => format!(" (unless said: {} %)", number.usual_percent),
            };
            document.heading(format!("{} = {} %{changed}", number.key, number.percent));
            document.sentence(number.meaning.clone());
            document.sentence(number.origin.clone());
        }
        document
    }
}

/// Without the last bits of the way through a share.
fn rounded(percent: f64) -> f64 {
    (percent * 1e9).round() / 1e9
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_is_told() {
        let report = DecisionReport::new(&Thresholds::default());
        assert_eq!(report.numbers.len(), TOLD.len());
        for number in &report.numbers {
            assert!(!number.meaning.is_empty() && !number.origin.is_empty(), "{number:?}");
            assert_eq!(number.percent, number.usual_percent);
        }
        let percent = |key: &str| report.numbers.iter().find(|one| one.key == key).map(|one| one.percent);
        assert_eq!(percent("worth_a_write_percent"), Some(0.5));
        assert_eq!(percent("slow_counts_percent"), Some(150.0));
    }
}
