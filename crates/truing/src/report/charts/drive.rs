//! Pictures of a drive beside its speeds: what the ratio leaves unexplained, and the shape of the road.

use crate::logs::Track;
use crate::measure::drive::DriveEstimate;
use crate::report::document::{Chart, Series, SeriesKind};
use crate::units::Units;
use metrology::geodesy::{Path, Position};
use metrology::quantity::{Duration, Length, Speed};

/// Points drawn of a series at most: more cannot be told apart on a page.
const DRAWN_MOST: usize = 600;

/// What is left of the indicated speed when the ratio and the offset are taken out; none where no ratio was found.
pub fn residuals(drive: &DriveEstimate, units: Units) -> Option<Chart> {
    let ratio = drive.reading_ratio.as_ref()?.value.plain();
    let offset = drive.offset.as_ref().map_or(0.0, |offset| offset.value.m_per_s());
    let left = |indicated: Speed, truth: f64| {
        units.of_speed(Speed::from_m_per_s(indicated.m_per_s() - ratio * truth - offset))
    };
    let (points, kind): (Vec<(f64, f64)>, SeriesKind) = if drive.trace.indicated.is_empty() {
        let one = |hold: &crate::measure::drive::Hold| {
            let middle = 0.5 * (hold.start.min() + hold.end.min());
            (middle, left(hold.indicated, hold.truth.value.m_per_s()))
        };
        (drive.holds.iter().map(one).collect(), SeriesKind::Points)
    } else {
        let every = drive.trace.indicated.len().div_ceil(DRAWN_MOST).max(1);
        let thinned = drive.trace.indicated.iter().step_by(every);
        let one = |(time, speed): &(Duration, Speed)| {
            Some((time.min(), left(*speed, truth_at(&drive.trace.truth, *time)?)))
        };
        (thinned.filter_map(one).collect(), SeriesKind::Line)
    };
    if points.is_empty() {
        return None;
    }
    let word = units.speed_word();
    let largest = points.iter().fold(0.0_f64, |largest, point| largest.max(point.1.abs()));
    Some(Chart {
        title: "What the ratio leaves unexplained".into(),
        description: format!(
            "Indicated speed less the ratio times the true speed, over the drive; {largest:.1} {word} at most. A lasting tilt or step \
             would say that one ratio is not all there is."
        ),
        x_label: "time, min".into(),
        y_label: format!("left over, {word}"),
        series: vec![
            Series::new("left over", points, kind),
            Series::new("nothing", vec![(0.0, 0.0)], SeriesKind::Level),
        ],
    })
}

/// True speed (m/s) at a time, linear between the fixes around it.
fn truth_at(truth: &[(Duration, Speed)], time: Duration) -> Option<f64> {
    let upper = truth.partition_point(|(at, _)| at.s() < time.s());
    let (later, at_later) = truth.get(upper)?;
    let Some((before, at_before)) = upper.checked_sub(1).and_then(|index| truth.get(index)) else {
        return Some(at_later.m_per_s());
    };
    let share = (time.s() - before.s()) / (later.s() - before.s()).max(f64::MIN_POSITIVE);
    Some(at_before.m_per_s() + share * (at_later.m_per_s() - at_before.m_per_s()))
}

/// The shape of the road: east and north of its start, no more points than can be told apart. Where on earth that is does
/// not show in it.
pub fn shape(track: &Track) -> Vec<(Length, Length)> {
    let position =
        |fix: crate::logs::Fix| Some(Position { latitude: fix.latitude?, longitude: fix.longitude? });
    let positions: Vec<Position> = track.fixes.iter().filter_map(position).collect();
    let every = positions.len().div_ceil(DRAWN_MOST).max(1);
    let mut thinned = positions.into_iter().step_by(every);
    let Some(start) = thinned.next() else { return Vec::new() };
    let mut path = Path::new(start);
    let rest = thinned.map(|position| path.go_to(position));
    std::iter::once((Length::from_m(0.0), Length::from_m(0.0))).chain(rest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Fix;
    use metrology::quantity::Angle;

    fn check(places: &[(f64, f64)], expected_m: &[(f64, f64)]) {
        let fix = |(latitude, longitude): &(f64, f64)| Fix {
            latitude: Some(Angle::from_deg(*latitude)),
            longitude: Some(Angle::from_deg(*longitude)),
            ..Fix::default()
        };
        let track = Track { fixes: places.iter().map(fix).collect(), ..Track::default() };
        let found = shape(&track);
        assert_eq!(found.len(), expected_m.len());
        for ((east, north), (expected_east, expected_north)) in found.iter().zip(expected_m) {
            // A centimetre is less than a stroke of any drawing.
            assert!((east.m() - expected_east).abs() < 0.01, "{east:?}");
            assert!((north.m() - expected_north).abs() < 0.01, "{north:?}");
        }
    }

    #[test]
    fn a_road_starts_at_nothing_and_says_no_place() {
        // 1608.973615 m by GeographicLib, as in the example of `metrology::geodesy`.
        check(&[(38.0, -97.0), (38.014_495_7, -97.0)], &[(0.0, 0.0), (0.0, 1_608.973_6)]);
        check(&[], &[]);
    }

    #[test]
    fn truth_between_fixes() {
        let at = |t: f64, v: f64| (Duration::from_s(t), Speed::from_m_per_s(v));
        let truth = [at(0.0, 10.0), at(2.0, 14.0)];
        let check = |t: f64, expected: Option<f64>| {
            assert_eq!(truth_at(&truth, Duration::from_s(t)), expected);
        };
        check(0.0, Some(10.0));
        check(0.5, Some(11.0));
        check(2.0, Some(14.0));
        check(2.1, None);
    }
}
