//! One equation for each piece of evidence.

use super::super::drive::{Doubt, DriveEstimate, Reads};
use super::conditions::{as_rated, on_day};
use super::error_model::BOOK_U;
use super::hand::{self, Said, typed_u};
use super::id::{Day, PieceId, TireSetId, UnknownId};
use super::model::{Model, Refusal, Sum};
use crate::describe::evidence::{Evidence, EvidenceKind};
use crate::describe::tire::TireSize;
use crate::describe::tire::circumference::{self, Cause, RollingConditions};
use crate::describe::tire::set::TireSet;
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{Length, METRES_PER_MILE};
use metrology::text::Typed;

/// Finds the drive of a piece of evidence.
pub(super) type DriveOf<'d> = dyn Fn(usize) -> Option<DriveEstimate> + 'd;

/// States every piece of evidence; returns those that could not be used, with the reason.
pub(super) fn state(model: &mut Model, source: &str, drive_of: &DriveOf) -> Vec<Problem> {
    let vehicle = model.vehicle;
    let mut problems = Vec::new();
    for set in &vehicle.tires {
        problems.extend(tires(model, source, set));
    }
    for (index, evidence) in vehicle.evidence.iter().enumerate() {
        let refused = match said(model, evidence, index, drive_of) {
            Ok(said) if said.ln.is_finite() && said.u.is_finite() => {
                problems.extend(super::digits::note(source, evidence, &said));
                model.observe(PieceId::Evidence(index), said.sum, (said.ln, said.u), said.dof);
                continue;
            }
            Ok(_) => ("numbers greater than 0".to_owned(), evidence.called()),
            Err(refused) => refused,
        };
        let problem =
            Problem::warning(source, refused.0, refused.1).at_line(evidence.line).in_part("[[evidence]]");
        problems.push(problem.hint("the rest is answered without it"));
    }
    problems
}

fn said(model: &mut Model, evidence: &Evidence, index: usize, drive_of: &DriveOf) -> Result<Said, Refusal> {
    let day = hand::day(evidence, index);
    match &evidence.kind {
        EvidenceKind::Rollout { turns, lengths } => Ok(hand::rollout(model, evidence, day, *turns, lengths)),
        EvidenceKind::LoadedRadius { radius } => Ok(hand::loaded_radius(model, evidence, radius)),
        EvidenceKind::Published { revs } => Ok(published(model, evidence.tires.as_deref(), revs.per_mi())),
        EvidenceKind::TimedMile { indicated, times, distance } => {
            hand::timed_mile(model, evidence, day, indicated, times, distance.as_ref())
        }
        EvidenceKind::OdometerDistance { indicated, true_distance, resolution, read } => {
            let read = (resolution.as_ref(), *read);
            hand::odometer_distance(model, evidence, day, indicated, true_distance, read)
        }
        EvidenceKind::Hold { indicated, true_speed } => {
            hand::hold(model, evidence, day, indicated, true_speed)
        }
        EvidenceKind::Drive { .. } => drive(model, evidence, day, drive_of(index)),
        EvidenceKind::Pulses { source, span, tapped_at } => {
            super::turned::pulses(model, evidence, day, source, span, *tapped_at)
        }
        EvidenceKind::ShaftSpeed { speed, true_speed, shaft } => {
            Ok(super::turned::shaft_speed(model, evidence, day, *speed, true_speed, *shaft))
        }
        EvidenceKind::EngineSpeed { speed, true_speed, gear_ratio } => {
            Ok(super::turned::engine_speed(model, evidence, day, *speed, true_speed, *gear_ratio))
        }
        EvidenceKind::ShaftTurns { shaft, wheel, wheels } => {
            Ok(super::turned::shaft_turns(model, *shaft, *wheel, *wheels))
        }
        EvidenceKind::Earlier { revs, standard_uncertainty } => {
            let sum = model.revs(evidence.tires.as_deref());
            Ok(Said::new(sum, revs.per_mi().ln(), standard_uncertainty.per_mi() / revs.per_mi()))
        }
    }
}

/// What the tires have turned more often since they were new.
fn wear(model: &mut Model, set: TireSetId, tires: Option<&str>) -> Sum {
    let (more, u) = model.tire_errors(tires).wear;
    model.nuisance_at(UnknownId::Wear(set), more, u)
}

/// ln N of a set of tires as a book means it: new tires, and each book is about tires that differ a little from these.
fn published(model: &mut Model, tires: Option<&str>, per_mile: f64) -> Said {
    let set = model.set(tires);
    let (wear, differs) = (wear(model, set, tires), model.nuisance(UnknownId::BesideBooks(set), BOOK_U));
    // Published turns are those of drive tires on a road (SAE J1025, 40 CFR 1037.520(c)(1)): no slip is taken off.
    let sum = model.revs(tires).minus(&wear).minus(&differs);
    let declared = model.vehicle.tires.iter().find(|declared| model.set(declared.name.as_deref()) == set);
    let sum = match declared {
        Some(declared) => as_rated(model, sum, declared).0,
        None => sum,
    };
    Said::new(sum, per_mile.ln(), BOOK_U)
}

/// Size, wear and published figure of a set of tires.
fn tires(model: &mut Model, source: &str, set: &TireSet) -> Option<Problem> {
    let name = set.name.as_deref();
    let size = match (&set.diameter, &set.size) {
        (Some(diameter), _) => Some(TireSize::of_diameter(measured(diameter), None)),
        (None, Some(size)) => Some(TireSize::parse(size)),
        _ => None,
    };
    let problem = match size.map(|size| size.and_then(|size| rolling(model, &size, set))) {
        Some(Err(mut problem)) => {
            problem.source = source.into();
            Some(problem.at_line(set.line))
        }
        _ => None,
    };
    if let Some(revs) = set.published_revs {
        let said = published(model, name, revs.per_mi());
        let id = PieceId::Published(model.set(name));
        model.observe(id, said.sum, (said.ln, said.u), said.dof);
    }
    problem
}

/// States what a size promises, and how worn the tires are where both depths are said.
fn rolling(model: &mut Model, size: &TireSize, set: &TireSet) -> Result<(), Problem> {
    let id = model.set(set.name.as_deref());
    let new = circumference::roll(size, &RollingConditions::default())?;
    if let (Some(was), Some(is)) = (&set.tread_depth_new, &set.tread_depth) {
        let lost = Length::from_m((was.value.m() - is.value.m()).max(0.0));
        let worn =
            circumference::roll(size, &RollingConditions { tread_lost: Some(lost), ..Default::default() })?;
        let more = (new.circumference.value.m() / worn.circumference.value.m()).ln();
        let u = worn
            .budget
            .iter()
            .find(|part| part.cause == Cause::Wear)
            .map(|part| part.relative_uncertainty.plain());
        let untold = model.tire_errors(set.name.as_deref()).wear.1;
        model.nuisance_at(UnknownId::Wear(id), more, u.unwrap_or(untold));
    }
    let wear = wear(model, id, set.name.as_deref());
    let sum = model.free_revs(set.name.as_deref()).minus(&wear);
    let (sum, (pressure_told, load_told)) = as_rated(model, sum, set);
    let others = new.budget.iter().filter(|part| match part.cause {
        Cause::Wear => false,
        Cause::Pressure => !pressure_told,
        Cause::Load => !load_told,
        _ => true,
    });
    let u = others.map(|part| part.relative_uncertainty.plain().powi(2)).sum::<f64>().sqrt();
    let ln = (METRES_PER_MILE / new.circumference.value.m()).ln();
    model.observe(PieceId::Size(id), sum, (ln, u), f64::INFINITY);
    Ok(())
}

fn measured(typed: &Typed<Length>) -> Measured<Length> {
    Measured::symmetric(typed.value, Length::from_m(typed_u(typed)), f64::INFINITY)
}

fn drive(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    estimate: Option<DriveEstimate>,
) -> Result<Said, Refusal> {
    let none = || ("a drive that can be read".to_owned(), "none; see the problems of its files".to_owned());
    let estimate = estimate.ok_or_else(none)?;
    // What is only wide says as much as its interval; every other doubt is about what the number means.
    if let Some(doubt) = estimate.doubts.iter().find(|doubt| !matches!(doubt, Doubt::Wide { .. })) {
        return Err(("a drive whose ratio can be told".to_owned(), doubt.found().to_owned()));
    }
    let ratio = estimate.reading_ratio.ok_or_else(none)?;
    let sum = match estimate.reads {
        Reads::Needle => model.needle_ratio(Some(evidence))?,
        Reads::Channel => model.channel_ratio(Some(evidence))?,
        Reads::Distance => model.distance_ratio(Some(evidence))?,
    };
    let (ln, u) = (ratio.value.plain().ln(), ratio.relative_uncertainty().plain());
    Ok(Said { dof: ratio.dof, ..Said::new(on_day(model, sum, evidence, day), ln, u) })
}
