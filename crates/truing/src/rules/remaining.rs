//! How much further to drive before a rule can be judged.

use super::{ReadingModel, Rule, Verdict, conformity};
use metrology::quantity::{Length, Speed};

/// More than this many times the distance already driven is no advice: then the answer is "not by driving".
pub const MOST_TIMES_FURTHER: f64 = 1000.0;

/// Each length tried is this much longer than the one before, until the verdict falls.
const STEP: f64 = 1.1;

/// The answer is found to this part of itself, closer than any drive is planned.
const CLOSENESS: f64 = 1e-3;

/// What no further driving removes: the standard uncertainties that a very long drive would still leave.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Floor {
    /// Of `ln R`; no unit.
    pub u_ln_ratio: f64,
    /// Of the offset, in m/s.
    pub u_offset_m_per_s: f64,
}

/// The further distance after which the verdict would fall if the best values stay as they are.
///
/// Assumed: above their floors both variances fall with the distance driven, `u^2 = floor^2 + c / distance`,
/// and their correlation and degrees of freedom stay. Zero when the verdict has fallen already; `None` when
/// it would not fall within [`MOST_TIMES_FURTHER`] times the distance, or when nothing was driven.
pub fn distance_still_needed(
    rule: &Rule,
    model: &ReadingModel,
    driven: Length,
    floor: Floor,
    maximum_speed: Option<Speed>,
) -> Option<Length> {
    if !(driven.m() > 0.0 && driven.m().is_finite() && model.is_usable()) {
        return None;
    }
    let decided = |times: f64| {
        let later = after(model, floor, times);
        conformity(rule, &later, maximum_speed).verdict != Verdict::Undecided
    };
    if decided(1.0) {
        return Some(Length::from_m(0.0));
    }
    let mut from = 1.0;
    while !decided(from * STEP) {
        from *= STEP;
        if from > MOST_TIMES_FURTHER {
            return None;
        }
    }
    Some(driven * (halved(decided, from, from * STEP) - 1.0))
}

/// Closes in on where the verdict falls between `from` (not yet) and `to` (fallen).
fn halved(decided: impl Fn(f64) -> bool, mut from: f64, mut to: f64) -> f64 {
    while to - from > CLOSENESS * (to - 1.0) {
        let middle = 0.5 * (from + to);
        if decided(middle) { to = middle } else { from = middle }
    }
    to
}

/// The same best values with the uncertainty of a drive so many times as long.
fn after(model: &ReadingModel, floor: Floor, times: f64) -> ReadingModel {
    let u_ln_ratio = fallen(model.u_ln_ratio, floor.u_ln_ratio, times);
    let u_offset_m_per_s = fallen(model.u_offset_m_per_s, floor.u_offset_m_per_s, times);
    let covariance_m_per_s = model.correlation() * u_ln_ratio * u_offset_m_per_s;
    ReadingModel { u_ln_ratio, u_offset_m_per_s, covariance_m_per_s, ..*model }
}

fn fallen(u: f64, floor: f64, times: f64) -> f64 {
    let lasting = (floor * floor).min(u * u);
    (lasting + (u * u - lasting) / times).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::find;

    /// z at 95 % one-sided: 1.6448536269514722 (scipy 1.16.3, norm.ppf(0.95)).
    const Z_95: f64 = 1.644_853_626_951_472_2;

    fn miles(rule: &str, ln_ratio: f64, u: f64, floor: f64) -> Option<f64> {
        let model = ReadingModel::of_ratio(ln_ratio, u, f64::INFINITY);
        let floor = Floor { u_ln_ratio: floor, u_offset_m_per_s: 0.0 };
        distance_still_needed(&find(rule).unwrap(), &model, Length::from_mi(10.0), floor, None)
            .map(|length| length.mi())
    }

    #[track_caller]
    fn check(found: Option<f64>, expected_mi: f64) {
        let found = found.unwrap();
        assert!((found / expected_mi - 1.0).abs() < 2.0 * CLOSENESS, "{found} {expected_mi}");
    }

    #[test]
    fn agrees_with_the_one_sided_algebra() {
        // Far from the other edge: needed u = gap / z, so distance = 10 mi x (u / needed)^2, less the 10
        // driven.
        let gap = 1.04_f64.ln() - 1.03_f64.ln();
        check(miles("odometer-4", 1.03_f64.ln(), 0.012, 0.0), 10.0 * ((0.012 * Z_95 / gap).powi(2) - 1.0));
        // Outside by the same law.
        let gap = 1.05_f64.ln() - 1.04_f64.ln();
        check(miles("odometer-4", 1.05_f64.ln(), 0.012, 0.0), 10.0 * ((0.012 * Z_95 / gap).powi(2) - 1.0));
        // With a floor: (u^2 - f^2) / times + f^2 = needed^2.
        let (needed, floor) = (gap / Z_95, 0.004);
        let times = (0.012_f64.powi(2) - floor * floor) / (needed * needed - floor * floor);
        check(miles("odometer-4", 1.05_f64.ln(), 0.012, floor), 10.0 * (times - 1.0));
    }

    #[test]
    fn nothing_is_needed_when_the_verdict_has_fallen() {
        assert_eq!(miles("odometer-4", 0.0, 0.001, 0.0), Some(0.0));
        assert_eq!(miles("odometer-4", 0.1, 0.001, 0.0), Some(0.0));
    }

    #[test]
    fn says_when_driving_will_not_settle_it() {
        assert_eq!(miles("odometer-4", 1.04_f64.ln(), 0.01, 0.0), None, "on the very edge");
        assert_eq!(miles("odometer-4", 1.035_f64.ln(), 0.01, 0.009), None, "the floor is too high");
        assert_eq!(miles("odometer-4", f64::NAN, 0.01, 0.0), None);
        let model = ReadingModel::of_ratio(0.03, 0.012, f64::INFINITY);
        let rule = find("odometer-4").unwrap();
        assert_eq!(distance_still_needed(&rule, &model, Length::from_m(0.0), Floor::default(), None), None);
    }

    #[test]
    fn an_offset_that_stays_uncertain_is_not_driven_away() {
        let model = ReadingModel {
            u_offset_m_per_s: 0.45,
            ..ReadingModel::of_ratio(1.03_f64.ln(), 0.01, f64::INFINITY)
        };
        let rule = find("un-r39").unwrap();
        let needed = |u_offset_m_per_s| {
            let floor = Floor { u_ln_ratio: 0.0, u_offset_m_per_s };
            distance_still_needed(&rule, &model, Length::from_mi(10.0), floor, None)
        };
        assert_eq!(needed(0.45), None);
        assert!(needed(0.0).is_some());
    }
}
