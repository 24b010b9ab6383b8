//! What to heed before something is measured or changed, said where it is done.

use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use crate::report::answers::pulses::TAP_CAUTION;

/// For everything that is read while the truck rolls on a road.
const DRIVE: &str = "A second person reads the instruments and calls out; the driver watches the road. A dial that reads slow means real \
     overspeed: pick speeds that stay legal even if it reads a tenth too little.";
/// For everything that is rolled by hand.
const ROLLOUT: &str =
    "Level, hard ground, nobody in the way, and somebody at the brake. Chock the wheels while you measure.";
/// For everything on stands.
const STANDS: &str = "On stands and never on jacks, wheels that touch ground chocked, nobody under the truck; ignition off while you \
     turn things by hand, and fresh air where the engine runs.";
/// For a change at the ring.
const RING: &str = "The same ring may feed the anti-lock brakes or the transfer case: find out what else reads it before it is changed. \
     Near airbags: ignition off, negative lead off, and wait as the vehicle's service literature says.";

/// Cautions before a kind of evidence is taken or a kind of adjuster is touched, those for open faults first.
pub fn before(kind: &str, faults: &[Fault]) -> Vec<String> {
    let (text, activity) = match kind {
        "drive" | "hold" | "timed-mile" | "odometer-distance" | "shaft-speed" | "engine-speed" => {
            (DRIVE, Some(Activity::Drive))
        }
        "rollout" | "loaded-radius" => (ROLLOUT, Some(Activity::Rollout)),
        "shaft-turns" => (STANDS, Some(Activity::RunningOnStands)),
        "pulses" => (TAP_CAUTION, None),
        "tone-ring" => (RING, None),
        _ => return Vec::new(),
    };
    let held = activity.map(|activity| held_back(faults, activity)).unwrap_or_default();
    let open: Vec<String> = held.iter().map(|fault| fault.touches.to_string()).collect();
    let hold = (!open.is_empty()).then(|| {
        format!("Not while these faults are open: {}. What is already recorded can be read.", open.join(", "))
    });
    hold.into_iter().chain([text.to_string()]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::fault::Touches;

    fn check(kind: &str, touches: Option<Touches>, expected: &[&str]) {
        let fault = |touches| Fault { touches, note: String::new(), mended: false, line: 1 };
        let faults: Vec<Fault> = touches.into_iter().map(fault).collect();
        let said = before(kind, &faults);
        assert_eq!(said.len(), expected.len(), "{said:?}");
        for (text, piece) in said.iter().zip(expected) {
            assert!(text.contains(piece), "{piece} in {text}");
        }
    }

    #[test]
    fn each_stands_where_its_hazard_is() {
        check("drive", None, &["second person"]);
        check("hold", Some(Touches::Brakes), &["Not while these faults are open: brakes", "second person"]);
        check("rollout", Some(Touches::Seat), &["Chock"]);
        check("rollout", Some(Touches::Steering), &["steering", "Chock"]);
        check("shaft-turns", Some(Touches::Driveline), &["driveline", "never on jacks"]);
        check("pulses", Some(Touches::Brakes), &["attenuate"]);
        check("tone-ring", None, &["anti-lock"]);
        check("published", Some(Touches::Brakes), &[]);
    }
}
