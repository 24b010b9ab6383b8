//! A drive against what a passenger marked while it was recorded: speeds held from one moment to another, and the odometer at the
//! moments at which it turned. Both are on the track's clock, so nothing has to be matched by order.

use super::holds::{Stretch, against_stretches, stretch};
use super::odometer::{OdometerDistance, from_distance};
use crate::describe::evidence::OdometerRead;
use crate::logs::{MarkedHold, MarkedOdometer, Marks};
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{DriveEstimate, Marked};
use crate::measure::odometer_reading::{REACTION_S, reading_u};
use crate::problem::Problem;
use crate::units::Units;
use metrology::quantity::{Length, Speed};

/// A hold has to last so long (s): two glances at a needle that stands.
const SHORTEST_S: f64 = 3.0;
/// A mark between the first and the last that lies farther off their line than so many of its standard uncertainties is a slip.
const SLIP_DEVIATIONS: f64 = 5.0;

/// What the marks say. Where both dial and odometer were marked, the dial's answer carries the odometer's ratio beside it.
pub fn against_marks(study: &mut Study, marks: &Marks, which: Marked) -> Option<DriveEstimate> {
    let wants = |one: Marked| which == Marked::All || which == one;
    let distance = wants(Marked::Odometer).then(|| marked_distance(study, &marks.odometer)).flatten();
    let held = if wants(Marked::Holds) { placed(study, &marks.holds) } else { Vec::new() };
    if held.is_empty() {
        return match distance {
            Some(distance) => Some(from_distance(study, &distance, OdometerRead::AsItTurned)),
            None => nothing_marked(study, which),
        };
    }
    let (stretches, called): (Vec<Stretch>, Vec<Speed>) = held.into_iter().unzip();
    let ratio = distance.map(|distance| distance.ratio());
    let estimate = against_stretches(study, &stretches, &called)?;
    Some(DriveEstimate { by_odometer: ratio, ..estimate })
}

fn nothing_marked(study: &mut Study, which: Marked) -> Option<DriveEstimate> {
    let expected = match which {
        Marked::Holds => "speeds held that were marked while recording",
        Marked::Odometer => "the odometer marked at two moments or more at which it turned",
        Marked::All => "speeds held, or the odometer as it turned, marked while recording",
    };
    let problem = Problem::error(study.source, expected, "none that can be used");
    study
        .problems
        .push(problem.hint("mark them on the drive; or give called-out speeds or two readings by hand"));
    None
}

/// The stretches of the track for holds, without those that lie in a gap or are too short.
fn placed(study: &mut Study, holds: &[MarkedHold]) -> Vec<(Stretch, Speed)> {
    let found: Vec<Option<(Stretch, Speed)>> = holds.iter().map(|hold| place(study, hold)).collect();
    let lost = holds.iter().zip(&found).filter(|(_, found)| found.is_none());
    if let Some((first, _)) = lost.clone().next() {
        let expected = format!("marked holds of {SHORTEST_S:.0} s or more with fixes all along");
        let problem = Problem::warning(study.source, expected, format!("{} others", lost.count()));
        study.problems.push(problem.at_line(first.line).hint("left out; the others were used"));
    }
    found.into_iter().flatten().collect()
}

fn place(study: &Study, hold: &MarkedHold) -> Option<(Stretch, Speed)> {
    let times = &study.truth.time_s;
    let from = times.partition_point(|time_s| *time_s < hold.start.s());
    let to = times.partition_point(|time_s| *time_s <= hold.end.s()).checked_sub(1)?;
    let is_whole = to > from && !study.truth.breaks[from + 1..=to].iter().any(|breaks| *breaks);
    let is_long = is_whole && times[to] - times[from] >= SHORTEST_S;
    is_long.then(|| (stretch(study, from, to), hold.shown))
}

/// The longest distance between two moments at which the odometer turned that nothing parts.
fn marked_distance(study: &mut Study, marks: &[MarkedOdometer]) -> Option<OdometerDistance> {
    let first = marks.first()?;
    let joined = groups(study, marks).into_iter();
    let distances = joined.filter_map(|group| {
        let (from, to) = (*group.first()?, *group.last()?);
        Some((between(study, &from, &to)?, from, to, group))
    });
    let Some((distance, from, to, group)) = distances.max_by(|a, b| a.0.true_m.total_cmp(&b.0.true_m)) else {
        let problem = Problem::warning(
            study.source,
            "the odometer marked at two moments of one stretch without a gap",
            format!("{} marks that are not", marks.len()),
        );
        let hint = "mark it where it turns, early and late; the odometer was left out";
        study.problems.push(problem.at_line(first.line).hint(hint));
        return None;
    };
    if distance.indicated.m() <= 0.0 {
        let further = Units::of_step(from.shown.resolution).say_road(distance.indicated, 1);
        let problem =
            Problem::warning(study.source, "an odometer that counts up", format!("{further} further"));
        let hint = "see which mark was typed wrong; the odometer was left out";
        study.problems.push(problem.at_line(to.line).hint(hint));
        return None;
    }
    if let Some(mark) = group.iter().find(|mark| is_off_the_line(study, &from, mark, &distance)) {
        let expected = "marks of the odometer that agree with each other";
        let problem = Problem::warning(study.source, expected, "one that does not");
        study.problems.push(
            problem.at_line(mark.line).hint("see whether digits were typed wrong or a turn was missed"),
        );
    }
    Some(distance)
}

/// The marks in order of time, parted where nothing is known between one and the next: each is looked at once, however many
/// there are.
fn groups(study: &Study, marks: &[MarkedOdometer]) -> Vec<Vec<MarkedOdometer>> {
    let mut sorted = marks.to_vec();
    sorted.sort_by(|a, b| a.at.s().total_cmp(&b.at.s()));
    let is_joined =
        |a: &MarkedOdometer, b: &MarkedOdometer| study.truth.metres_between(a.at.s(), b.at.s()).is_some();
    sorted.chunk_by(is_joined).map(<[MarkedOdometer]>::to_vec).collect()
}

fn between(study: &Study, first: &MarkedOdometer, last: &MarkedOdometer) -> Option<OdometerDistance> {
    let truth = &study.truth;
    let (start_s, end_s) = (first.at.s(), last.at.s());
    let true_m = truth.metres_between(start_s, end_s).filter(|metres| *metres > 0.0)?;
    let speeds = [start_s, end_s].map(|time_s| truth.at(time_s, &mut 0).map_or(0.0, |(speed, ..)| speed));
    let read_u = reading_u(OdometerRead::AsItTurned, first.shown.resolution).m();
    Some(OdometerDistance {
        indicated: Length::from_m(last.shown.value.m() - first.shown.value.m()),
        true_m,
        read_m: std::f64::consts::SQRT_2 * read_u,
        ends_u_m: REACTION_S * f64::hypot(speeds[0], speeds[1]),
        // No part of a drive is less sure than the whole.
        track_u_m: truth.distance()?.standard_uncertainty.m(),
    })
}

/// Whether a mark lies off the line of the longest distance by more than its errors explain.
fn is_off_the_line(
    study: &Study,
    from: &MarkedOdometer,
    mark: &MarkedOdometer,
    whole: &OdometerDistance,
) -> bool {
    between(study, from, mark).is_some_and(|part| {
        let off_m = part.indicated.m() - whole.indicated.m() / whole.true_m * part.true_m;
        off_m.abs() > SLIP_DEVIATIONS * part.read_m.hypot(part.ends_u_m).hypot(part.track_u_m)
    })
}
