//! One equation for each piece of evidence, with its error model.

use super::super::drive::{DriveEstimate, Reads};
use super::model::{DAY_U, Model, SLOW_ROLL_U, Sum, TAPE_U, WEAR_U};
use crate::describe::chain::Link;
use crate::describe::decimal::to_f64;
use crate::describe::evidence::{
    Evidence, EvidenceKind, PulseSource, PulseSpan, TappedAt, TurnsOf, WheelsTurned,
};
use crate::describe::tire::{TireSize, circumference};
use crate::problem::Problem;
use metrology::quantity::{Length, Quantity};
use metrology::text::Typed;

/// Setting a chalk mark over a tape and starting and stopping a turn there, both ends of one try (judgement).
const CHALK_MM: f64 = 6.0;
/// Revolutions per mile of a book: yearbooks allow 1.5 % (from memory), taken as evenly likely (GUM 4.3.7).
const PUBLISHED_U: f64 = 0.015 / 1.732;
/// Loaded radius to rolling radius: 1.05 for radials, between 1.035 and 1.064 for deflections of 5 to 9 % (from memory).
const LOADED_TO_ROLLING: (f64, f64) = (1.05, 0.012);
/// Reading a dial at a glance (mph), and the needle's offset, 1 mph evenly likely (judgement).
const DIAL_READING_MPH: f64 = 0.6;
const DIAL_OFFSET_MPH: f64 = 0.577;
/// Starting and stopping a watch by eye at a post (s), each (common practice, no source).
const REACTION_S: f64 = 0.15;
/// Seeing a turn complete, as a share of a turn.
const TURN_SHARE: f64 = 0.01;
/// Keeping a shaft's speed while it is read.
const SHAFT_READING_U: f64 = 0.005;

/// What one piece of evidence says.
struct Said {
    sum: Sum,
    ln: f64,
    u: f64,
    dof: f64,
}

impl Said {
    fn new(sum: Sum, ln: f64, u: f64) -> Said {
        Said { sum, ln, u, dof: f64::INFINITY }
    }
}

/// States every piece of evidence; returns those that could not be used, with the reason.
pub(super) fn state(
    model: &mut Model,
    source: &str,
    drive_of: &dyn Fn(usize) -> Option<DriveEstimate>,
) -> Vec<Problem> {
    let mut problems = tires(model, source);
    for (index, evidence) in model.vehicle.evidence.iter().enumerate() {
        match said(model, evidence, index, drive_of) {
            Ok(said) => {
                model.observe(Some(index), &label(evidence), said.sum, said.ln, said.u, said.dof);
            }
            Err((expected, found)) => problems.push(
                Problem::warning(source, expected, found)
                    .at_line(evidence.line)
                    .hint("the rest is answered without it"),
            ),
        }
    }
    problems
}

/// What a person calls a piece of evidence.
pub(super) fn label(evidence: &Evidence) -> String {
    let kind = match &evidence.kind {
        EvidenceKind::Rollout { turns, lengths } => match lengths.len() {
            1 => format!("rollout, {turns} turns"),
            tries => format!("rollout, {turns} turns, {tries} tries"),
        },
        EvidenceKind::LoadedRadius { .. } => "loaded radius".into(),
        EvidenceKind::Published { .. } => "published revolutions per mile".into(),
        EvidenceKind::TimedMile { times, .. } => format!("timed mile, {} passes", times.len()),
        EvidenceKind::OdometerDistance { .. } => "odometer against a distance".into(),
        EvidenceKind::Hold { indicated, .. } => format!("hold at {:.0} mph", indicated.value.mi_per_h()),
        EvidenceKind::Drive { shown, .. } => match (&shown.vehicle_log, shown.holds.is_empty()) {
            (Some(_), _) => "drive with the vehicle's log".into(),
            (None, false) => "drive with called-out speeds".into(),
            (None, true) => "drive with odometer readings".into(),
        },
        EvidenceKind::Pulses { .. } => "pulses counted".into(),
        EvidenceKind::ShaftSpeed { .. } => "shaft speed".into(),
        EvidenceKind::EngineSpeed { .. } => "engine speed in a locked gear".into(),
        EvidenceKind::ShaftTurns { .. } => "shaft turns per wheel turn".into(),
        EvidenceKind::Earlier { .. } => "earlier calibration".into(),
    };
    let named = evidence.label.clone().unwrap_or(kind);
    match evidence.date {
        Some(date) => format!("{named}, {date}"),
        None => named,
    }
}

/// Size and published figure of each set of tires.
fn tires(model: &mut Model, source: &str) -> Vec<Problem> {
    let mut problems = Vec::new();
    for set in &model.vehicle.tires {
        let name = set.name.clone();
        let revs = model.revs(name.as_deref());
        let wear = model.nuisance(&format!("wear of {}", name.as_deref().unwrap_or("the tires")), WEAR_U);
        let of = name.map_or(String::new(), |name| format!(" of {name}"));
        if let Some(published) = set.published_revs {
            let label = format!("published revolutions per mile{of}");
            // A worn tire turns more often than the book's.
            model.observe(
                None,
                &label,
                revs.clone().minus(&wear),
                published.per_mi().ln(),
                PUBLISHED_U,
                f64::INFINITY,
            );
        }
        let size = match (&set.diameter, &set.size) {
            (Some(diameter), _) => Some(TireSize::of_diameter(measured(diameter), None)),
            (None, Some(size)) => Some(TireSize::parse(size)),
            _ => None,
        };
        match size {
            Some(Ok(size)) => {
                let (diameter, factor) =
                    (circumference::ln_diameter_prior(&size), circumference::ln_factor_prior(&size));
                let u = f64::hypot(diameter.standard_uncertainty, factor.standard_uncertainty);
                let ln = metrology::quantity::METRES_PER_MILE.ln() - diameter.ln - factor.ln;
                model.observe(None, &format!("size{of}"), revs.minus(&wear), ln, u, f64::INFINITY);
            }
            Some(Err(mut problem)) => {
                problem.source = source.into();
                problems.push(problem.at_line(set.line));
            }
            None => {}
        }
    }
    problems
}

fn measured(typed: &Typed<Length>) -> metrology::measured::Measured<Length> {
    metrology::measured::Measured::symmetric(typed.value, Length::from_si(typed_u(typed)), f64::INFINITY)
}

/// Standard uncertainty of something typed: what was stated, else half the last digit, evenly likely (GUM 4.3.7).
fn typed_u<Q: Quantity>(typed: &Typed<Q>) -> f64 {
    typed.standard_uncertainty.map_or(typed.resolution.si() / 12f64.sqrt(), Quantity::si)
}

fn relative<Q: Quantity>(typed: &Typed<Q>) -> f64 {
    (typed_u(typed) / typed.value.si()).abs()
}

fn said(
    model: &mut Model,
    evidence: &Evidence,
    index: usize,
    drive_of: &dyn Fn(usize) -> Option<DriveEstimate>,
) -> Result<Said, (String, String)> {
    let tires = evidence.tires.as_deref();
    Ok(match &evidence.kind {
        EvidenceKind::Rollout { turns, lengths } => rollout(model, tires, *turns, lengths),
        EvidenceKind::LoadedRadius { radius } => {
            let circumference = core::f64::consts::TAU * radius.value.mi() * LOADED_TO_ROLLING.0;
            let u = f64::hypot(LOADED_TO_ROLLING.1, relative(radius));
            Said::new(model.revs(tires), -circumference.ln(), u)
        }
        EvidenceKind::Published { revs } => {
            let wear = model.nuisance(&format!("wear of {}", tires.unwrap_or("the tires")), WEAR_U);
            Said::new(model.revs(tires).minus(&wear), revs.per_mi().ln(), PUBLISHED_U)
        }
        EvidenceKind::TimedMile { indicated, times, distance } => {
            timed_mile(model, evidence, indicated, times, distance.as_ref())
        }
        EvidenceKind::OdometerDistance { indicated, true_distance, resolution } => {
            let resolution = resolution.as_ref().map_or(indicated.resolution, |r| r.value);
            // Two readings, each within half a unit of the last digit.
            let reading = resolution.m() / 6f64.sqrt() / indicated.value.m();
            let u = f64::hypot(reading, relative(true_distance));
            let day = model.nuisance(&day(evidence, index), DAY_U);
            Said::new(
                model.distance_ratio(Some(evidence)).plus(&day),
                (indicated.value / true_distance.value).ln(),
                u,
            )
        }
        EvidenceKind::Hold { indicated, true_speed } => {
            let dial = f64::hypot(DIAL_READING_MPH, DIAL_OFFSET_MPH) / indicated.value.mi_per_h();
            let u = f64::hypot(dial, relative(true_speed));
            Said::new(model.needle_ratio(Some(evidence)), (indicated.value / true_speed.value).ln(), u)
        }
        EvidenceKind::Drive { .. } => drive(model, evidence, index, drive_of)?,
        EvidenceKind::Pulses { source, span, tapped_at } => {
            pulses(model, evidence, source, span, *tapped_at)?
        }
        EvidenceKind::ShaftSpeed { speed, true_speed, shaft } => {
            let turns_per_mile =
                speed.hz() / true_speed.value.m_per_s() * metrology::quantity::METRES_PER_MILE;
            let low = match shaft {
                crate::describe::evidence::Shaft::TransmissionOutput if evidence.low_range => {
                    low_range(model)
                }
                _ => Sum::default(),
            };
            let sum = model.revs(tires).plus(&model.link(Link::Axle)).plus(&low);
            Said::new(sum, turns_per_mile.ln(), f64::hypot(SHAFT_READING_U, relative(true_speed)))
        }
        EvidenceKind::EngineSpeed { speed, true_speed, gear_ratio } => {
            let turns_per_mile =
                speed.hz() / true_speed.value.m_per_s() * metrology::quantity::METRES_PER_MILE;
            let low = if evidence.low_range { low_range(model) } else { Sum::default() };
            let sum = model
                .revs(tires)
                .plus(&model.link(Link::Axle))
                .plus(&low)
                .plus(&Sum::known(to_f64(*gear_ratio).ln()));
            Said::new(sum, turns_per_mile.ln(), f64::hypot(SHAFT_READING_U, relative(true_speed)))
        }
        EvidenceKind::ShaftTurns { shaft, wheel, wheels } => {
            // With the other wheel held an open differential turns at half the speed of the one wheel.
            let wheel = to_f64(*wheel) * if *wheels == WheelsTurned::One { 0.5 } else { 1.0 };
            let u = f64::hypot(TURN_SHARE / to_f64(*shaft), TURN_SHARE / wheel);
            Said::new(model.link(Link::Axle), (to_f64(*shaft) / wheel).ln(), u)
        }
        EvidenceKind::Earlier { revs, standard_uncertainty } => {
            Said::new(model.revs(tires), revs.per_mi().ln(), standard_uncertainty.si() / revs.si())
        }
    })
}

fn low_range(model: &mut Model) -> Sum {
    match &model.hardware.low_range {
        Some(low) => Sum::known(low.value.plain().ln()),
        None => model.unknown("low range of the transfer case"),
    }
}

/// One name for all that was measured on one day, or for this piece alone without a date.
fn day(evidence: &Evidence, index: usize) -> String {
    evidence
        .date
        .map_or_else(|| format!("conditions of piece {}", index + 1), |date| format!("conditions of {date}"))
}

fn rollout(model: &mut Model, tires: Option<&str>, turns: u32, lengths: &[Typed<Length>]) -> Said {
    let n = lengths.len() as f64;
    let mean = lengths.iter().map(|l| l.value.m()).sum::<f64>() / n;
    let stated = lengths.iter().map(|l| f64::hypot(typed_u(l), CHALK_MM / 1e3).powi(2)).sum::<f64>() / n;
    let scatter = lengths.iter().map(|l| (l.value.m() - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    // Three tries and more show their own scatter; fewer do not.
    let shows = lengths.len() >= 3 && scatter > stated;
    let (variance, dof) = if shows { (scatter, n - 1.0) } else { (stated, f64::INFINITY) };
    let roll = model.nuisance("slow roll beside the road", SLOW_ROLL_U);
    let tape = model.nuisance("scale of the tape", TAPE_U);
    let sum = model.revs(tires).plus(&roll).plus(&tape);
    let ln = (f64::from(turns) / Length::from_m(mean).mi()).ln();
    Said { sum, ln, u: (variance / n).sqrt() / mean, dof }
}

fn timed_mile(
    model: &mut Model,
    evidence: &Evidence,
    indicated: &Typed<metrology::quantity::Speed>,
    times: &[metrology::quantity::Duration],
    distance: Option<&Typed<Length>>,
) -> Said {
    let n = times.len().max(1) as f64;
    let length = distance.map_or(metrology::quantity::METRES_PER_MILE, |d| d.value.m());
    let post = distance.map_or(0.0, relative);
    // Speed is the mean over passes; a harmonic mean of times would favour one direction.
    let speed = times.iter().map(|t| length / t.s()).sum::<f64>() / n;
    let time = length / speed;
    let watch = REACTION_S * 2f64.sqrt() / time / n.sqrt();
    let reading = DIAL_READING_MPH / n.sqrt() / indicated.value.mi_per_h();
    let offset = DIAL_OFFSET_MPH / indicated.value.mi_per_h();
    let u = (watch.powi(2) + reading.powi(2) + offset.powi(2) + post.powi(2)).sqrt();
    Said::new(model.needle_ratio(Some(evidence)), (indicated.value.m_per_s() / speed).ln(), u)
}

fn drive(
    model: &mut Model,
    evidence: &Evidence,
    index: usize,
    drive_of: &dyn Fn(usize) -> Option<DriveEstimate>,
) -> Result<Said, (String, String)> {
    let none = || ("a drive that can be read".to_owned(), "none; see the problems of its files".to_owned());
    let estimate = drive_of(index).ok_or_else(none)?;
    let ratio = estimate.reading_ratio.ok_or_else(none)?;
    let sum = match estimate.reads {
        Reads::Needle => model.needle_ratio(Some(evidence)),
        Reads::Channel | Reads::Distance => model.distance_ratio(Some(evidence)),
    };
    let day = model.nuisance(&day(evidence, index), DAY_U);
    Ok(Said {
        sum: sum.plus(&day),
        ln: ratio.value.plain().ln(),
        u: ratio.relative_uncertainty().plain(),
        dof: ratio.dof,
    })
}

fn pulses(
    model: &mut Model,
    evidence: &Evidence,
    source: &PulseSource,
    span: &PulseSpan,
    tapped_at: TappedAt,
) -> Result<Said, (String, String)> {
    let PulseSource::Count(count) = source else {
        return Err((
            "a count of pulses".into(),
            "a recording, which cannot be read yet; give `count`".into(),
        ));
    };
    if tapped_at == TappedAt::ModuleOutput {
        return Err((
            "pulses at the sensor or after the conditioner".into(),
            "the module's output, which cannot be used yet".into(),
        ));
    }
    let seen = |link: Link| tapped_at == TappedAt::AfterConditioner || link != Link::Conditioner;
    let counts = f64::from(*count);
    match span {
        PulseSpan::Distance(distance) => {
            let u = f64::hypot(1.0 / 6f64.sqrt() / counts, relative(distance));
            let counted = model.counts_per_turn(seen);
            let change = Sum::known(model.change_of_counts(Some(evidence)));
            let sum = model.revs(evidence.tires.as_deref()).plus(&counted).plus(&change);
            Ok(Said::new(sum, (counts / distance.value.mi()).ln(), u))
        }
        PulseSpan::Turns { turns, of, wheels } => {
            let turns = to_f64(*turns)
                * if *of == TurnsOf::Wheel && *wheels == Some(WheelsTurned::One) { 0.5 } else { 1.0 };
            let after = |link: Link| match of {
                TurnsOf::Wheel => seen(link),
                TurnsOf::Shaft => seen(link) && link != Link::Axle,
                TurnsOf::Ring => seen(link) && !matches!(link, Link::Axle | Link::Gears | Link::Adapter),
            };
            let u = f64::hypot(1.0 / 6f64.sqrt() / counts, TURN_SHARE / turns);
            let sum = model.counts_per_turn(after);
            Ok(Said::new(sum, (counts / turns).ln(), u))
        }
        PulseSpan::Pattern => Err(("a distance or a number of turns".into(), "neither".into())),
    }
}
