//! Ratios that look like one unit taken for another.

use super::Study;
use crate::problem::Problem;
use metrology::quantity::METRES_PER_MILE;

/// Ratios that smell of a unit taken for another, and what they would be.
const UNIT_SLIPS: [(f64, &str); 4] = [
    (METRES_PER_MILE / 1000.0, "km/h taken for mph"),
    (1000.0 / METRES_PER_MILE, "mph taken for km/h"),
    (3.6, "km/h taken for m/s"),
    (1.0 / 3.6, "m/s taken for km/h"),
];
/// A truck is rarely further off than this; a ratio within it of a unit slip is suspect.
const UNIT_SLIP_WITHIN: f64 = 0.12;

/// A mile taken for this many metres in a logger's arithmetic, and how sure (standard uncertainty) a ratio has to be before
/// its nearness says anything.
const SHORT_MILE_M: f64 = 1600.0;
const SHORT_MILE_U: f64 = 1e-3;

/// Warns of a ratio near a unit slip.
pub(super) fn warn_of_units(study: &mut Study, ratio: f64, u: f64) {
    let short = SHORT_MILE_M / METRES_PER_MILE;
    for (slip, what) in [
        (short, "1.6 taken for 1.609 in a speed turned into km/h"),
        (1.0 / short, "the same in one turned into mph"),
    ] {
        let near = (ratio - slip).abs() < 2.0 * u && (ratio - 1.0).abs() > 2.0 * u;
        if near && u < SHORT_MILE_U {
            let found = format!("{ratio:.4}, which a sound speedometer would show with {what} ({slip:.4})");
            let note = Problem::note(study.source, "a reading ratio of its own", found);
            study
                .problems
                .push(note.hint("it may be chance; if the logger can log in its own unit, compare"));
        }
    }
    for (slip, what) in UNIT_SLIPS {
        if (ratio / slip - 1.0).abs() < UNIT_SLIP_WITHIN {
            let found = format!("{ratio:.3}, which smells of {what} (a factor of {slip:.4})");
            study.problems.push(
                Problem::warning(study.source, "a reading ratio near 1", found)
                    .hint("check the unit of both speed columns"),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::truth::Truth;
    use super::super::{Points, Study};
    use super::*;
    use crate::logs::Clock;

    fn check(ratio: f64, u: f64, expected: &[&str]) {
        let (clocks, points) = ((Clock::None, Clock::None), Points::default());
        let mut study =
            Study { source: "log", truth: Truth::default(), points, problems: Vec::new(), clocks };
        warn_of_units(&mut study, ratio, u);
        let told: Vec<String> = study.problems.iter().map(ToString::to_string).collect();
        assert_eq!(told.len(), expected.len(), "{told:?}");
        assert!(told.iter().zip(expected).all(|(told, part)| told.contains(part)), "{told:?}");
    }

    #[test]
    fn unit_slips() {
        check(1.62, 1e-3, &["smells of km/h taken for mph"]);
        check(0.63, 1e-3, &["smells of mph taken for km/h"]);
        check(3.7, 1e-3, &["smells of km/h taken for m/s"]);
        // 1600 / 1609.344 = 0.99419.
        check(0.9943, 5e-4, &["1.6 taken for 1.609 in a speed turned into km/h"]);
        check(1.0057, 5e-4, &["the same in one turned into mph"]);
        check(0.9943, 4e-3, &[]);
        check(1.0, 5e-4, &[]);
        check(1.04, 5e-4, &[]);
    }
}
