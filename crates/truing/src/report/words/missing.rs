//! What is not known of a truck yet, and what knowing it would bring.

use crate::describe::adjuster::AdjusterKind;
use crate::describe::vehicle::Vehicle;
use serde::Serialize;

/// Something that is not known yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// The section of the vehicle file that would hold it.
    pub section: &'static str,
    /// What it is.
    pub what: &'static str,
    /// What it would bring.
    pub brings: &'static str,
}

/// What is missing, the most useful first; nothing where all stages have what they need.
pub fn missing(vehicle: &Vehicle) -> Vec<Missing> {
    let reader_assumes = !vehicle.readers.is_empty() || !vehicle.adjusters.is_empty();
    let stepped = |kind: &AdjusterKind| matches!(kind, AdjusterKind::SteppedConstant(_));
    let writes_unknown = vehicle.adjusters.iter().any(|one| stepped(&one.kind) && one.writes_left.is_none());
    let all = [
        (vehicle.evidence.is_empty(), EVIDENCE),
        (vehicle.adjusters.is_empty(), ADJUSTER),
        (vehicle.tires.is_empty(), TIRE),
        (vehicle.chain.sensor_at.is_none(), CHAIN),
        (!reader_assumes, READER),
        (writes_unknown, WRITES),
    ];
    all.into_iter().filter(|(is_missing, _)| *is_missing).map(|(_, missing)| missing).collect()
}

const EVIDENCE: Missing = Missing {
    section: "evidence",
    what: "a drive, a rollout or two odometer readings",
    brings: "how far off it truly reads. Everything after that rests on it.",
};
const ADJUSTER: Missing = Missing {
    section: "adjuster",
    what: "what can be set, and what is set now",
    brings: "what to store, and whether that is worth a write. The old setting and one drive are enough for it.",
};
const TIRE: Missing = Missing {
    section: "tire",
    what: "the size printed on the tire",
    brings: "a first figure without a tape, and a check on every later one.",
};
const CHAIN: Missing = Missing {
    section: "chain",
    what: "where the sensor sits, and its teeth",
    brings: "pulses as evidence, the frequency at every point of the wire, and a warning when the truck has other parts than believed.",
};
const READER: Missing = Missing {
    section: "reader",
    what: "what the dial or odometer takes for a mile",
    brings: "a reading that can be predicted before anything is driven.",
};
const WRITES: Missing = Missing {
    section: "adjuster",
    what: "how many writes the module still accepts",
    brings: "advice that saves one for the next set of tires.",
};

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &[&str]) {
        let (vehicle, problems) = Vehicle::read("test", text);
        let found: Vec<&str> = missing(&vehicle.unwrap()).iter().map(|missing| missing.section).collect();
        assert_eq!(found, expected, "{problems:?}");
    }

    #[test]
    fn what_is_not_said_is_missing() {
        check("[tire]\nsize = \"LT265/75R16\"", &["evidence", "adjuster", "chain", "reader"]);
        check(
            "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\n[head]\ncounts_per_mile = 4000\n[[evidence]]\nkind = \"loaded-radius\"\nradius = \"15 in\"",
            &["adjuster", "tire"],
        );
        let adjuster =
            "[adjuster]\nkind = \"stepped-constant\"\nmin = 4\nmax = 12\nstep = 0.02\nbuttons = [\"up\"]";
        check(adjuster, &["evidence", "tire", "chain", "adjuster"]);
        check(&format!("{adjuster}\nwrites_left = 4"), &["evidence", "tire", "chain"]);
    }
}
