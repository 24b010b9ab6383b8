//! Why the answer is what it is: what each piece did, what disagrees, what the answer hangs on, what cannot be known.

use super::model::{Model, PartOf, Sum};
use super::sums::{PER_UNIT, assumed_name, link_name};
use super::weigh::{ALARM_ODDS, Weighing};
use super::{ASKED, Piece, VehicleEstimate};
use crate::describe::chain::{Hardware, Link};
use metrology::adjust::{Equation, Solution};
use metrology::quantity::Ratio;

/// An answer hangs on a belief when it moves by this share of what the belief is off by.
const HANGS_SHARE: f64 = 0.1;

/// A step for trying a belief (logarithm): the equations are linear, so its size does not matter.
const STEP: f64 = 0.01;

/// Deviations from which a piece is named when evidence disagrees.
const NAMED_DEVIATIONS: f64 = 2.0;

/// A model with one hypothesis solved.
struct Case<'m, 'v> {
    model: &'m Model<'v>,
    solution: Solution,
    beliefs: Vec<f64>,
}

impl<'m, 'v> Case<'m, 'v> {
    fn of(model: &'m Model<'v>, hardware: &Hardware) -> Option<Self> {
        let beliefs = model.values(hardware);
        let solution = model.adjustment(&beliefs).solve().ok()?;
        Some(Case { model, solution, beliefs })
    }

    fn answer(&self, sum: &Sum) -> Option<f64> {
        Some(self.solution.estimate(&sum.terms)?.value + sum.known(&self.beliefs))
    }

    /// How far the answer moves for each unit by which a belief is off.
    fn moved_by_belief(&self, sum: &Sum, belief: usize) -> Option<f64> {
        let mut beliefs = self.beliefs.clone();
        beliefs[belief] += STEP;
        let solution = self.solution.with_observed(&self.model.observed(&beliefs)).ok()?;
        let moved = solution.estimate(&sum.terms)?.value + sum.known(&beliefs);
        Some((moved - self.answer(sum)?) / STEP)
    }

    /// How far the answer moves for each unit by which an equation is off.
    fn moved_by_row(&self, sum: &Sum, row: usize) -> Option<f64> {
        let mut observed = self.model.observed(&self.beliefs);
        *observed.get_mut(row)? += STEP;
        let solution = self.solution.with_observed(&observed).ok()?;
        Some((solution.estimate(&sum.terms)?.value - self.solution.estimate(&sum.terms)?.value) / STEP)
    }

    fn label(&self, row: usize, equations: &[Equation]) -> String {
        equations[row].label.clone()
    }
}

/// Fills in everything that explains the answer, for the most likely hypothesis.
pub(super) fn explain(
    estimate: &mut VehicleEstimate,
    model: &mut Model,
    sums: &[Option<Sum>; 4],
    weighing: &Weighing,
) {
    let Some(top) = weighing.tested.first() else { return };
    estimate.unknowable = unknowable(model, sums, &top.hardware);
    estimate.notes = notes(model);
    let model = &*model;
    let Some(case) = Case::of(model, &top.hardware) else { return };
    estimate.birge_ratio = case.solution.birge_ratio();
    estimate.evidence = pieces(&case, sums);
    estimate.conflicts = conflicts(&case, top.widening);
    estimate.hangs_on = hangs_on(&case, sums);
    estimate.alarms = alarms(model, weighing);
}

fn pieces(case: &Case, sums: &[Option<Sum>; 4]) -> Vec<Piece> {
    let known = |asked: usize| sums[asked].as_ref().filter(|sum| case.answer(sum).is_some());
    let weighed = known(2).or(known(0));
    let shares = weighed.map(|sum| case.solution.contributions(&sum.terms));
    let beliefs = &case.beliefs;
    let adjustment = case.model.adjustment(beliefs);
    let piece = |(row, (equation, residual)): (usize, (&Equation, metrology::adjust::Residual))| Piece {
        label: equation.label.clone(),
        is_prior: equation.is_prior,
        weight: Ratio::from_plain(shares.as_ref().map_or(0.0, |shares| shares[row])),
        normalised_residual: residual.normalised_leave_one_out,
        leave_one_out: weighed.and_then(|sum| {
            let (apart, moves) = (residual.leave_one_out?, case.moved_by_row(sum, row)?);
            // With the rest alone the answer is `moves x apart` away; the piece alone lies `apart` from that.
            (moves.abs() > 1e-9).then(|| {
                Ratio::from_plain((case.answer(sum).unwrap_or(0.0) + (moves.signum() - moves) * apart).exp())
            })
        }),
    };
    let rows = adjustment.equations().iter().zip(case.solution.residuals());
    rows.enumerate().map(piece).collect()
}

/// Who disagrees, where more do than chance allows.
fn conflicts(case: &Case, widening: f64) -> Vec<String> {
    let Some(birge) = case.solution.birge_ratio().filter(|_| case.solution.birge_is_significant()) else {
        return Vec::new();
    };
    let adjustment = case.model.adjustment(&case.beliefs);
    let mut off = off(case);
    off.retain(|(_, deviations)| deviations.abs() >= NAMED_DEVIATIONS);
    let first = match off.first() {
        Some((row, deviations)) => format!(
            "{} lies {:.1} standard deviations {} what the rest says",
            case.label(*row, adjustment.equations()),
            deviations.abs(),
            if *deviations > 0.0 { "above" } else { "below" }
        ),
        None => "no single piece stands out".into(),
    };
    vec![format!(
        "the evidence disagrees more than its uncertainties allow (Birge ratio {birge:.1}): {first}; every interval was widened by {widening:.1}; measure that one again before trusting the rest"
    )]
}

/// Rows that something else checks, the farthest off first; what only holds a nuisance around nil is nobody's measurement.
fn off(case: &Case) -> Vec<(usize, f64)> {
    let residuals = case.solution.residuals();
    let rows = residuals.iter().enumerate().filter(|(row, _)| !case.model.is_nuisance(*row));
    let mut off: Vec<(usize, f64)> =
        rows.filter_map(|(row, residual)| Some((row, residual.normalised_leave_one_out?))).collect();
    off.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    off
}

/// For each answer the beliefs and priors that it moves with.
fn hangs_on(case: &Case, sums: &[Option<Sum>; 4]) -> Vec<(&'static str, Vec<String>)> {
    let adjustment = case.model.adjustment(&case.beliefs);
    let one = |sum: &Sum| {
        let beliefs = (0..case.beliefs.len()).filter_map(|belief| {
            Some((case.model.beliefs[belief].name.clone(), case.moved_by_belief(sum, belief)?))
        });
        let priors = (0..adjustment.equations().len())
            .filter(|row| case.model.made_from(*row).is_none())
            .filter_map(|row| Some((case.label(row, adjustment.equations()), case.moved_by_row(sum, row)?)));
        let mut moved: Vec<(String, f64)> =
            beliefs.chain(priors).filter(|(_, by)| by.abs() >= HANGS_SHARE).collect();
        moved.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        moved.into_iter().map(|(name, _)| name).collect()
    };
    let answered = ASKED.iter().zip(sums).filter_map(|(what, sum)| Some((*what, sum.as_ref()?)));
    answered.filter(|(_, sum)| case.answer(sum).is_some()).map(|(what, sum)| (what, one(sum))).collect()
}

/// The belief beaten: what agrees only with another part.
fn alarms(model: &Model, weighing: &Weighing) -> Vec<String> {
    let beaten = weighing.challenges.iter().filter(|challenge| challenge.odds >= ALARM_ODDS);
    let Some(case) = weighing.believed.as_ref().and_then(|believed| Case::of(model, believed)) else {
        return Vec::new();
    };
    let adjustment = model.adjustment(&case.beliefs);
    let off = off(&case);
    let (measured, before): (Vec<usize>, Vec<usize>) =
        off.iter().map(|(row, _)| *row).partition(|row| model.made_from(*row).is_some());
    let clash: Vec<String> =
        measured.iter().chain(&before).take(2).map(|row| case.label(*row, adjustment.equations())).collect();
    let sentence = |challenge: &super::weigh::Challenge| {
        let (what, (instead, belief)) = (challenge.link.name(), &challenge.instead);
        let odds = if challenge.odds > 1e6 {
            "more than a million".into()
        } else {
            format!("{:.0}", challenge.odds)
        };
        format!(
            "{} agree only if the {what} is {instead}, not {belief}; odds {odds} to 1: count it before you rely on either",
            clash.join(" and ")
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
    vec![
        "the axle ratio cannot show itself: the sensor turns with the wheels, and no shaft or engine speed was read; nothing here depends on it"
            .into(),
    ]
}

/// For each quantity that cannot be known: what is missing and which single addition would tell, each tried.
fn unknowable(model: &mut Model, sums: &[Option<Sum>; 4], hardware: &Hardware) -> Vec<String> {
    let remedies = remedies(model);
    let values = model.values(hardware);
    let adjustment = model.adjustment(&values);
    let Ok(solution) = adjustment.solve() else { return Vec::new() };
    let mut said = Vec::new();
    for (what, sum) in ASKED.iter().zip(sums) {
        let Some(sum) = sum else { continue };
        let missing = solution.unidentified(&sum.terms);
        if missing.is_empty() {
            continue;
        }
        let names: Vec<&str> = missing.iter().map(|index| model.names()[*index].as_str()).collect();
        let tells = |remedy: &&(String, Sum)| {
            let mut with = adjustment.clone();
            with.push(Equation::evidence("tried", remedy.1.terms.clone(), 0.0, 1.0));
            with.solve().is_ok_and(|solution| solution.estimate(&sum.terms).is_some())
        };
        let would: Vec<&str> = remedies.iter().filter(tells).map(|remedy| remedy.0.as_str()).collect();
        let remedy = match would[..] {
            [] => "no single addition tells; start with a drive beside the vehicle's own log".to_owned(),
            [one] => format!("add {one}"),
            _ => format!("add one of: {}", would.join("; ")),
        };
        said.push(format!(
            "{what} cannot be known from what is given, for want of {}; {remedy}",
            names.join(" and ")
        ));
    }
    said
}

/// What a person can add, with what it would see. Names no new unknowns but those the answers are made of.
fn remedies(model: &mut Model) -> Vec<(String, Sum)> {
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
