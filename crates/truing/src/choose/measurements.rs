//! What could be measured next, what it costs, and what it would leave uncertain.

use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use metrology::quantity::{Duration, Ratio};

/// A measurement that an owner could make.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// What to do, in a few words.
    pub what: &'static str,
    /// Time it takes, set-up and reading included.
    pub takes: Duration,
    /// Standard uncertainty of ln R from it alone.
    pub u_ln_ratio: Ratio,
    /// What it asks of the truck.
    pub activity: Activity,
}

/// Uncertainties that each would leave: a drive by what the whole-round simulations reach, an odometer distance by the two
/// readings of a tenth-mile wheel over ten miles, a rollout by its slow roll, a timed mile by the dial.
fn all() -> [Measurement; 3] {
    [
        Measurement {
            what: "a 20-minute drive with a GPS track and the vehicle's own speed log",
            takes: Duration::from_min(30.0),
            u_ln_ratio: Ratio::from_plain(0.002),
            activity: Activity::Drive,
        },
        Measurement {
            what: "ten miles by GPS track with the odometer read at both ends",
            takes: Duration::from_min(25.0),
            u_ln_ratio: Ratio::from_plain(0.0042),
            activity: Activity::Drive,
        },
        Measurement {
            what: "a rollout of five turns with chalk and tape",
            takes: Duration::from_min(20.0),
            u_ln_ratio: Ratio::from_plain(0.0037),
            activity: Activity::Rollout,
        },
    ]
}

/// The measurements that can be made, the held back ones apart with the faults that hold them.
pub fn within_reach<'v>(
    vehicle: &'v Vehicle,
    estimate: &VehicleEstimate,
) -> (Vec<Measurement>, Vec<(Measurement, Vec<&'v Fault>)>) {
    let mut free = Vec::new();
    let mut held = Vec::new();
    for measurement in all() {
        // A rollout tells N; R follows only where counts per turn and the constant's convention are known.
        let tells = measurement.activity != Activity::Rollout
            || (estimate.over_all.counts.is_some() && estimate.over_all.revs.is_some());
        if !tells {
            continue;
        }
        let faults = held_back(&vehicle.faults, measurement.activity);
        if faults.is_empty() {
            free.push(measurement);
        } else {
            held.push((measurement, faults));
        }
    }
    (free, held)
}
