//! All evidence of a truck, fused: one adjustment for each hypothesis of what hardware it has, weighed by how well it explains
//! what was measured.
//!
//! Sources: generalised least squares in log space ([`metrology::adjust`]); Bayesian weights of models by their Gaussian
//! evidence (MacKay 2003, ch. 28).

mod equations;
mod mixture;
mod model;

use super::drive::DriveEstimate;
use crate::describe::chain::Hardware;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use metrology::adjust::{LinearEstimate, Solution};
use metrology::measured::Measured;
use metrology::quantity::{METRES_PER_MILE, PerLength, Ratio};
pub use model::{DAY_U, NEEDLE_U};
use model::{Model, Sum};

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
    /// What a person calls it.
    pub label: String,
    /// Whether it was believed before anything was measured.
    pub is_prior: bool,
    /// Its share in the variance of the distance ratio; of the revolutions per mile where that is unknown.
    pub weight: Ratio,
    /// How far it lies from what the rest says, in its own deviations; none where nothing else speaks of it.
    pub normalised_residual: Option<f64>,
    /// The distance ratio that this piece alone would give beside the best of the rest, for drawing.
    pub leave_one_out: Option<Ratio>,
}

/// What is known of a truck.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleEstimate {
    /// Over all hypotheses.
    pub over_all: Quantities,
    /// For the most likely hypothesis alone.
    pub given_top: Quantities,
    /// The hypotheses, the most likely first.
    pub hypotheses: Vec<Weighed>,
    /// The evidence, as it stands in the most likely hypothesis.
    pub evidence: Vec<Piece>,
    /// Scatter beside what the uncertainties say; none without redundancy.
    pub birge_ratio: Option<f64>,
    /// By how much every uncertainty was widened for it.
    pub widening: f64,
    /// What cannot be known from what is given, and what would tell.
    pub unknowable: Vec<String>,
    /// The drives that were read, by index of the evidence.
    pub drives: Vec<(usize, DriveEstimate)>,
}

/// The sums asked for, in the order of [`Quantities`].
fn asked(model: &mut Model) -> [Sum; 4] {
    let revs = model.revs(None);
    let counted = model.counts_per_turn(|_| true);
    let counts = revs.clone().plus(&counted);
    [revs, counts, model.distance_ratio(None), model.needle_ratio(None)]
}

struct Tested {
    label: String,
    prior: f64,
    log_evidence: f64,
    widening: f64,
    estimates: [Option<LinearEstimate>; 4],
}

/// Fuses all evidence of a truck. `drives` are the drives among it that were read, by index of the evidence.
pub fn fuse(
    source: &str,
    vehicle: &Vehicle,
    drives: Vec<(usize, DriveEstimate)>,
) -> (VehicleEstimate, Vec<Problem>) {
    let hypotheses = vehicle.chain.hypotheses();
    let drive_of =
        |index: usize| drives.iter().find(|(at, _)| *at == index).map(|(_, estimate)| estimate.clone());
    let mut problems = Vec::new();
    let mut tested = Vec::new();
    for (number, hardware) in hypotheses.iter().enumerate() {
        let mut model = Model::new(vehicle, hardware);
        let said = equations::state(&mut model, source, &drive_of);
        if number == 0 {
            problems = said;
        }
        let sums = asked(&mut model);
        match model.adjustment().solve() {
            Ok(solution) => tested.push(test(hardware, &solution, &sums)),
            Err(error) => {
                problems.push(Problem::error(source, "evidence that can be adjusted", error.to_string()));
            }
        }
    }
    let weights = weights(&tested);
    let top = (0..tested.len()).max_by(|a, b| weights[*a].total_cmp(&weights[*b]));
    let mut estimate = combine(&tested, &weights, top);
    if let Some(top) = top {
        explain(&mut estimate, source, vehicle, &hypotheses[top], &drive_of);
    }
    estimate.drives = drives;
    (estimate, problems)
}

fn test(hardware: &Hardware, solution: &Solution, sums: &[Sum; 4]) -> Tested {
    let widening = solution.widening();
    let estimate = |sum: &Sum| {
        solution.estimate(&sum.terms).map(|e| LinearEstimate {
            value: e.value + sum.constant,
            standard_uncertainty: e.standard_uncertainty * widening,
            dof: e.dof,
        })
    };
    Tested {
        label: hardware.label.clone(),
        prior: hardware.prior.plain(),
        log_evidence: solution.log_evidence(),
        widening,
        estimates: [0, 1, 2, 3].map(|k: usize| estimate(&sums[k])),
    }
}

/// Prior times evidence, made to add up to 1. All hypotheses share one scatter scale: the stated uncertainties.
fn weights(tested: &[Tested]) -> Vec<f64> {
    let most = tested.iter().map(|t| t.log_evidence).fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = tested.iter().map(|t| t.prior * (t.log_evidence - most).exp()).collect();
    let total: f64 = raw.iter().sum();
    raw.into_iter().map(|w| w / total).collect()
}

fn combine(tested: &[Tested], weights: &[f64], top: Option<usize>) -> VehicleEstimate {
    let over = |weights: &[f64]| {
        let of = |k: usize| -> Vec<(f64, Option<LinearEstimate>)> {
            tested.iter().zip(weights).map(|(t, w)| (*w, t.estimates[k])).collect()
        };
        Quantities {
            revs: mixture::mix(&of(0), 1.0 / METRES_PER_MILE),
            counts: mixture::mix(&of(1), 1.0 / METRES_PER_MILE),
            distance_ratio: mixture::mix(&of(2), 1.0),
            needle_ratio: mixture::mix(&of(3), 1.0),
        }
    };
    let only_top: Vec<f64> = (0..tested.len()).map(|k| if Some(k) == top { 1.0 } else { 0.0 }).collect();
    let mut hypotheses: Vec<Weighed> = tested
        .iter()
        .zip(weights)
        .map(|(t, w)| Weighed { label: t.label.clone(), probability: Ratio::from_plain(*w) })
        .collect();
    hypotheses.sort_by(|a, b| b.probability.plain().total_cmp(&a.probability.plain()));
    VehicleEstimate {
        over_all: over(weights),
        given_top: over(&only_top),
        hypotheses,
        evidence: Vec::new(),
        birge_ratio: None,
        widening: top.map_or(1.0, |top| tested[top].widening),
        unknowable: Vec::new(),
        drives: Vec::new(),
    }
}

const ASKED: [&str; 4] =
    ["revolutions per mile", "counts per mile", "the odometer's ratio", "the needle's ratio"];

/// Says what each piece did and what cannot be known, in the most likely hypothesis.
fn explain(
    estimate: &mut VehicleEstimate,
    source: &str,
    vehicle: &Vehicle,
    hardware: &Hardware,
    drive_of: &dyn Fn(usize) -> Option<DriveEstimate>,
) {
    let mut model = Model::new(vehicle, hardware);
    equations::state(&mut model, source, drive_of);
    let sums = asked(&mut model);
    let adjustment = model.adjustment();
    let Ok(solution) = adjustment.solve() else { return };
    estimate.birge_ratio = solution.birge_ratio();
    for (what, sum) in ASKED.iter().zip(&sums) {
        let missing = solution.unidentified(&sum.terms);
        if !missing.is_empty() {
            let names: Vec<&str> = missing.iter().map(|index| model.names()[*index].as_str()).collect();
            estimate.unknowable.push(format!("{what}: {}", unknowable(what, &names)));
        }
    }
    let weighed = [2, 0].into_iter().map(|k: usize| &sums[k]).find(|s| solution.estimate(&s.terms).is_some());
    let shares = weighed.map(|sum| solution.contributions(&sum.terms));
    let centre = weighed.and_then(|sum| Some(solution.estimate(&sum.terms)?.value + sum.constant));
    for (index, (equation, residual)) in adjustment.equations().iter().zip(solution.residuals()).enumerate() {
        estimate.evidence.push(Piece {
            label: equation.label.clone(),
            is_prior: equation.is_prior,
            weight: Ratio::from_plain(shares.as_ref().map_or(0.0, |shares| shares[index])),
            normalised_residual: residual.normalised_leave_one_out,
            leave_one_out: centre
                .zip(residual.leave_one_out)
                .map(|(centre, apart)| Ratio::from_plain((centre + apart).exp())),
        });
    }
}

/// What would tell a quantity that these unknowns keep from being known.
fn unknowable(what: &str, names: &[&str]) -> String {
    let remedy = if what.contains("ratio") {
        "add one of: a drive with the vehicle's own log, with called-out speeds or with odometer readings; an odometer distance"
    } else if what.starts_with("counts") {
        "add one of: pulses counted over a known distance; the teeth of the ring and a rollout"
    } else {
        "add one of: the tire's size; published revolutions per mile; a rollout with chalk and tape"
    };
    format!("cannot be known from what is given, for want of {}; {remedy}", names.join(" and "))
}
