//! Lengths that are exact to half of their last digit only, where that half matters.

use super::error_model::{DAY_U, LOADED_RADIUS_U, SLOW_ROLL_U};
use super::hand::{Said, relative};
use crate::describe::evidence::{Evidence, EvidenceKind};
use crate::problem::Problem;
use metrology::quantity::Ratio;

/// From this share of the variance of its piece the last digit is most of what is uncertain in it.
const MOST: f64 = 0.5;

/// Says where the last digit of a typed length is most of what is uncertain in a piece of evidence.
pub(super) fn note(source: &str, evidence: &Evidence, said: &Said) -> Option<Problem> {
    if evidence.measured_to_nearest.is_some() {
        return None;
    }
    let lengths = evidence.kind.measured_lengths();
    let tries = lengths.len() as f64;
    let coarsest = lengths
        .iter()
        .filter(|(_, typed)| typed.standard_uncertainty.is_none())
        .map(|(part, typed)| (*part, *typed, relative(typed) / tries.sqrt()))
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    let (part, typed, u) = coarsest;
    let all = said.u.hypot(shared(&evidence.kind));
    if u * u < MOST * all * all {
        return None;
    }
    let half = Ratio::from_plain((typed.resolution / typed.value).abs() / 2.0).percent();
    let found = format!(
        "one taken as exact to half of its last digit, {half:.1} % of it: most of what is uncertain here"
    );
    let hint = "write the digits it was measured to, as 1.000 mi, how sure it is, as 1 mi +/- 5 ft, or to the nearest what it was measured, as measured_to_nearest = \"10 ft\"";
    let problem = Problem::note(source, "a length to the digits it was measured to", found);
    Some(problem.at_line(evidence.line).in_part(format!("[[evidence]] {part}")).hint(hint))
}

/// What a piece shares with others is uncertain in it too.
fn shared(kind: &EvidenceKind) -> f64 {
    match kind {
        EvidenceKind::LoadedRadius { .. } => LOADED_RADIUS_U,
        EvidenceKind::Rollout { .. } => SLOW_ROLL_U,
        _ => DAY_U,
    }
}

#[cfg(test)]
mod tests {
    use crate::describe::vehicle::Vehicle;
    use crate::measure::fusion::fuse;

    fn check(evidence: &str, expected: &str) {
        let text = format!("[tire]\nsize = \"LT265/75R16\"\n[[evidence]]\n{evidence}");
        let (vehicle, problems) = Vehicle::read("test", &text);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        let problems = fuse("test", &vehicle, Vec::new()).1;
        let notes: Vec<String> = problems.iter().map(ToString::to_string).collect();
        let digit: Vec<&String> = notes.iter().filter(|note| note.contains("last digit")).collect();
        assert_eq!(digit.is_empty(), expected.is_empty(), "{evidence}: {notes:?}");
        assert!(digit.iter().all(|note| note.contains(expected)), "{evidence}: {digit:?}");
    }

    #[test]
    fn a_last_digit_that_matters_is_said() {
        let odometer = |truth: &str| {
            format!("kind = \"odometer-distance\"\nindicated = \"10.30 mi\"\ntrue = \"{truth}\"\n")
        };
        // Half a mile of ten is 5 %.
        check(
            &odometer("10 mi"),
            "[[evidence]] true: expected a length to the digits it was measured to; found one taken as exact to half of its last digit, 5.0 %",
        );
        check(&odometer("10.00 mi"), "");
        check(&odometer("10 mi +/- 0.01 mi"), "");
        // What it was measured to is said, be it fine or coarse.
        check(&(odometer("10 mi") + "measured_to_nearest = \"10 ft\"\n"), "");
        check(&(odometer("10 mi") + "measured_to_nearest = \"1 mi\"\n"), "");
        let timed = |distance: &str| {
            format!("kind = \"timed-mile\"\nindicated = \"60 mph\"\nseconds = [61.0, 61.2]\n{distance}")
        };
        check(&timed("distance = \"1 mi\"\n"), "50.0 %");
        check(&timed("distance = \"1.000 mi\"\n"), "");
        // The mile that is not typed is one by definition.
        check(&timed(""), "");
        check("kind = \"rollout\"\nturns = 1\nlength = \"3 m\"\n", "[[evidence]] length");
        check("kind = \"rollout\"\nturns = 5\nlength = \"12.55 m\"\n", "");
        // A tenth of an inch is 0.2 %, and the factor on it 1.2 %.
        check("kind = \"loaded-radius\"\nradius = \"14.6 in\"\n", "");
        check("kind = \"loaded-radius\"\nradius = \"14 in\"\n", "[[evidence]] radius");
    }
}
