//! What to heed before something is measured or changed, said where it is done.

use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use crate::report::answers::faults::OpenFault;
use crate::report::answers::pulses::TAP_CAUTION;
use crate::report::words::listed_or;

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
    let (text, activities): (&str, &[Activity]) = match kind {
        "drive" | "hold" | "timed-mile" | "odometer-distance" | "shaft-speed" | "engine-speed" => {
            (DRIVE, &[Activity::Drive, Activity::DriveInTheDark])
        }
        "rollout" | "loaded-radius" => (ROLLOUT, &[Activity::Rollout]),
        "shaft-turns" => (STANDS, &[Activity::RunningOnStands]),
        "pulses" => (TAP_CAUTION, &[]),
        "tone-ring" => (RING, &[]),
        _ => return Vec::new(),
    };
    let held = activities.iter().filter_map(|activity| not_while(*activity, &held_back(faults, *activity)));
    held.chain([text.to_string()]).collect()
}

fn not_while(activity: Activity, open: &[&Fault]) -> Option<String> {
    let open: Vec<String> = open.iter().map(|fault| fault.touches.to_string()).collect();
    let when = if activity == Activity::DriveInTheDark { "Not in the dark" } else { "Not" };
    (!open.is_empty()).then(|| {
        format!(
            "{when} while these faults are open: {}. What is already recorded can be read.",
            open.join(", ")
        )
    })
}

/// Every open fault and what it holds back, in one sentence; none where no fault is open.
pub fn of_faults(open: &[OpenFault]) -> Option<String> {
    let says: Vec<&str> = open.iter().map(|fault| fault.says.as_str()).collect();
    let (these, are) = if open.len() == 1 { ("this fault", "is") } else { ("these faults", "are") };
    if says.is_empty() {
        return None;
    }
    let mut held: Vec<(Vec<&str>, Vec<&str>)> = Vec::new();
    for activity in Activity::HELD_BACK {
        let mut by: Vec<&str> = open
            .iter()
            .filter(|fault| fault.holds_back.contains(&activity))
            .map(|f| f.touches.as_str())
            .collect();
        by.dedup();
        let Some(words) = done(activity).filter(|_| !by.is_empty()) else { continue };
        match held.iter_mut().find(|(same, _)| *same == by) {
            Some((_, all)) => all.push(words),
            None => held.push((by, vec![words])),
        }
    }
    let because = |by: &[&str]| if open.len() == 1 { String::new() } else { format!(" ({})", by.join(", ")) };
    let held: Vec<String> =
        held.iter().map(|(by, all)| format!("{}{}", listed_or(all), because(by))).collect();
    let drives = open.iter().any(|fault| fault.holds_back.contains(&Activity::Drive));
    let recorded = if drives { " Recorded drives are read all the same." } else { "" };
    let all: Vec<&str> = held.iter().map(String::as_str).collect();
    Some(match all.is_empty() {
        true if says.len() == 1 => format!("Open fault: {}.", says.join(", ")),
        true => format!("Open faults: {}.", says.join(", ")),
        false => {
            format!("Do not {} while {these} {are} open: {}.{recorded}", listed_or(&all), says.join(", "))
        }
    })
}

/// Every open fault with what it holds back, as short as a list of trucks has room for; none where no fault is open.
pub fn in_short(open: &[OpenFault]) -> Option<String> {
    let one = |fault: &OpenFault| {
        let held: Vec<&str> = fault.holds_back.iter().filter_map(|activity| not(*activity)).collect();
        if held.is_empty() { fault.says.clone() } else { format!("{}: {}", fault.says, held.join(", ")) }
    };
    let all: Vec<String> = open.iter().map(one).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// What is not to be done, in a few words.
fn not(activity: Activity) -> Option<&'static str> {
    Some(match activity {
        Activity::Drive => "no test drive",
        Activity::Rollout => "no rolling by hand",
        Activity::RunningOnStands => "no wheels on stands",
        Activity::IdleIndoors => "no idling indoors",
        Activity::DriveInTheDark => "not in the dark",
        Activity::ReadRecordedDrive | Activity::Bench => return None,
    })
}

/// What is not to be done, after "do not".
fn done(activity: Activity) -> Option<&'static str> {
    Some(match activity {
        Activity::Drive => "take this truck on a test drive",
        Activity::Rollout => "roll it by hand",
        Activity::RunningOnStands => "run the wheels on stands",
        Activity::IdleIndoors => "let the engine idle indoors",
        Activity::DriveInTheDark => "drive in the dark",
        Activity::ReadRecordedDrive | Activity::Bench => return None,
    })
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
        check(
            "drive",
            Some(Touches::Lights),
            &["Not in the dark while these faults are open: lights", "second"],
        );
        check("shaft-turns", Some(Touches::Exhaust), &["exhaust", "never on jacks"]);
        check("rollout", Some(Touches::Seat), &["Chock"]);
        check("rollout", Some(Touches::Steering), &["steering", "Chock"]);
        check("shaft-turns", Some(Touches::Driveline), &["driveline", "never on jacks"]);
        check("pulses", Some(Touches::Brakes), &["attenuate"]);
        check("tone-ring", None, &["anti-lock"]);
        check("published", Some(Touches::Brakes), &[]);
    }

    #[test]
    fn each_open_fault_in_a_few_words() {
        let fault = |touches, note: &str| Fault { touches, note: note.into(), mended: false, line: 1 };
        let check = |faults: &[Fault], expected: Option<&str>| {
            assert_eq!(in_short(&OpenFault::all(faults)).as_deref(), expected);
        };
        check(&[], None);
        check(
            &[fault(Touches::Brakes, "pedal soft"), fault(Touches::Other, "clock stopped")],
            Some("brakes (pedal soft): no test drive, no rolling by hand; other (clock stopped)"),
        );
        check(&[fault(Touches::Lights, "")], Some("lights: not in the dark"));
        check(&[Fault { mended: true, ..fault(Touches::Brakes, "") }], None);
    }

    #[test]
    fn every_open_fault_stands_in_one_sentence_with_what_it_holds_back() {
        let check = |open: &[(Touches, &str)], expected: Option<&str>| {
            let fault = |(touches, note): &(Touches, &str)| Fault {
                touches: *touches,
                note: (*note).into(),
                mended: false,
                line: 1,
            };
            let mut faults: Vec<Fault> = open.iter().map(fault).collect();
            faults.push(Fault { mended: true, ..fault(&(Touches::Brakes, "done")) });
            assert_eq!(of_faults(&OpenFault::all(&faults)).as_deref(), expected, "{open:?}");
        };
        check(&[], None);
        check(
            &[(Touches::Brakes, "pedal soft")],
            Some(
                "Do not take this truck on a test drive or roll it by hand while this fault is open: brakes (pedal soft). \
                 Recorded drives are read all the same.",
            ),
        );
        check(
            &[(Touches::Exhaust, "")],
            Some(
                "Do not run the wheels on stands or let the engine idle indoors while this fault is open: exhaust.",
            ),
        );
        check(
            &[(Touches::Seat, ""), (Touches::Lights, "left low beam"), (Touches::Other, "clock stopped")],
            Some(
                "Do not take this truck on a test drive (seat) or drive in the dark (lights) while these faults are open: \
                 seat, lights (left low beam), other (clock stopped). Recorded drives are read all the same.",
            ),
        );
        check(&[(Touches::Other, "clock stopped")], Some("Open fault: other (clock stopped)."));
    }
}
