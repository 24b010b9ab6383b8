//! What could be measured next, what it costs, and what it would leave uncertain.

use super::reason::Reason;
use crate::describe::chain::Transport;
use crate::describe::chain::reader::Takes;
use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{NEEDLE_U, VehicleEstimate};
use crate::nearest::nearest;
use crate::problem::Problem;
use metrology::quantity::{Duration, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// What an owner can measure.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum MeasurementKind {
    /// A drive with a GPS track and the vehicle's own speed log.
    DriveWithLog,
    /// Ten miles by GPS track with the odometer read at both ends.
    OdometerByTrack,
    /// The odometer over ten miles of marker posts.
    OdometerByPosts,
    /// Six speeds called out on a drive with a GPS track.
    CalledSpeeds,
    /// A measured mile by stopwatch, three runs.
    TimedMile,
    /// Five turns of a wheel with chalk and tape.
    Rollout,
    /// The height of the wheel's centre above the ground.
    LoadedRadius,
}

impl MeasurementKind {
    /// Every one.
    pub const ALL: [Self; 7] = [
        Self::DriveWithLog,
        Self::OdometerByTrack,
        Self::OdometerByPosts,
        Self::CalledSpeeds,
        Self::TimedMile,
        Self::Rollout,
        Self::LoadedRadius,
    ];

    /// The word by which one asks for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::DriveWithLog => "drive-with-log",
            Self::OdometerByTrack => "odometer-by-track",
            Self::OdometerByPosts => "odometer-by-posts",
            Self::CalledSpeeds => "called-speeds",
            Self::TimedMile => "timed-mile",
            Self::Rollout => "rollout",
            Self::LoadedRadius => "loaded-radius",
        }
    }

    /// The one of that word.
    pub fn named(word: &str) -> Result<Self, Problem> {
        let all = Self::ALL.map(Self::word);
        Self::ALL.into_iter().find(|kind| kind.word() == word).ok_or_else(|| {
            let problem = Problem::error("measurement", format!("one of {}", all.join(", ")), word);
            match nearest(word, all) {
                Some(meant) => problem.hint(format!("Did you mean {meant}?")),
                None => problem,
            }
        })
    }
}

/// A measurement that an owner could make.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// What is measured, and how.
    pub kind: MeasurementKind,
    /// Time it takes, set-up and reading included.
    pub takes: Duration,
    /// Standard uncertainty of ln R from it alone.
    pub u_ln_ratio: Ratio,
    /// What it asks of the truck.
    pub activity: Activity,
}

/// What the dial itself adds to a figure found with it, for a choice that is to make the odometer true.
const BY_THE_DIAL: f64 = NEEDLE_U;

/// What can be measured on any truck. The uncertainties are what each leaves alone: a drive by what the whole-round simulations
/// reach; an odometer distance by the two readings of a tenth-mile wheel over ten miles (0.1 mi / sqrt 6 / 10 mi), with posts set
/// to 0.1 % (judgement); called-out speeds by six readings within 0.5 mph and the dial's rest within 1 mph at 45 mph, from which
/// a fit with an offset leaves about 0.7 % (judgement); a stopwatch by 0.3 s in a minute and a dial read within 0.5 mph, three
/// runs; a rollout by its slow roll; a loaded radius by 5 mm in 350 mm and by what a radius says of a circumference (judgement).
pub fn every_measurement(make_true: MakeTrue) -> Vec<Measurement> {
    use Activity::{Bench, Drive, Rollout};
    let of = |kind, minutes, u, activity| Measurement {
        kind,
        takes: Duration::from_min(minutes),
        u_ln_ratio: Ratio::from_plain(u),
        activity,
    };
    let by_dial = |u: f64| match make_true {
        MakeTrue::Needle => u,
        MakeTrue::Distance => f64::hypot(u, BY_THE_DIAL),
    };
    let by_odometer = |u: f64| match make_true {
        MakeTrue::Needle => f64::hypot(u, BY_THE_DIAL),
        MakeTrue::Distance => u,
    };
    vec![
        of(MeasurementKind::DriveWithLog, 30.0, by_odometer(0.002), Drive),
        of(MeasurementKind::OdometerByTrack, 25.0, by_odometer(0.0042), Drive),
        of(MeasurementKind::OdometerByPosts, 25.0, by_odometer(0.0043), Drive),
        of(MeasurementKind::CalledSpeeds, 30.0, by_dial(0.007), Drive),
        of(MeasurementKind::TimedMile, 20.0, by_dial(0.008), Drive),
        of(MeasurementKind::Rollout, 20.0, 0.0037, Rollout),
        of(MeasurementKind::LoadedRadius, 5.0, 0.02, Bench),
    ]
}

/// The measurements that can be made, the held back ones apart with the faults that hold them.
pub fn within_reach<'v>(
    vehicle: &'v Vehicle,
    estimate: &VehicleEstimate,
) -> (Vec<Measurement>, Vec<(Measurement, Vec<&'v Fault>)>) {
    let mut free = Vec::new();
    let mut held = Vec::new();
    let fits = |measurement: &Measurement| {
        measurement.kind != MeasurementKind::DriveWithLog || can_be_logged(vehicle) != Some(false)
    };
    for measurement in every_measurement(vehicle.usage.make_true).into_iter().filter(fits) {
        // What is done on the spot tells N; R follows only where counts per turn and the constant's convention are known.
        let tells = measurement.activity == Activity::Drive
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

/// Whether the vehicle's own speed can be logged: what the owner says; never on a cable, and not known else.
fn can_be_logged(vehicle: &Vehicle) -> Option<bool> {
    let turns = vehicle.readers.iter().any(|reader| matches!(reader.takes, Some(Takes::Turns(_))));
    let on_cable = turns || vehicle.chain.transport == Transport::Cable;
    vehicle.usage.vehicle_log.or(on_cable.then_some(false))
}

/// What is to be asked of a measurement that may not fit the truck.
pub fn ask(vehicle: &Vehicle, kind: MeasurementKind) -> Option<Reason> {
    let unsaid = kind == MeasurementKind::DriveWithLog && can_be_logged(vehicle).is_none();
    unsaid.then_some(Reason::MayHaveNoLog)
}
