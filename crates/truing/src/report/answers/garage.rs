//! One truck among others, in one line.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::record::{Entry, Proved, VehicleState};
use crate::report::words::{held_back_by, owners_word_mark};
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// A truck as it stands in the garage.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GarageLine {
    /// How far off it reads.
    pub reads: String,
    /// Writes left, where something can be set.
    pub writes_left: Option<String>,
    /// Whether the present setting was proved.
    pub proved: String,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// All in one line: "reads 3.1 % slow, 5 writes left, unproved".
    pub line: String,
}

impl GarageLine {
    /// From what the file and its evidence say, and the entries of the record that matter. What was measured goes before
    /// what was once recorded; of writes the record knows more than the file.
    pub fn new(vehicle: &Vehicle, estimate: &VehicleEstimate, entries: &[Entry]) -> Self {
        let state = VehicleState::from_entries(entries);
        let measured = estimate.over_all.distance_ratio.as_ref().or(estimate.over_all.needle_ratio.as_ref());
        let reads = measured.or(state.ratio.as_ref()).map_or("reading not known yet".to_string(), reads);
        let in_file = vehicle.adjusters.iter().find_map(|adjuster| adjuster.writes_left).map(u64::from);
        let writes_left = state.writes_left.or(in_file).map(|left| match left {
            1 => "1 write left".to_string(),
            many => format!("{many} writes left"),
        });
        let proved = match &state.proved {
            Proved::No => "unproved".to_string(),
            Proved::Yes { rule, verdict, owners_word, .. } => {
                format!("{verdict} against {rule}{}", owners_word_mark(*owners_word))
            }
        };
        let parts = [Some(reads.clone()), writes_left.clone(), Some(proved.clone())];
        let line = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        Self { reads, writes_left, proved, held_back_by: held_back_by(&vehicle.faults), line }
    }
}

/// How far off, in as many digits as one remembers.
fn reads(ratio: &Measured<Ratio>) -> String {
    let percent = 100.0 * (ratio.value.plain() - 1.0);
    let half = 50.0 * (ratio.high_95.plain() - ratio.low_95.plain());
    if percent.abs() < half {
        return format!("reads true within {:.1} %", percent.abs() + half);
    }
    format!("reads {:.1} % {}", percent.abs(), if percent < 0.0 { "slow" } else { "fast" })
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Quantity;

    #[test]
    fn as_many_digits_as_one_remembers() {
        let check = |value: f64, u: f64, expected: &str| {
            let ratio = Measured::symmetric(Ratio::from_plain(value), Ratio::from_si(u), f64::INFINITY);
            assert_eq!(reads(&ratio), expected);
        };
        check(0.969, 0.002, "reads 3.1 % slow");
        check(1.0312, 0.002, "reads 3.1 % fast");
        // 0.1 % off and 1.96 times 0.2 % to either side: 0.49 % at most.
        check(1.001, 0.002, "reads true within 0.5 %");
    }
}
