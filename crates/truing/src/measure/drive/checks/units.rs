//! Ratios that look like one unit taken for another.

use crate::problem::Problem;
use metrology::quantity::{Length, METRES_PER_MILE, Speed};

/// Few logs have this unit, and axles and tires come near to slips with it: one is named only where the ratio is this near.
const FEET: &str = "ft/s";
const FEET_WITHIN: f64 = 0.03;

/// Units of speed as logs have them, and one of each.
fn units() -> [(&'static str, Speed); 5] {
    [
        ("km/h", Speed::from_km_per_h(1.0)),
        ("mph", Speed::from_mi_per_h(1.0)),
        ("knots", Speed::from_knots(1.0)),
        ("m/s", Speed::from_m_per_s(1.0)),
        (FEET, Speed::from_m_per_s(Length::from_ft(1.0).m())),
    ]
}

/// A truck is rarely further off than this; a ratio within it of a unit slip is suspect.
const UNIT_SLIP_WITHIN: f64 = 0.12;
/// Ratios that another axle and other tires together may make (judgement).
const BELIEVED: std::ops::Range<f64> = 0.5..2.0;
/// Knots and miles an hour are 15 % apart, which axles and tires can be as well: such a slip is told only where it fits to
/// within the uncertainty, and that is no more than this (standard uncertainty of the ratio).
const NARROW_U: f64 = 1e-3;
/// A mile taken for this many metres in a logger's arithmetic.
pub const SHORT_MILE_M: f64 = 1600.0;

/// One unit taken for another: what was read as what, and the ratio that a true speedometer would show.
fn slips() -> impl Iterator<Item = (&'static str, &'static str, f64)> {
    let pairs = units().into_iter().flat_map(|is| units().map(|taken| (is, taken)));
    pairs
        .filter(|(is, taken)| is.0 != taken.0)
        .map(|(is, taken)| (is.0, taken.0, taken.1.m_per_s() / is.1.m_per_s()))
}

/// Factors between units of speed: none, and each taken for each other.
pub fn unit_factors() -> impl Iterator<Item = f64> {
    std::iter::once(1.0).chain(slips().map(|(_, _, factor)| factor))
}

/// The unit slips that a ratio is near to, the nearest first.
fn near_slips(ratio: f64) -> Vec<(&'static str, &'static str, f64)> {
    let apart = |slip: f64| (ratio / slip - 1.0).abs();
    let within = |units: [&str; 2]| if units.contains(&FEET) { FEET_WITHIN } else { UNIT_SLIP_WITHIN };
    let mut near: Vec<_> = slips().filter(|(is, taken, slip)| apart(*slip) < within([is, taken])).collect();
    near.sort_by(|one, other| apart(one.2).total_cmp(&apart(other.2)));
    near
}

/// The unit slip that a ratio is nearest to, where one is near: what was taken for what.
pub fn likely_slip(ratio: f64) -> Option<(&'static str, &'static str)> {
    near_slips(ratio).first().map(|(is, taken, _)| (*is, *taken))
}

/// A ratio that no tires and no axle make, and that is no unit slip.
fn far_from_true(source: &str, ratio: f64) -> Option<Problem> {
    let tens = ratio.log10().round();
    let (guess, hint) = if tens != 0.0 && (ratio.log10() - tens).abs() < UNIT_SLIP_WITHIN {
        let guess = format!(", which looks like speeds written {} times too large", 10f64.powf(tens));
        (guess, "tenths or hundredths without their decimal mark? export the log again, or repair it")
    } else if !BELIEVED.contains(&ratio) {
        (
            String::new(),
            "check that both files are from the same drive, and the unit and column of each speed and position",
        )
    } else {
        return None;
    };
    let found = format!("{ratio:.3}{guess}");
    Some(Problem::warning(source, "a reading ratio near 1", found).hint(hint))
}

/// Whether a ratio is that of one unit taken for another that lies far from it, or of no truck at all.
pub fn is_suspect(ratio: f64) -> bool {
    near_slips(ratio).iter().any(|(_, _, slip)| is_wide(*slip)) || far_from_true("", ratio).is_some()
}

/// Axles and tires do not come near to such a slip by themselves.
fn is_wide(slip: f64) -> bool {
    (slip - 1.0).abs() > 2.0 * UNIT_SLIP_WITHIN
}

/// What is to be said of a ratio near a unit slip.
pub fn problems(source: &str, ratio: f64, u: f64) -> Vec<Problem> {
    let mut problems = Vec::new();
    let near: Vec<_> = near_slips(ratio).into_iter().filter(|(_, _, slip)| is_wide(*slip)).collect();
    if !near.is_empty() {
        let told: Vec<String> = near
            .iter()
            .map(|(is, taken, slip)| format!("{is} taken for {taken} (a factor of {slip:.4})"))
            .collect();
        let found = format!("{ratio:.3}, which looks like {}", told.join(" or of "));
        problems.push(
            Problem::warning(source, "a reading ratio near 1", found)
                .hint("check the unit of both speed columns"),
        );
    }
    if near.is_empty() {
        problems.extend(far_from_true(source, ratio));
    }
    let short = SHORT_MILE_M / METRES_PER_MILE;
    let mut narrow = vec![
        ("1.6 taken for 1.609 in a speed turned into km/h".to_owned(), short),
        ("the same in one turned into mph".to_owned(), 1.0 / short),
    ];
    let close = slips().filter(|(_, _, slip)| !is_wide(*slip));
    narrow.extend(close.map(|(is, taken, slip)| (format!("{is} taken for {taken}"), slip)));
    for (what, slip) in narrow {
        let fits = (ratio - slip).abs() < 2.0 * u && (ratio - 1.0).abs() > 2.0 * u;
        if fits && u < NARROW_U {
            let found = format!("{ratio:.4}, which a sound speedometer would show with {what} ({slip:.4})");
            let note = Problem::note(source, "a reading ratio of its own", found);
            problems.push(note.hint("it may be chance; if the logger can log in its own unit, compare"));
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(ratio: f64, u: f64, expected: &[&str]) {
        let told: Vec<String> = problems("log", ratio, u).iter().map(ToString::to_string).collect();
        assert_eq!(told.len(), expected.len(), "{told:?}");
        assert!(told.iter().zip(expected).all(|(told, part)| told.contains(part)), "{told:?}");
    }

    #[test]
    fn unit_slips() {
        check(1.62, 1e-3, &["looks like km/h taken for mph"]);
        check(0.63, 1e-3, &["looks like mph taken for km/h"]);
        check(3.7, 1e-3, &["looks like km/h taken for m/s"]);
        check(
            0.53,
            1e-3,
            &["looks like knots taken for km/h (a factor of 0.5400) or of m/s taken for knots"],
        );
        check(9.5, 1e-2, &["speeds written 10 times too large"]);
        check(57.0, 1e-2, &["found 57.000. check that both files"]);
        check(0.0104, 1e-5, &["speeds written 0.01 times too large"]);
        check(2.26, 1e-3, &["looks like mph taken for m/s"]);
        // 5280 ft and 3600 s make 1.46667; 0.3048 m a foot.
        check(1.47, 1e-3, &["looks like ft/s taken for mph (a factor of 1.4667)"]);
        check(3.25, 1e-3, &["looks like ft/s taken for m/s (a factor of 3.2808)"]);
        check(1.36, 1e-3, &[]);
        // 0.3048 · 3.6 = 1.09728.
        check(1.0972, 5e-4, &["with km/h taken for ft/s"]);
        // 1852 / 1609.344 = 1.15078.
        check(1.151, 5e-4, &["with mph taken for knots (1.1508)"]);
        check(0.869, 5e-4, &["with knots taken for mph"]);
        check(1.151, 2e-3, &[]);
        check(1.14, 5e-4, &[]);
        // 1600 / 1609.344 = 0.99419.
        check(0.9943, 5e-4, &["1.6 taken for 1.609 in a speed turned into km/h"]);
        check(1.0057, 5e-4, &["the same in one turned into mph"]);
        check(0.9943, 4e-3, &[]);
        check(1.0, 5e-4, &[]);
        check(1.04, 5e-4, &[]);
    }
}
