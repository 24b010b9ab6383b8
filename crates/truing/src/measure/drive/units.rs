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

/// Warns of a ratio near a unit slip.
pub(super) fn warn_of_units(study: &mut Study, ratio: f64) {
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
