//! What a rollout comes to, as it is typed: turns along a tape beside the size of the tire.

use crate::describe::tire::TireSize;
use crate::describe::tire::circumference::{RollingConditions, roll};
use crate::report::words::value_and_uncertainty;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Length, PerLength};
use metrology::text::Typed;

/// Farther from the size than this many of its standard uncertainties, turns and length hardly belong together (judgement).
const FAR: f64 = 4.0;
/// Up to so many it is what the size allows.
const NEAR: f64 = 2.0;

/// Turns along a tape.
#[derive(Clone, Debug, PartialEq)]
pub struct RolledReport {
    revs: PerLength,
    by_size: Option<Measured<PerLength>>,
    units: Units,
}

impl RolledReport {
    /// The report of some tries, each of so many turns; none where nothing was rolled.
    pub fn new(turns: u32, lengths: &[Typed<Length>], size: Option<&TireSize>, units: Units) -> Option<Self> {
        let whole: f64 = lengths.iter().map(|length| length.value.m()).sum();
        let rolled = f64::from(turns) * lengths.len() as f64;
        if turns == 0 || !whole.is_finite() || whole <= 0.0 {
            return None;
        }
        let by_size = size.and_then(|size| roll(size, &RollingConditions::default()).ok());
        let by_size = by_size.map(|rolling| rolling.revs_per_mile);
        Some(Self { revs: PerLength::from_per_m(rolled / whole), by_size, units })
    }

    /// Turns in a length, as rolled.
    pub fn revs(&self) -> PerLength {
        self.revs
    }

    /// The same in sentences.
    pub fn says(&self) -> String {
        let per = self.units.per_word();
        let rolled = format!("{:.1} revolutions {per} as rolled.", self.units.of_per_length(self.revs));
        let Some(by_size) = &self.by_size else { return rolled };
        let (size, u) =
            (self.units.of_per_length(by_size.value), self.units.of_per_length(by_size.standard_uncertainty));
        let apart = self.revs.per_m() / by_size.value.per_m() - 1.0;
        let more = if apart > 0.0 { "more" } else { "fewer" };
        let sigmas = apart.abs() * by_size.value.per_m() / by_size.standard_uncertainty.per_m();
        let judged = match sigmas {
            near if near <= NEAR => "That is what the size allows.",
            far if far > FAR => "That is far off: see whether turns, length and size belong together.",
            _ => "That is a little more than the size allows.",
        };
        format!(
            "{rolled} The size says {}: {:.1} % {more} turns. {judged}",
            value_and_uncertainty(size, u),
            100.0 * apart.abs()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::text;

    /// 803.9 mm x 3.05 is 2.452 m a turn, 656.4 turns a mile: five turns are 12.26 m or 40 ft 2.7 in (arithmetic from the
    /// formula of the size and the factor of a radial).
    #[test]
    fn a_rollout_beside_its_size() {
        let check = |turns: u32, lengths: &[&str], revs: f64, judged: &str| {
            let lengths: Vec<_> = lengths.iter().map(|text| text::length(text).unwrap()).collect();
            let size = TireSize::parse("LT265/75R16").unwrap();
            let report = RolledReport::new(turns, &lengths, Some(&size), Units::Us).unwrap();
            assert!((report.revs().per_mi() - revs).abs() < 0.05, "{:?}", report.revs().per_mi());
            assert!(report.says().contains(judged), "{}", report.says());
        };
        // 5 x 1609.344 / 12.26
        check(5, &["12.26 m"], 656.3, "what the size allows");
        check(5, &["12.25 m", "12.27 m"], 656.3, "what the size allows");
        check(4, &["12.26 m"], 525.1, "far off");
        let none = RolledReport::new(5, &[text::length("12.26 m").unwrap()], None, Units::Metric).unwrap();
        assert_eq!(none.says(), "407.8 revolutions per km as rolled.");
        assert_eq!(RolledReport::new(5, &[], None, Units::Us), None);
    }
}
