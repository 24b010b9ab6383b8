//! Why the answer is what it is: what each piece did, what disagrees, what the answer hangs on, what cannot be known.

use super::model::{Model, PartOf, Sum};
use super::response::Response;
use super::sums::{PER_UNIT, assumed_name, link_name};
use super::weigh::{ALARM_ODDS, Weighing};
use super::{ASKED, ASKED_COUNT, Piece, VehicleEstimate};
use crate::describe::chain::{Hardware, Link};
use crate::describe::evidence::EvidenceKind;
use metrology::adjust::{Adjustment, Equation, Residual, Solution};
use metrology::quantity::Ratio;

/// An answer hangs on a belief when it moves by this share of what the belief is off by.
const HANGS_SHARE: f64 = 0.1;

/// An answer that moves by less than this share of an equation does not know of it.
const SEES_NOTHING: f64 = 1e-9;

/// Deviations from which a piece is named when evidence disagrees.
const NAMED_DEVIATIONS: f64 = 2.0;

/// A model with one hypothesis solved.
struct Case<'m, 'v> {
    model: &'m Model<'v>,
    equations: Adjustment,
    solution: Solution,
    beliefs: Vec<f64>,
}

impl<'m, 'v> Case<'m, 'v> {
    fn of(model: &'m Model<'v>, weighing: &Weighing, hardware: &Hardware) -> Option<Self> {
        let beliefs = model.values(hardware);
        let solution = weighing.solution.with_observed(&model.observed(&beliefs)).ok()?;
        Some(Case { model, equations: model.adjustment(&beliefs), solution, beliefs })
    }

    fn label(&self, row: usize) -> String {
        self.equations.equations()[row].label.clone()
    }
}

/// Fills in everything that explains the answer, for the most likely hypothesis.
pub(super) fn explain(
    estimate: &mut VehicleEstimate,
    model: &Model,
    sums: &[Option<Sum>; ASKED_COUNT],
    remedies: &[(String, Sum)],
    weighing: &Weighing,
) {
    let Some(top) = weighing.tested.first() else { return };
    let Some(case) = Case::of(model, weighing, &top.hardware) else { return };
    estimate.unknowable = unknowable(&case, sums, remedies);
    estimate.notes = notes(model);
    estimate.birge_ratio = case.solution.birge_ratio();
    estimate.evidence = pieces(&case, sums, &weighing.responses);
    estimate.conflicts = conflicts(&case, top.widening);
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
        label: equation.label.clone(),
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

/// Who disagrees, where more do than chance allows.
fn conflicts(case: &Case, widening: f64) -> Vec<String> {
    let Some(birge) = case.solution.birge_ratio().filter(|_| case.solution.birge_is_significant()) else {
        return Vec::new();
    };
    let mut off = off(case);
    off.retain(|(_, deviations)| deviations.abs() >= NAMED_DEVIATIONS);
    let first = match off.first() {
        Some((row, deviations)) => format!(
            "{} lies {:.1} standard deviations {} what the rest says",
            case.label(*row),
            deviations.abs(),
            if *deviations > 0.0 { "above" } else { "below" }
        ),
        None => "no single piece stands out".into(),
    };
    let asks = if drives_disagree(case, off.first()) {
        "; did tire pressure, load or tires change between the drives?"
    } else {
        ""
    };
    vec![format!(
        "the evidence disagrees more than its uncertainties allow (Birge ratio {birge:.1}): {first}; every interval was widened by {widening:.1}; measure that one again before trusting the rest{asks}"
    )]
}

/// Whether the piece that is furthest off is one of several drives: what a pump and a load change shows between them.
fn drives_disagree(case: &Case, worst: Option<&(usize, f64)>) -> bool {
    let is_drive = |row: usize| {
        let evidence = case.model.made_from(row).and_then(|index| case.model.vehicle.evidence.get(index));
        evidence.is_some_and(|evidence| matches!(evidence.kind, EvidenceKind::Drive { .. }))
    };
    let drives = (0..case.equations.equations().len()).filter(|row| is_drive(*row)).count();
    drives > 1 && worst.is_some_and(|(row, _)| is_drive(*row))
}

/// Rows that something else checks, the farthest off first; what only holds a nuisance around zero is nobody's measurement.
fn off(case: &Case) -> Vec<(usize, f64)> {
    let residuals = case.solution.residuals();
    let rows = residuals.iter().enumerate().filter(|(row, _)| !case.model.is_nuisance(*row));
    let mut off: Vec<(usize, f64)> =
        rows.filter_map(|(row, residual)| Some((row, residual.normalised_leave_one_out?))).collect();
    off.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    off
}

/// For each answer the beliefs and priors that it moves with, the strongest first.
fn hangs_on(case: &Case, responses: &[Option<Response>; ASKED_COUNT]) -> Vec<(&'static str, Vec<String>)> {
    let model = case.model;
    let one = |response: &Response| {
        let beliefs = model.beliefs.iter().enumerate();
        let beliefs = beliefs.map(|(index, belief)| (belief.name.clone(), response.to_belief(model, index)));
        let priors = response.weights.iter().enumerate().filter(|(row, _)| model.made_from(*row).is_none());
        let priors = priors.map(|(row, weight)| (case.label(row), *weight));
        let mut moved: Vec<(String, f64)> =
            beliefs.chain(priors).filter(|(_, by)| by.abs() >= HANGS_SHARE).collect();
        moved.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        moved.into_iter().map(|(name, _)| name).collect()
    };
    let answered = ASKED.iter().zip(responses);
    answered.filter_map(|(what, response)| Some((*what, one(response.as_ref()?)))).collect()
}

/// The belief beaten: what agrees only with another part.
fn alarms(model: &Model, weighing: &Weighing) -> Vec<String> {
    let beaten = weighing.challenges.iter().filter(|challenge| challenge.odds >= ALARM_ODDS);
    let Some(case) = weighing.believed.as_ref().and_then(|believed| Case::of(model, weighing, believed))
    else {
        return Vec::new();
    };
    let off = off(&case);
    let (measured, before): (Vec<usize>, Vec<usize>) =
        off.iter().map(|(row, _)| *row).partition(|row| model.made_from(*row).is_some());
    let clash: Vec<String> = measured.iter().chain(&before).take(2).map(|row| case.label(*row)).collect();
    let who = if clash.len() < 2 { "all evidence together can".into() } else { clash.join(" and ") };
    let sentence = |challenge: &super::weigh::Challenge| {
        let (what, (instead, belief)) = (challenge.link.name(), &challenge.instead);
        let odds = if challenge.odds > 1e6 {
            "more than a million".into()
        } else {
            format!("{:.0}", challenge.odds)
        };
        format!(
            "{} agree only if the {what} is {instead}, not {belief}; odds {odds} to 1: count it before you rely on either",
            who
        )
    };
    beaten.map(sentence).collect()
}

/// Parts that are stated but cannot show themselves.
fn notes(model: &Model) -> Vec<String> {
    let stated = !model.vehicle.chain.axle_ratio.is_absent();
    if !stated || model.uses(PartOf::Link(Link::Axle)) {
        return Vec::new();
    }
    let depends = match model.vehicle.chain.gear_ratios.is_empty() {
        true => "nothing here depends on it",
        false => "only the engine speeds depend on it",
    };
    vec![format!(
        "the axle ratio cannot show itself: the sensor turns with the wheels, and no shaft or engine speed was read; {depends}"
    )]
}

/// For each quantity that cannot be known: what is missing and which single addition would tell, each tried.
fn unknowable(case: &Case, sums: &[Option<Sum>; ASKED_COUNT], remedies: &[(String, Sum)]) -> Vec<String> {
    let missing =
        |sum: &Option<Sum>| sum.as_ref().map_or(Vec::new(), |sum| case.solution.unidentified(&sum.terms));
    let missing: Vec<Vec<usize>> = sums.iter().map(missing).collect();
    if missing.iter().all(Vec::is_empty) {
        return Vec::new();
    }
    let tried: Vec<(&str, Option<Solution>)> =
        remedies.iter().map(|(name, sum)| (name.as_str(), tried(case, sum))).collect();
    let sentence = |asked: usize| {
        let sum = sums[asked].as_ref().filter(|_| !missing[asked].is_empty())?;
        let names: Vec<&str> =
            missing[asked].iter().map(|index| case.model.names()[*index].as_str()).collect();
        let tells = |solution: &Option<Solution>| {
            solution.as_ref().is_some_and(|it| it.estimate(&sum.terms).is_some())
        };
        let would: Vec<&str> =
            tried.iter().filter(|(_, solution)| tells(solution)).map(|(name, _)| *name).collect();
        let remedy = match would[..] {
            [] => "no single addition tells; start with a drive beside the vehicle's own log".to_owned(),
            [one] => format!("add {one}"),
            _ => format!("add one of: {}", would.join("; ")),
        };
        let want = names.join(" and ");
        Some(format!("{} cannot be known from what is given, for want of {want}; {remedy}", ASKED[asked]))
    };
    (0..sums.len()).filter_map(sentence).collect()
}

/// The solution if this were seen too.
fn tried(case: &Case, sum: &Sum) -> Option<Solution> {
    let mut equations = case.equations.clone();
    equations.push(Equation::evidence("tried", sum.terms.clone(), 0.0, 1.0));
    equations.solve().ok()
}

/// What a person can add, with what it would see. Names no new unknowns but those the answers are made of.
pub(super) fn remedies(model: &mut Model) -> Vec<(String, Sum)> {
    let mut remedies = vec![
        ("a rollout with chalk and tape".to_owned(), model.revs(None)),
        ("the tire's size or its published revolutions per mile".to_owned(), model.revs(None)),
    ];
    let ratios = [
        ("a drive with the vehicle's own log", model.channel_ratio(None)),
        (
            "a drive with odometer readings, or an odometer against a known distance",
            model.distance_ratio(None),
        ),
        ("a drive with called-out speeds, a hold or a timed mile", model.needle_ratio(None)),
    ];
    remedies.extend(ratios.into_iter().filter_map(|(name, sum)| Some((name.to_owned(), sum.ok()?))));
    if let Ok(counts) = model.counts_per_turn(None, |_| true) {
        remedies.push(("pulses counted over a known distance".into(), model.revs(None).plus(&counts)));
        remedies.push(("pulses counted over turns of a wheel".into(), counts));
    }
    let links = [Link::Axle, Link::Ring, Link::Sensor, Link::Gears, Link::Conditioner, Link::Adapter];
    let names = links.map(link_name).into_iter().chain([PER_UNIT]).map(str::to_owned);
    let readers: Vec<String> =
        model.vehicle.readers.iter().map(|reader| assumed_name(Some(reader))).collect();
    let named: Vec<(String, usize)> = names
        .chain(readers)
        .chain([assumed_name(None)])
        .filter_map(|name| model.named(&name).map(|index| (name, index)))
        .collect();
    let known = named
        .into_iter()
        .map(|(name, index)| (format!("the {name}"), Sum { terms: vec![(index, 1.0)], ..Sum::default() }));
    remedies.extend(known);
    remedies
}
