//! The numbers by which a choice is made. Each is a judgement unless it says otherwise, and may be changed under `[use]`.

use crate::describe::file::document::Entry;
use crate::describe::file::keys::usage as keys;
use metrology::quantity::Ratio;

/// What a choice is decided by.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Thresholds {
    /// A write is worth it when the RMS of the relative error falls by at least this.
    pub worth_a_write: Ratio,
    /// Measuring first is worth it when it is expected to lower the RMS of what would be stored by more than this.
    pub worth_measuring: Ratio,
    /// A decision that a measurement changes must be worth this much on average.
    pub worth_deciding: Ratio,
    /// Or when with more than this probability it changes the decision, or the stored value would need a second write.
    pub chance_worth_measuring: Ratio,
    /// A rule counts as kept when the chance of breaking it is at most this.
    pub chance_of_breaking: Ratio,
    /// An expected error on the slow side counts so many times one on the fast side.
    pub slow_counts: Ratio,
    /// A dial that reads slow by more than this is a hazard.
    pub slow_hazard: Ratio,
    /// A write that with more than this probability leaves the truck worse than it is, is measured first.
    pub chance_of_worse: Ratio,
    /// A reading that is off by more than this is checked before anything is stored, unless several kinds of evidence agree.
    pub far_off: Ratio,
}

impl Default for Thresholds {
    fn default() -> Self {
        let percent = Ratio::from_percent;
        Self {
            worth_a_write: percent(0.5),
            worth_measuring: percent(0.25),
            worth_deciding: percent(0.05),
            chance_worth_measuring: percent(20.0),
            chance_of_breaking: percent(5.0),
            slow_counts: Ratio::from_plain(1.5),
            slow_hazard: percent(1.0),
            chance_of_worse: percent(1.0),
            far_off: percent(50.0),
        }
    }
}

impl Thresholds {
    /// Reads them from `[use]`.
    pub(super) fn read(entry: &Entry<'_>) -> Self {
        let usual = Self::default();
        Self {
            worth_a_write: entry.get(&keys::WORTH_A_WRITE_PERCENT).unwrap_or(usual.worth_a_write),
            worth_measuring: entry.get(&keys::WORTH_MEASURING_PERCENT).unwrap_or(usual.worth_measuring),
            worth_deciding: entry.get(&keys::WORTH_DECIDING_PERCENT).unwrap_or(usual.worth_deciding),
            chance_worth_measuring: entry
                .get(&keys::CHANCE_WORTH_MEASURING_PERCENT)
                .unwrap_or(usual.chance_worth_measuring),
            chance_of_breaking: entry
                .get(&keys::CHANCE_OF_BREAKING_PERCENT)
                .unwrap_or(usual.chance_of_breaking),
            slow_counts: entry.get(&keys::SLOW_COUNTS_PERCENT).unwrap_or(usual.slow_counts),
            slow_hazard: entry.get(&keys::SLOW_HAZARD_PERCENT).unwrap_or(usual.slow_hazard),
            chance_of_worse: entry.get(&keys::CHANCE_OF_WORSE_PERCENT).unwrap_or(usual.chance_of_worse),
            far_off: entry.get(&keys::FAR_OFF_PERCENT).unwrap_or(usual.far_off),
        }
    }

    /// Each with the key that changes it.
    pub fn all(&self) -> [(&'static str, Ratio); 9] {
        [
            (keys::WORTH_A_WRITE_PERCENT.name, self.worth_a_write),
            (keys::WORTH_MEASURING_PERCENT.name, self.worth_measuring),
            (keys::WORTH_DECIDING_PERCENT.name, self.worth_deciding),
            (keys::CHANCE_WORTH_MEASURING_PERCENT.name, self.chance_worth_measuring),
            (keys::CHANCE_OF_BREAKING_PERCENT.name, self.chance_of_breaking),
            (keys::SLOW_COUNTS_PERCENT.name, self.slow_counts),
            (keys::SLOW_HAZARD_PERCENT.name, self.slow_hazard),
            (keys::CHANCE_OF_WORSE_PERCENT.name, self.chance_of_worse),
            (keys::FAR_OFF_PERCENT.name, self.far_off),
        ]
    }
}
