//! All evidence of a truck, fused: one adjustment for each hypothesis of what hardware it has, weighed by how well it explains
//! what was measured.
//!
//! Sources: generalised least squares in log space ([`metrology::adjust`]); Bayesian weights of models by their Gaussian
//! evidence (MacKay 2003, ch. 28).
//!
//! The model stands in `model` and `sums`, the error models in `error_model`, one equation for each kind of evidence in
//! `equations`, `hand` and `turned`. `docs/fusion.md` shows how well the intervals and probabilities hold.

mod alone;
mod alternatives;
mod conditions;
mod conflict;
mod digits;
mod equations;
mod error_model;
mod explain;
mod findings;
mod hand;
mod id;
mod mixture;
mod model;
mod order;
mod response;
mod slips;
mod sums;
mod turned;
mod weigh;

pub use alone::{Alone, each_alone, some_alone};
pub use alternatives::DOUBT;
pub use error_model::{DAY_U, NEEDLE_U};
pub(in crate::measure) use error_model::{PARALLAX_EACH_MPH, PARALLAX_SHARED_MPH};
pub use findings::{Alarm, Conflict, LikelySlip, Note, Remedy, Scatter, Unknowable};
pub use id::{Assumption, BeliefId, Day, PieceId, QuantityId, TireSetId, UnknownId, tire_sets};
pub use slips::{Slip, slip_in, slip_odds};
pub use sums::followed_slip;

use super::drive::{DiagnosisKind, DriveEstimate, share_offset_kind};
use crate::describe::chain::Link;
use crate::describe::vehicle::Vehicle;
use crate::problem::{Problem, Problems};
use metrology::adjust::LinearEstimate;
use metrology::measured::Measured;
use metrology::quantity::{METRES_PER_MILE, PerLength, Ratio};
use model::{Model, Sum};
use weigh::{Tested, Weighing};

/// The quantities that are asked of a truck.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quantities {
    /// Revolutions per mile of the mounted tires.
    pub revs: Option<Measured<PerLength>>,
    /// Counts per mile at the wire.
    pub counts: Option<Measured<PerLength>>,
    /// Odometer over true distance with the present setting.
    pub distance_ratio: Option<Measured<Ratio>>,
    /// Needle over true speed with the present setting.
    pub needle_ratio: Option<Measured<Ratio>>,
    /// Turns per mile of the propeller shaft; asked for where the file names the gears.
    pub shaft_turns: Option<Measured<PerLength>>,
}

/// A combination of hardware and how likely it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// What is assumed in it.
    pub label: String,
    /// Its probability, given the evidence.
    pub probability: Ratio,
}

/// What one piece of evidence did.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What it states.
    pub id: PieceId,
    /// Whether it was believed before anything was measured.
    pub is_prior: bool,
    /// Its share in the variance of the distance ratio; of the revolutions per mile where that is unknown.
    pub weight: Ratio,
    /// How far it lies from what the rest says, in its own deviations; none where nothing else speaks of it.
    pub normalised_residual: Option<f64>,
    /// The distance ratio that this piece alone would give beside the best of the rest, for drawing.
    pub leave_one_out: Option<Ratio>,
    /// Whether it only holds what disturbs a measurement around zero, and measures nothing.
    pub is_nuisance: bool,
    /// Its own relative standard uncertainty, what it shares with others left out.
    pub own_uncertainty: Ratio,
}

/// What is known of a truck.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleEstimate {
    /// Over all hypotheses.
    pub over_all: Quantities,
    /// For the most likely hypothesis alone.
    pub given_top: Quantities,
    /// The hypotheses, the most likely first. What the owner did not name is among them only where the evidence speaks
    /// against what was named.
    pub hypotheses: Vec<Weighed>,
    /// The evidence, as it stands in the most likely hypothesis.
    pub evidence: Vec<Piece>,
    /// Scatter beside what the uncertainties say; none without redundancy.
    pub birge_ratio: Option<f64>,
    /// By how much every uncertainty was widened for it.
    pub widening: f64,
    /// What cannot be known from what is given, and what would tell.
    pub unknowable: Vec<Unknowable>,
    /// For each answer what it was taken to be exactly or before any measurement, and moves with.
    pub hangs_on: Vec<(QuantityId, Vec<Assumption>)>,
    /// Which piece disagrees, where the evidence does not agree with itself.
    pub conflicts: Vec<Conflict>,
    /// What the owner believes and the evidence denies by 20 to 1 and more.
    pub alarms: Vec<Alarm>,
    /// What else is worth knowing.
    pub notes: Vec<Note>,
    /// Drives whose error is of a kind that no setting puts right: the place of the evidence in the file, and the kind.
    pub faults: Vec<(usize, DiagnosisKind)>,
    /// The drives that were read, by index of the evidence.
    pub drives: Vec<(usize, DriveEstimate)>,
}

/// How many quantities are asked for.
const ASKED_COUNT: usize = QuantityId::ALL.len();

/// The sums asked for, in the order of [`Quantities`], as everything is today.
fn asked(model: &mut Model) -> [Option<Sum>; ASKED_COUNT] {
    let revs = model.revs(None);
    let counts = model.counts_per_turn(None, |_| true).ok().map(|counts| revs.clone().plus(&counts));
    let geared = !model.vehicle.chain.gear_ratios.is_empty();
    let shaft = geared.then(|| model.driven_revs(None).plus(&model.link(Link::Axle)));
    [Some(revs), counts, model.distance_ratio(None).ok(), model.needle_ratio(None).ok(), shaft]
}

/// Fuses all evidence of a truck. `drives` are the drives among it that were read, by index of the evidence.
pub fn fuse(
    source: &str,
    vehicle: &Vehicle,
    mut drives: Vec<(usize, DriveEstimate)>,
) -> (VehicleEstimate, Vec<Problem>) {
    share_offset_kind(drives.iter_mut().map(|(_, drive)| drive));
    let hypotheses = vehicle.chain.hypotheses();
    let drive_of =
        |index: usize| drives.iter().find(|(at, _)| *at == index).map(|(_, estimate)| estimate.clone());
    let Some(first) = hypotheses.first().cloned() else {
        let problem = Problem::error(source, "at least one combination of hardware", "none");
        return (VehicleEstimate { drives, ..VehicleEstimate::empty() }, Problems::from(problem).into());
    };
    let mut model = Model::new(vehicle, &first);
    let mut problems = equations::state(&mut model, source, &drive_of);
    let sums = asked(&mut model);
    let remedies = explain::remedies(&mut model);
    let mut estimate = match weigh::weigh(&model, hypotheses, &sums) {
        Ok(weighing) => {
            let mut estimate = combine(&weighing);
            explain::explain(&mut estimate, &model, &sums, &remedies, &weighing);
            estimate
        }
        Err(error) => {
            problems.push(Problem::error(source, "evidence that can be adjusted", error.to_string()));
            VehicleEstimate::empty()
        }
    };
    estimate.faults = faults(&drives);
    estimate.drives = drives;
    (estimate, problems)
}

/// The drives that were diagnosed with an error which a setting does not put right.
fn faults(drives: &[(usize, DriveEstimate)]) -> Vec<(usize, DiagnosisKind)> {
    let at_fault = |kind: &DiagnosisKind| {
        use DiagnosisKind::{Curved, Erratic, Offset, Slipping};
        matches!(kind, Offset | Curved | Erratic | Slipping)
    };
    let kinds = drives.iter().map(|(index, drive)| (*index, drive.diagnosis.kind()));
    kinds.filter(|(_, kind)| at_fault(kind)).collect()
}

impl VehicleEstimate {
    /// Nothing known.
    fn empty() -> VehicleEstimate {
        VehicleEstimate {
            over_all: Quantities::default(),
            given_top: Quantities::default(),
            hypotheses: Vec::new(),
            evidence: Vec::new(),
            birge_ratio: None,
            widening: 1.0,
            unknowable: Vec::new(),
            hangs_on: Vec::new(),
            conflicts: Vec::new(),
            alarms: Vec::new(),
            notes: Vec::new(),
            faults: Vec::new(),
            drives: Vec::new(),
        }
    }
}

fn combine(weighing: &Weighing) -> VehicleEstimate {
    let named = |tested: &Tested| Weighed {
        label: tested.hardware.label.clone(),
        probability: Ratio::from_plain(tested.weight),
    };
    VehicleEstimate {
        over_all: quantities(&weighing.tested),
        given_top: quantities(weighing.tested.get(..1).unwrap_or_default()),
        hypotheses: weighing.tested.iter().map(named).collect(),
        widening: weighing.tested.first().map_or(1.0, |top| top.widening),
        ..VehicleEstimate::empty()
    }
}

/// The quantities over these hypotheses.
fn quantities(tested: &[Tested]) -> Quantities {
    let of = |asked: usize| -> Vec<(f64, Option<LinearEstimate>)> {
        tested.iter().map(|tested| (tested.weight, tested.estimates[asked])).collect()
    };
    Quantities {
        revs: mixture::mix(&of(0), 1.0 / METRES_PER_MILE),
        counts: mixture::mix(&of(1), 1.0 / METRES_PER_MILE),
        distance_ratio: mixture::mix(&of(2), 1.0),
        needle_ratio: mixture::mix(&of(3), 1.0),
        shaft_turns: mixture::mix(&of(4), 1.0 / METRES_PER_MILE),
    }
}
