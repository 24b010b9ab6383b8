//! Why the answer is what it is: what each piece did, what disagrees, what the answer hangs on, what cannot be known.

use super::findings::{Alarm, Note, Remedy, Unknowable};
use super::id::{Assumption, PieceId, QuantityId, UnknownId};
use super::model::{Model, PartOf, Sum};
use super::order::strongest_first;
use super::response::Response;
use super::weigh::{ALARM_ODDS, Challenge, Weighing};
use super::{ASKED_COUNT, Piece, VehicleEstimate, conflict};
use crate::describe::chain::{Hardware, Link};
use metrology::adjust::{Adjustment, Equation, Residual, Solution};
use metrology::quantity::Ratio;

/// An answer hangs on a belief when it moves by this share of what the belief is off by.
const HANGS_SHARE: f64 = 0.1;

/// An answer that moves by less than this share of an equation does not know of it.
const SEES_NOTHING: f64 = 1e-9;

/// A model with one hypothesis solved.
pub(super) struct Case<'m, 'v> {
    pub model: &'m Model<'v>,
    equations: Adjustment,
    pub solution: Solution,
    beliefs: Vec<f64>,
}

impl<'m, 'v> Case<'m, 'v> {
    fn new(model: &'m Model<'v>, weighing: &Weighing, hardware: &Hardware) -> Option<Self> {
        let beliefs = model.values(hardware);
        let solution = weighing.solution.with_observed(&model.observed(&beliefs)).ok()?;
        Some(Case { model, equations: model.adjustment(&beliefs), solution, beliefs })
    }
}

/// Fills in everything that explains the answer, for the most likely hypothesis.
pub(super) fn explain(
    estimate: &mut VehicleEstimate,
    model: &Model,
    sums: &[Option<Sum>; ASKED_COUNT],
    remedies: &[(Remedy, Sum)],
    weighing: &Weighing,
) {
    let Some(top) = weighing.tested.first() else { return };
    let Some(case) = Case::new(model, weighing, &top.hardware) else { return };
    estimate.unknowable = unknowable(&case, sums, remedies);
    estimate.notes = notes(model);
    estimate.birge_ratio = case.solution.birge_ratio();
    estimate.evidence = pieces(&case, sums, &weighing.responses);
    estimate.conflicts = conflict::conflict(&case, top.widening).into_iter().collect();
    estimate.hangs_on = hangs_on(&case, &weighing.responses);
    estimate.alarms = alarms(model, weighing);
}

/// What each equation did to the distance ratio, or to the revolutions per mile where that is unknown.
fn pieces(
    case: &Case,
    sums: &[Option<Sum>; ASKED_COUNT],
    responses: &[Option<Response>; ASKED_COUNT],
) -> Vec<Piece> {
    let answer = |asked: usize| Some((sums[asked].as_ref()?, responses[asked].as_ref()?));
    let weighed = answer(2).or(answer(0));
    let shares = weighed.map(|(sum, _)| case.solution.contributions(&sum.terms));
    let value = weighed.map(|(_, response)| response.at(case.model, &case.beliefs).value);
    let piece = |(row, (equation, residual)): (usize, (&Equation, Residual))| Piece {
        id: case.model.piece(row).clone(),
        is_prior: equation.is_prior,
        weight: Ratio::from_plain(shares.as_ref().map_or(0.0, |shares| shares[row])),
        normalised_residual: residual.normalised_leave_one_out,
        is_nuisance: case.model.is_nuisance(row),
        own_uncertainty: Ratio::from_plain(equation.standard_uncertainty),
        leave_one_out: weighed.and_then(|(_, response)| {
            let (apart, moves) = (residual.leave_one_out?, response.weights[row]);
            // The rest alone answers `moves x apart` away; the piece alone lies `apart` from the rest.
            let alone = value? + (moves.signum() - moves) * apart;
            (moves.abs() > SEES_NOTHING).then(|| Ratio::from_plain(alone.exp()))
        }),
    };
    let rows = case.equations.equations().iter().zip(case.solution.residuals());
    rows.enumerate().map(piece).collect()
}

/// Rows that something else checks, the farthest off first and, where these are equally far, in the order of the file; what only
/// holds a nuisance around zero is nobody's measurement.
pub(super) fn off(case: &Case) -> Vec<(usize, f64)> {
    let residuals = case.solution.residuals();
    let rows = residuals.iter().enumerate().filter(|(row, _)| !case.model.is_nuisance(*row));
    let mut off: Vec<(usize, f64)> =
        rows.filter_map(|(row, residual)| Some((row, residual.normalised_leave_one_out?))).collect();
    strongest_first(&mut off, |(_, deviations)| deviations.abs());
    off
}

/// For each answer the beliefs and priors that it moves with, the strongest first; among equally strong ones beliefs, then
/// priors, each as the model met them.
fn hangs_on(case: &Case, responses: &[Option<Response>; ASKED_COUNT]) -> Vec<(QuantityId, Vec<Assumption>)> {
    let model = case.model;
    let one = |response: &Response| {
        let beliefs = model.beliefs.iter().enumerate();
        let beliefs = beliefs
            .map(|(index, belief)| (Assumption::Belief(belief.id.clone()), response.to_belief(model, index)));
        let priors = response.weights.iter().enumerate().filter(|(row, _)| model.made_from(*row).is_none());
        let priors = priors.map(|(row, weight)| (Assumption::Prior(model.piece(row).clone()), *weight));
        let mut moved: Vec<(Assumption, f64)> =
            beliefs.chain(priors).filter(|(_, by)| by.abs() >= HANGS_SHARE).collect();
        strongest_first(&mut moved, |(_, by)| by.abs());
        moved.into_iter().map(|(assumption, _)| assumption).collect()
    };
    let answered = QuantityId::ALL.into_iter().zip(responses);
    answered.filter_map(|(asked, response)| Some((asked, one(response.as_ref()?)))).collect()
}

/// The belief beaten: what agrees only with another part.
fn alarms(model: &Model, weighing: &Weighing) -> Vec<Alarm> {
    let beaten = weighing.challenges.iter().filter(|challenge| challenge.odds >= ALARM_ODDS);
    let Some(case) = weighing.believed.as_ref().and_then(|believed| Case::new(model, weighing, believed))
    else {
        return Vec::new();
    };
    let off = off(&case);
    let (measured, before): (Vec<usize>, Vec<usize>) =
        off.iter().map(|(row, _)| *row).partition(|row| model.made_from(*row).is_some());
    let mut clash: Vec<PieceId> =
        measured.iter().chain(&before).take(2).map(|row| model.piece(*row).clone()).collect();
    // One piece agrees or disagrees with another, not by itself.
    if clash.len() < 2 {
        clash.clear();
    }
    let alarm = |challenge: &Challenge| {
        let (instead, believed) = challenge.instead.clone();
        Alarm::AnotherPart {
            link: challenge.link,
            instead,
            believed,
            odds: challenge.odds,
            clash: clash.clone(),
        }
    };
    beaten.map(alarm).collect()
}

/// Parts that are stated but cannot show themselves.
fn notes(model: &Model) -> Vec<Note> {
    let stated = !model.vehicle.chain.axle_ratio.is_absent();
    let unseen = stated && !model.uses(PartOf::Link(Link::Axle));
    let engine_depends = !model.vehicle.chain.gear_ratios.is_empty();
    let sensor_sees_it = model.hardware.part(Link::Axle).is_some();
    unseen.then_some(Note::AxleUnseen { sensor_sees_it, engine_depends }).into_iter().collect()
}

/// For each quantity that cannot be known: what is missing and which single addition would tell, each tried.
fn unknowable(case: &Case, sums: &[Option<Sum>; ASKED_COUNT], remedies: &[(Remedy, Sum)]) -> Vec<Unknowable> {
    let missing =
        |sum: &Option<Sum>| sum.as_ref().map_or(Vec::new(), |sum| case.solution.unidentified(&sum.terms));
    let missing: Vec<Vec<usize>> = sums.iter().map(missing).collect();
    if missing.iter().all(Vec::is_empty) {
        return Vec::new();
    }
    let tried: Vec<(&Remedy, Option<Solution>)> =
        remedies.iter().map(|(remedy, sum)| (remedy, tried(case, sum))).collect();
    let one = |(place, asked): (usize, QuantityId)| {
        let sum = sums[place].as_ref().filter(|_| !missing[place].is_empty())?;
        let tells = |solution: &Option<Solution>| {
            solution.as_ref().is_some_and(|it| it.estimate(&sum.terms).is_some())
        };
        let would = tried.iter().filter(|(_, solution)| tells(solution));
        Some(Unknowable::Missing {
            asked,
            missing: missing[place].iter().map(|index| case.model.unknown_at(*index).clone()).collect(),
            remedies: would.map(|(remedy, _)| (*remedy).clone()).collect(),
        })
    };
    QuantityId::ALL.into_iter().enumerate().filter_map(one).collect()
}

/// The solution if this were seen too.
fn tried(case: &Case, sum: &Sum) -> Option<Solution> {
    let mut equations = case.equations.clone();
    equations.push(Equation::evidence("tried", sum.terms.clone(), 0.0, 1.0));
    equations.solve().ok()
}

/// What a person can add, with what it would see. Names no new unknowns but those the answers are made of.
pub(super) fn remedies(model: &mut Model) -> Vec<(Remedy, Sum)> {
    let mut remedies = vec![(Remedy::Rollout, model.revs(None)), (Remedy::SizeOrBook, model.revs(None))];
    let ratios = [
        (Remedy::LoggedDrive, model.channel_ratio(None)),
        (Remedy::OdometerDrive, model.distance_ratio(None)),
        (Remedy::DialDrive, model.needle_ratio(None)),
    ];
    remedies.extend(ratios.into_iter().filter_map(|(remedy, sum)| Some((remedy, sum.ok()?))));
    if let Ok(counts) = model.counts_per_turn(None, |_| true) {
        remedies.push((Remedy::PulsesOverDistance, model.revs(None).plus(&counts)));
        remedies.push((Remedy::PulsesOverTurns, counts));
    }
    let links = [Link::Axle, Link::Ring, Link::Sensor, Link::Gears, Link::Conditioner, Link::Adapter];
    let readers = (0..model.vehicle.readers.len()).map(|reader| UnknownId::Assumed(Some(reader)));
    let sayable = links.map(UnknownId::Link).into_iter().chain([UnknownId::CountsPerUnit]);
    let sayable: Vec<UnknownId> = sayable.chain(readers).chain([UnknownId::Assumed(None)]).collect();
    remedies.extend(sayable.into_iter().filter_map(|id| {
        let terms = vec![(model.index_of(&id)?, 1.0)];
        Some((Remedy::Say(id), Sum { terms, ..Sum::default() }))
    }));
    remedies
}
