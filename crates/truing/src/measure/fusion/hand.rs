//! Evidence taken with tape, ruler, watch and eye.

use super::super::odometer_reading::{REACTION_S, reading_u};
use super::conditions::{as_it_rolled, on_day};
use super::error_model::{
    CHALK_MM, DIGITS_MPH, GLANCE_MPH, HABIT_MPH, LOADED_RADIUS_U, PARALLAX_EACH_MPH, PARALLAX_SHARED_MPH,
    PASSING_M_PER_S, POST_M, SLOW_ROLL_U, TAPE_U, TRIES_THAT_SCATTER,
};
use super::id::{Day, UnknownId};
use super::model::{Model, Refusal, Sum};
use crate::describe::evidence::{Evidence, OdometerRead, ReadFrom};
use metrology::quantity::{Duration, Length, METRES_PER_MILE, Quantity, Speed};
use metrology::text::Typed;

/// What one piece of evidence says: a sum, its logarithm, the standard uncertainty of that.
pub(super) struct Said {
    pub sum: Sum,
    pub ln: f64,
    pub u: f64,
    pub dof: f64,
}

impl Said {
    pub fn new(sum: Sum, ln: f64, u: f64) -> Said {
        Said { sum, ln, u, dof: f64::INFINITY }
    }
}

/// Standard uncertainty of something typed, SI: what was stated, else half the last digit, evenly likely (GUM 4.3.7).
pub(super) fn typed_u<Q: Quantity>(typed: &Typed<Q>) -> f64 {
    typed.standard_uncertainty.map_or(typed.resolution.si() / 12f64.sqrt(), Quantity::si)
}

pub(super) fn relative<Q: Quantity>(typed: &Typed<Q>) -> f64 {
    (typed_u(typed) / typed.value.si()).abs()
}

/// What all that was measured on one day shares; this piece alone without a date.
pub(super) fn day(evidence: &Evidence, index: usize) -> Day {
    evidence.date.map_or(Day::Piece(index), Day::Date)
}

pub(super) fn rollout(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    turns: u32,
    lengths: &[Typed<Length>],
) -> Said {
    let n = lengths.len().max(1) as f64;
    let mean = lengths.iter().map(|l| l.value.m()).sum::<f64>() / n;
    let stated = lengths.iter().map(|l| f64::hypot(typed_u(l), CHALK_MM / 1e3).powi(2)).sum::<f64>() / n;
    let scatter = lengths.iter().map(|l| (l.value.m() - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    // Scatter beyond what chalk explains is believed; less of it never shrinks anything.
    let shows = lengths.len() >= TRIES_THAT_SCATTER && scatter > stated;
    let (variance, dof) = if shows { (scatter, n - 1.0) } else { (stated, f64::INFINITY) };
    let (more, more_u) = model.tire_errors(evidence.tires.as_deref()).slow_roll;
    let roll = model.nuisance(UnknownId::SlowRoll, SLOW_ROLL_U);
    let tape = model.nuisance(UnknownId::Tape, TAPE_U);
    let revs = model.free_revs(evidence.tires.as_deref()).plus(&Sum::number(more));
    let sum = revs.plus_times(&roll, more_u / SLOW_ROLL_U).plus(&tape);
    let sum = on_day(model, sum, evidence, day);
    let ln = (f64::from(turns) / Length::from_m(mean).mi()).ln();
    Said { dof, ..Said::new(sum, ln, (variance / n).sqrt() / mean) }
}

pub(super) fn loaded_radius(model: &mut Model, evidence: &Evidence, radius: &Typed<Length>) -> Said {
    let (factor, u) = model.tire_errors(evidence.tires.as_deref()).loaded_to_rolling;
    let factor_off = model.nuisance(UnknownId::LoadedRadius, LOADED_RADIUS_U);
    let circumference = core::f64::consts::TAU * radius.value.mi() * factor;
    let revs = model.free_revs(evidence.tires.as_deref());
    let sum = as_it_rolled(model, revs.plus_times(&factor_off, u / LOADED_RADIUS_U), evidence);
    Said::new(sum, -circumference.ln(), relative(radius))
}

/// The needle's ratio as one person reads it, with the uncertainty of one reading: pointer, habit and most of what the place
/// of the reader does are off by the same amount at every speed.
fn dial(
    model: &mut Model,
    (evidence, read_from): (&Evidence, ReadFrom),
    day: Day,
    indicated: Speed,
) -> Result<(Sum, f64), Refusal> {
    let sum = model.needle_ratio(Some(evidence))?;
    let sum = on_day(model, sum, evidence, day);
    let mph = indicated.mi_per_h();
    if model.dial_is_digital() {
        return Ok((sum, DIGITS_MPH / mph));
    }
    let habit = model.nuisance(UnknownId::DialHabit, HABIT_MPH);
    let sum = sum.plus_times(&habit, 1.0 / mph);
    if read_from == ReadFrom::Driver {
        return Ok((sum, GLANCE_MPH / mph));
    }
    let parallax = model.nuisance(UnknownId::Parallax, PARALLAX_SHARED_MPH);
    Ok((sum.plus_times(&parallax, 1.0 / mph), GLANCE_MPH.hypot(PARALLAX_EACH_MPH) / mph))
}

pub(super) fn hold(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    indicated: &Typed<Speed>,
    true_speed: &Typed<Speed>,
) -> Result<Said, Refusal> {
    let read_from = evidence.read_from.unwrap_or_default();
    let (sum, reading) = dial(model, (evidence, read_from), day, indicated.value)?;
    let ln = (indicated.value / true_speed.value).ln();
    Ok(Said::new(sum, ln, f64::hypot(reading, relative(true_speed))))
}

pub(super) fn timed_mile(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    indicated: &Typed<Speed>,
    times: &[Duration],
    distance: Option<&Typed<Length>>,
) -> Result<Said, Refusal> {
    let n = times.len().max(1) as f64;
    let length = distance.map_or(METRES_PER_MILE, |distance| distance.value.m());
    // The mean of the speeds, not of the times: passes both ways against a wind then favour neither.
    let speed = times.iter().map(|time| length / time.s()).sum::<f64>() / n;
    let watch = REACTION_S * core::f64::consts::SQRT_2 * speed / length;
    // Whoever keeps the pointer on its mark sits before it.
    let (sum, reading) = dial(model, (evidence, ReadFrom::Driver), day, indicated.value)?;
    let each_pass = f64::hypot(watch, reading) / n.sqrt();
    let u = f64::hypot(each_pass, posts(distance, length));
    Ok(Said::new(sum, (indicated.value.m_per_s() / speed).ln(), u))
}

/// Relative uncertainty of a marked distance: as typed after `+/-`, else that of two posts and of the last digit.
fn posts(distance: Option<&Typed<Length>>, length_m: f64) -> f64 {
    let two_posts = POST_M * core::f64::consts::SQRT_2 / length_m;
    match distance {
        Some(distance) if distance.standard_uncertainty.is_some() => relative(distance),
        Some(distance) => f64::hypot(two_posts, relative(distance)),
        None => two_posts,
    }
}

pub(super) fn odometer_distance(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    indicated: &Typed<Length>,
    true_distance: &Typed<Length>,
    (resolution, read): (Option<&Typed<Length>>, OdometerRead),
) -> Result<Said, Refusal> {
    let step = resolution.map_or(indicated.resolution, |resolution| resolution.value);
    let passing_m = if read == OdometerRead::AsItTurned { REACTION_S * PASSING_M_PER_S } else { 0.0 };
    let each_m = f64::hypot(reading_u(read, step).m(), passing_m);
    let both_m = core::f64::consts::SQRT_2 * each_m;
    let reading = indicated.standard_uncertainty.map_or(both_m, |u| u.m()) / indicated.value.m();
    let u = f64::hypot(reading, posts(Some(true_distance), true_distance.value.m()));
    let sum = model.distance_ratio(Some(evidence))?;
    Ok(Said::new(on_day(model, sum, evidence, day), (indicated.value / true_distance.value).ln(), u))
}
