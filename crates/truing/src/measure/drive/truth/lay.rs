//! The truth laid out from a cleaned track: positions smoothed with the reported speeds beside them, or the speeds alone.

use super::Truth;
use super::gaps::{self, Gap};
use super::legs::Legs;
use super::length::{BENT_WHOLE_S, REPORTED_U_M_PER_S};
use super::midpoints::middles;
use super::self_check::{self, SelfCheck};
use super::speed_only::{sighted, unseen, without_position};
use super::standing::{CREEPING_BY_SPEEDS_M_PER_S, CREEPING_M_PER_S, standing};
use super::timing::Timing;
use crate::measure::drive::input::fixes::{Clean, count};
use crate::measure::drive::rejection::RejectionCause;
use crate::measure::drive::types::MOVING_M_PER_S;
use metrology::order::usual_interval_s;
use metrology::smooth::{Known, Path, PathFix, PathPoint, smooth, smooth_knowing};

/// What is compared is thinned out to steps of this (s) and more: nearer fixes share their errors, and what bends between them is nothing.
const COMPARED_S: f64 = 0.9;

pub fn of_positions(clean: &mut Clean) -> Truth {
    let blind = without_position(&clean.fixes);
    let mut fixes = sighted(&clean.fixes, &blind).into_owned();
    let reported = clean.fixes.iter().any(|fix| fix.speed_m_per_s.is_some());
    let (path, checked, delay_s) = if reported { of_both(&mut fixes) } else { of_positions_alone(&fixes) };
    let outliers = |test: fn(&PathPoint) -> bool| path.points.iter().filter(|p| test(p)).count();
    count(&mut clean.rejected, RejectionCause::PositionOffPath, outliers(|p| p.position_rejected));
    count(&mut clean.rejected, RejectionCause::SpeedOffPath, outliers(|p| p.speed_rejected));
    // Which of the two is late, positions or speeds, nobody knows: the truth's times lie half way.
    let late_s = 0.5 * delay_s;
    let mut points: Vec<PathPoint> = Vec::with_capacity(clean.fixes.len());
    let mut starts = Vec::with_capacity(clean.fixes.len());
    let (mut seen, mut passed_over) = (path.points.iter().copied(), false);
    let mut unseen_at = Vec::with_capacity(clean.fixes.len());
    for (fix, blind) in clean.fixes.iter().zip(blind) {
        let point = if blind { unseen(fix, path.levels.reported_m_per_s) } else { seen.next() };
        // Fixes that no motion joins may leave no number.
        let sound = |point: &PathPoint| point.speed_m_per_s.is_finite() && point.middle_m_per_s.is_finite();
        let Some(point) = point.filter(sound) else {
            passed_over = true;
            continue;
        };
        // The smoother may leave a standing truck a little below zero; no speed is.
        points.push(PathPoint {
            time_s: point.time_s + late_s,
            speed_m_per_s: point.speed_m_per_s.max(0.0),
            middle_m_per_s: point.middle_m_per_s.max(0.0),
            ..point
        });
        starts.push((fix.starts, std::mem::take(&mut passed_over)));
        unseen_at.push(blind);
    }
    let mut truth = Truth { levels: Some(path.levels), reported, checked, ..Truth::with_room(points.len()) };
    join(&mut truth, &mut points, &starts, &unseen_at);
    if !reported {
        truth.swapped = clean.first.and_then(|first| scales(first.latitude.rad(), first.longitude.rad()));
    }
    truth
}

/// Joins the points to the truth, with what bridges its gaps.
fn join(truth: &mut Truth, points: &mut [PathPoint], starts: &[(bool, bool)], unseen_at: &[bool]) {
    let breaks: Vec<bool> = (0..points.len())
        .map(|k| {
            let was_blind = k > 0 && unseen_at[k - 1];
            let leaps = points[k].breaks && !was_blind;
            k == 0 || leaps || starts[k].0 || starts[k].1
        })
        .collect();
    truth.stood_m += stand_still(points, &breaks);
    for index in 0..points.len() {
        let (point, blind) = (points[index], unseen_at[index]);
        let was_blind = index > 0 && unseen_at[index - 1];
        if index > 0 && breaks[index] {
            truth.gaps.push(Gap::new(&points[index - 1], &point, starts[index].0 || starts[index].1));
        }
        let middle = (!blind && !was_blind).then_some(point.middle_m_per_s);
        truth.push(
            point.time_s,
            (point.speed_m_per_s, middle, point.speed_uncertainty_m_per_s),
            breaks[index],
        );
        truth.blind_stretches += usize::from(blind && !was_blind);
        truth.places_m.push(point.position_m);
    }
    gaps::bridge(truth);
}

/// Takes the speed off where the vehicle stands; what length that was (m).
fn stand_still(points: &mut [PathPoint], breaks: &[bool]) -> f64 {
    let time_s: Vec<f64> = points.iter().map(|point| point.time_s).collect();
    let speeds: Vec<f64> = points.iter().map(|point| point.speed_m_per_s).collect();
    let stands = standing(&time_s, &speeds, breaks, CREEPING_M_PER_S);
    let mut stood_m = 0.0;
    for k in 0..points.len() {
        if !stands[k] {
            continue;
        }
        if k > 0 && stands[k - 1] && !breaks[k] {
            stood_m += 0.5 * (speeds[k] + speeds[k - 1]) * (time_s[k] - time_s[k - 1]);
            points[k].middle_m_per_s = 0.0;
        }
        points[k].speed_m_per_s = 0.0;
    }
    stood_m
}

/// Fixes with a position at least [`COMPARED_S`] apart, and their places among all. A speed that stands alone in a row just after one joins
/// it: where positions and speeds come in rows of their own, every second row would else be one or the other.
fn thinned(fixes: &[PathFix]) -> (Vec<PathFix>, Vec<usize>) {
    let (mut thin, mut indices, mut starts): (Vec<PathFix>, _, _) = (Vec::new(), Vec::new(), false);
    for (index, fix) in fixes.iter().enumerate() {
        starts |= fix.starts;
        if fix.position_m.is_none() {
            if let Some(last) = thin.last_mut().filter(|last| fix.time_s - last.time_s < 0.5 * COMPARED_S) {
                last.speed_m_per_s = last.speed_m_per_s.or(fix.speed_m_per_s);
            }
            continue;
        }
        if thin.last().is_none_or(|last| fix.time_s - last.time_s >= COMPARED_S) {
            thin.push(PathFix { starts: std::mem::take(&mut starts), ..*fix });
            indices.push(index);
        }
    }
    (thin, indices)
}

fn standing_on(path: &Path) -> Vec<bool> {
    let time_s: Vec<f64> = path.points.iter().map(|point| point.time_s).collect();
    let speeds: Vec<f64> = path.points.iter().map(|point| point.speed_m_per_s).collect();
    let breaks: Vec<bool> = path.points.iter().map(|point| point.breaks).collect();
    standing(&time_s, &speeds, &breaks, CREEPING_M_PER_S)
}

fn of_positions_alone(fixes: &[PathFix]) -> (Path, [SelfCheck; 2], f64) {
    let path = smooth(fixes);
    let (thin, indices) = thinned(fixes);
    let whole = Legs::of_path(&path.points).at(&indices);
    let stands = standing_on(&path);
    let stands: Vec<bool> = indices.iter().map(|index| stands[*index]).collect();
    let halved = self_check::halved(&thin, &whole, path.levels, &stands);
    let used = |k: usize| stands[k] || path.points[indices[k]].position_rejected;
    let off = self_check::smoothed_off(&thin, &whole, used);
    let checked = checked(&path, fixes, &whole, [halved, off, [0.0; 2]]);
    (path, checked, 0.0)
}

/// What the drive shows of its errors: halves of it, what smoothing took off and contradictions, each whole and faster than 5 m/s, beside what
/// the path tells of all of it.
fn checked(
    path: &Path,
    fixes: &[PathFix],
    whole: &Legs,
    [halved, smoothed_off, contradiction_u]: [[f64; 2]; 3],
) -> [SelfCheck; 2] {
    let (turned_per_s2, left_out) = (self_check::turned_per_s2(&path.points), left_out(path, fixes));
    let wander_u = wander_u(path, whole);
    [0, 1].map(|which| SelfCheck {
        halved: halved[which],
        smoothed_off: smoothed_off[which],
        wander_u,
        turned_per_s2,
        left_out,
        contradiction_u: contradiction_u[which],
    })
}

/// Share of the positions that are far from the path.
fn left_out(path: &Path, fixes: &[PathFix]) -> f64 {
    let placed = fixes.iter().filter(|fix| fix.position_m.is_some()).count();
    path.points.iter().filter(|point| point.position_rejected).count() as f64 / placed.max(1) as f64
}

/// What stretches where positions wander leave unsure, as a share of the length.
fn wander_u(path: &Path, whole: &Legs) -> f64 {
    let length_m = whole.total_m();
    if length_m > path.wander_u_m { path.wander_u_m / length_m } else { f64::from(path.wander_u_m > 0.0) }
}

/// Positions and speeds together; the speeds are put where they belong in time.
fn of_both(fixes: &mut [PathFix]) -> (Path, [SelfCheck; 2], f64) {
    let (thin, indices) = thinned(fixes);
    let without_speeds: Vec<PathFix> =
        thin.iter().map(|fix| PathFix { speed_m_per_s: None, ..*fix }).collect();
    let alone = smooth(&without_speeds);
    let interval_s = usual_interval_s(fixes.iter().map(|fix| fix.time_s));
    let timing = Timing::new(fixes, &alone.points, interval_s).unwrap_or_default();
    timing.apply(fixes);
    let known = if thin.len() == fixes.len() { Known::OfPositions(alone.levels) } else { Known::Nothing };
    let path = smooth_knowing(fixes, known);
    let thin: Vec<PathFix> = thin
        .iter()
        .zip(&indices)
        .map(|(fix, index)| PathFix {
            speed_m_per_s: fixes[*index].speed_m_per_s,
            speed_extra_m_per_s: fixes[*index].speed_extra_m_per_s,
            ..*fix
        })
        .collect();
    let whole = Legs::of_path(&path.points).at(&indices);
    let stands = standing_on(&path);
    let stands: Vec<bool> = indices.iter().map(|index| stands[*index]).collect();
    let halved = self_check::halved(&thin, &whole, path.levels, &stands);
    let legs_alone = Legs::of_path(&alone.points);
    let used = |k: usize| stands[k] || alone.points.get(k).is_none_or(|point| point.position_rejected);
    let off = self_check::smoothed_off(&thin, &legs_alone, used);
    let contradiction = self_check::contradiction(&thin, &legs_alone, &whole, &stands, off);
    let checked = checked(&path, fixes, &whole, [halved, off, contradiction]);
    (path, checked, timing.delay_s)
}

pub fn of_speeds(clean: &Clean) -> Truth {
    let seen = || clean.fixes.iter().filter_map(|fix| Some((fix, fix.speed_m_per_s?)));
    let time_s: Vec<f64> = seen().map(|(fix, _)| fix.time_s).collect();
    let mut speeds: Vec<f64> = seen().map(|(_, speed)| speed).collect();
    let breaks: Vec<bool> = seen().enumerate().map(|(index, (fix, _))| fix.starts || index == 0).collect();
    let mut truth = Truth::with_room(time_s.len());
    truth.stood_m = stood_m(&time_s, &mut speeds, &breaks);
    let middles = middles(&time_s, &speeds, &breaks);
    let whole = Legs::of_speeds(&time_s, &speeds, &middles, &breaks);
    let halved = self_check::halved_speeds(&whole, |phase| half_of_speeds(&time_s, &speeds, &breaks, phase));
    truth.checked = halved.map(|halved| SelfCheck { halved, ..SelfCheck::default() });
    let (mut bent_m, mut all_m) = (0.0, 0.0);
    for (index, middle) in middles.into_iter().enumerate() {
        if index > 0 && breaks[index] {
            let (before, after) = ((time_s[index - 1], speeds[index - 1]), (time_s[index], speeds[index]));
            truth.gaps.push(Gap::of_speeds(before, after));
        }
        truth.push(time_s[index], (speeds[index], middle, REPORTED_U_M_PER_S), breaks[index]);
        if let Some(middle) = middle {
            let (step_s, mean) =
                (time_s[index] - time_s[index - 1], 0.5 * (speeds[index - 1] + speeds[index]));
            if mean > MOVING_M_PER_S {
                bent_m += step_s * 2.0 * (middle - mean) / 3.0;
                all_m += step_s * mean;
            }
        }
    }
    truth.bent_u = (bent_m / all_m.max(1.0)).abs() * (truth.interval_s() / BENT_WHOLE_S).min(1.0);
    gaps::bridge(&mut truth);
    truth
}

/// Takes the speed off where the vehicle stands; what length that was (m).
fn stood_m(time_s: &[f64], speeds: &mut [f64], breaks: &[bool]) -> f64 {
    let stands = standing(time_s, speeds, breaks, CREEPING_BY_SPEEDS_M_PER_S);
    let both = |k: usize| stands[k] && stands[k - 1] && !breaks[k];
    let legs = (1..time_s.len()).filter(|k| both(*k));
    let stood_m = legs.map(|k| 0.5 * (speeds[k] + speeds[k - 1]) * (time_s[k] - time_s[k - 1])).sum();
    speeds.iter_mut().zip(&stands).filter(|(_, stands)| **stands).for_each(|(speed, _)| *speed = 0.0);
    stood_m
}

/// Every second speed, and their places among all.
fn half_of_speeds(time_s: &[f64], speeds: &[f64], breaks: &[bool], phase: usize) -> (Legs, Vec<usize>) {
    let indices: Vec<usize> = (phase..time_s.len()).step_by(2).collect();
    let of = |values: &[f64]| indices.iter().map(|index| values[*index]).collect::<Vec<f64>>();
    let (time_s, speeds) = (of(time_s), of(speeds));
    let broken = |index: usize| breaks[index] || index == phase || breaks[index - 1];
    let breaks: Vec<bool> = indices.iter().map(|index| broken(*index)).collect();
    (Legs::of_speeds(&time_s, &speeds, &middles(&time_s, &speeds, &breaks), &breaks), indices)
}

/// How much longer a step is with its coordinates swapped back: east and north, for a track that begins at this latitude and longitude
/// (rad). Nothing where the longitude could be no latitude.
fn scales(latitude: f64, longitude: f64) -> Option<[f64; 2]> {
    (longitude.abs() < std::f64::consts::FRAC_PI_2 && latitude.cos() > 0.0)
        .then(|| [1.0 / latitude.cos(), longitude.cos()])
}
