//! Hypotheses weighed by how well each explains what was measured.
//!
//! Hypotheses differ in constants only, so one decomposition serves all. Weight = prior x density of everything observed
//! (MacKay 2003, ch. 28; from memory), with one scatter scale for all, fixed before comparing: that of the best fit, where
//! even that scatters too much.

use super::ASKED_COUNT;
use super::alternatives::{self, Alternative};
use super::model::{Model, Sum};
use super::order::{same, strongest_first};
use super::response::Response;
use crate::describe::chain::{Hardware, Link};
use metrology::adjust::{AdjustmentError, LinearEstimate, Solution};

/// Odds against the owner's belief at which an alarm is raised (method, section 1).
pub(super) const ALARM_ODDS: f64 = 20.0;

/// Odds against the owner's belief from which the alternatives join the answer; below it they would only blur one that the
/// owner has reason to believe.
const JOIN_ODDS: f64 = 1.0;

/// One hypothesis, solved.
pub(super) struct Tested {
    pub hardware: Hardware,
    pub weight: f64,
    pub widening: f64,
    pub estimates: [Option<LinearEstimate>; ASKED_COUNT],
}

/// The belief beaten by alternatives to one part.
pub(super) struct Challenge {
    pub link: Link,
    /// The likeliest alternative and what is believed.
    pub instead: (String, String),
    /// Odds of all alternatives to that part against the belief.
    pub odds: f64,
}

/// All hypotheses, and what challenges the belief.
pub(super) struct Weighing {
    pub tested: Vec<Tested>,
    /// The equations solved for one hypothesis; another needs only other observed values.
    pub solution: Solution,
    /// How each quantity asked for moves with the equations.
    pub responses: [Option<Response>; ASKED_COUNT],
    pub challenges: Vec<Challenge>,
    /// The best hypothesis that the owner named: how the belief alone stands.
    pub believed: Option<Hardware>,
}

struct Scored {
    hardware: Hardware,
    prior: f64,
    solution: Solution,
    values: Vec<f64>,
    of: Option<(Link, (String, String))>,
}

/// Solves every hypothesis and weighs them.
pub(super) fn weigh(
    model: &Model,
    hypotheses: Vec<Hardware>,
    sums: &[Option<Sum>; ASKED_COUNT],
) -> Result<Weighing, AdjustmentError> {
    let solution = model.adjustment(&model.values(model.hardware)).solve()?;
    let responses = responses(model, &solution, sums);
    let others = alternatives::alternatives(model, &hypotheses);
    let mut scored = Vec::with_capacity(hypotheses.len() + others.len());
    for hardware in hypotheses {
        let prior = (1.0 - alternatives::DOUBT) * hardware.prior.plain();
        scored.push(score(model, &solution, hardware, prior, None)?);
    }
    for Alternative { hardware, link, instead, prior } in others {
        scored.push(score(model, &solution, hardware, prior, Some((link, instead)))?);
    }
    let weights = weights(&scored);
    let believed = best(&scored, &weights, |it| it.of.is_none()).map(|index| scored[index].hardware.clone());
    let challenges = challenges(&scored, &weights);
    let join = challenges.iter().map(|challenge| challenge.odds).sum::<f64>() > JOIN_ODDS;
    let tested = scored.into_iter().zip(weights).filter(|(it, _)| join || it.of.is_none());
    let mut tested: Vec<Tested> = tested.map(|(it, weight)| test(model, it, weight, &responses)).collect();
    let total: f64 = tested.iter().map(|it| it.weight).sum();
    tested.iter_mut().for_each(|it| it.weight /= total);
    // The owner's own come first among equals, in the order of the file.
    strongest_first(&mut tested, |it| it.weight);
    Ok(Weighing { tested, solution, responses, challenges, believed })
}

fn score(
    model: &Model,
    solution: &Solution,
    hardware: Hardware,
    prior: f64,
    of: Option<(Link, (String, String))>,
) -> Result<Scored, AdjustmentError> {
    let values = model.values(&hardware);
    let solution = solution.with_observed(&model.observed(&values))?;
    Ok(Scored { hardware, prior, solution, values, of })
}

/// Weights that add up to one.
fn weights(scored: &[Scored]) -> Vec<f64> {
    let scale = scored.iter().map(|it| it.solution.widening()).fold(f64::INFINITY, f64::min);
    let log = |it: &Scored| {
        // Every uncertainty times `scale`: the determinants change alike for all, chi-square falls by its square.
        let tempered = 0.5 * it.solution.chi_square() * (1.0 - scale.powi(-2));
        it.prior.ln() + it.solution.log_evidence() + tempered
    };
    let logs: Vec<f64> = scored.iter().map(log).collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
    let total: f64 = weights.iter().sum();
    weights.iter().map(|weight| weight / total).collect()
}

/// The heaviest, the first of them among equals.
fn best(scored: &[Scored], weights: &[f64], among: impl Fn(&Scored) -> bool) -> Option<usize> {
    let those = || (0..scored.len()).filter(|index| among(&scored[*index]));
    let most = those().map(|index| weights[index]).fold(0.0, f64::max);
    those().find(|index| same(weights[*index], most))
}

fn challenges(scored: &[Scored], weights: &[f64]) -> Vec<Challenge> {
    let sum = |among: &dyn Fn(&Scored) -> bool| -> f64 {
        scored.iter().zip(weights).filter(|(it, _)| among(it)).map(|(_, weight)| weight).sum()
    };
    let belief = sum(&|it| it.of.is_none()).max(f64::MIN_POSITIVE);
    let against = |link: Link| {
        let doubts = move |it: &Scored| it.of.as_ref().is_some_and(|(of, _)| *of == link);
        let best = best(scored, weights, doubts)?;
        let (_, instead) = scored[best].of.clone()?;
        Some(Challenge { link, instead, odds: sum(&doubts) / belief })
    };
    [Link::Axle, Link::Ring, Link::Sensor].into_iter().filter_map(against).collect()
}

fn responses(
    model: &Model,
    solution: &Solution,
    sums: &[Option<Sum>; ASKED_COUNT],
) -> [Option<Response>; ASKED_COUNT] {
    let adjustment = model.adjustment(&model.values(model.hardware));
    let of = |sum: &Option<Sum>| Response::new(adjustment.equations(), solution, sum.as_ref()?);
    std::array::from_fn(|asked| of(&sums[asked]))
}

fn test(model: &Model, scored: Scored, weight: f64, responses: &[Option<Response>; ASKED_COUNT]) -> Tested {
    let widening = scored.solution.widening();
    let estimate = |response: &Option<Response>| {
        let estimate = response.as_ref()?.at(model, &scored.values);
        Some(LinearEstimate { standard_uncertainty: estimate.standard_uncertainty * widening, ..estimate })
    };
    let estimates = std::array::from_fn(|asked| estimate(&responses[asked]));
    Tested { hardware: scored.hardware, weight, widening, estimates }
}
