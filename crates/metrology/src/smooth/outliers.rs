//! Single positions that stand out from a path that goes on on both sides of them.
//!
//! The filter alone looks back only: an error of a few standing deviations bends its velocity before it is known to be
//! one, and then the good fixes that follow look wrong. Looked at from both sides it is plain.

use super::PathFix;
use nalgebra::Vector2;

/// No body leaves its path by this much (m) and is back on it at once.
const LEAST_M: f64 = 12.0;
/// So many times as far out as the usual fix is from the middle of its neighbours; noisy receivers have farther ones.
const OVER_USUAL: f64 = 6.0;
/// Both sides carried over to each other must meet within this share of what stands out between them.
const MEETING: f64 = 0.7;
/// Two of these fixes before, or after, tell where the path comes from, or goes to: one of three may be off the path itself.
const PAIRS: [(usize, usize); 3] = [(1, 2), (1, 3), (2, 3)];

#[derive(Copy, Clone)]
struct Place {
    index: usize,
    time_s: f64,
    at_m: Vector2<f64>,
}

/// Indices of the fixes whose position is off the path, rising.
pub(super) fn outliers(fixes: &[PathFix]) -> Vec<usize> {
    let mut places: Vec<Place> = Vec::new();
    let mut begins = vec![0];
    for (index, fix) in fixes.iter().enumerate() {
        if fix.starts {
            begins.push(places.len());
        }
        let place = |at: [f64; 2]| Place { index, time_s: fix.time_s, at_m: at.into() };
        places.extend(fix.position_m.map(place));
    }
    begins.push(places.len());
    let mut out_m: Vec<f64> = places.windows(3).map(out_of_the_middle).collect();
    if out_m.is_empty() {
        return Vec::new();
    }
    let middle = out_m.len() / 2;
    let usual_m = *out_m.select_nth_unstable_by(middle, f64::total_cmp).1;
    let least_m = LEAST_M.max(OVER_USUAL * usual_m);
    let segments = begins.windows(2).map(|ends| &places[ends[0]..ends[1]]);
    segments
        .flat_map(|segment| (2..segment.len().saturating_sub(2)).map(move |k| (segment, k)))
        .filter(|(segment, k)| out_of_the_middle(&segment[k - 1..=k + 1]) > 0.5 * least_m)
        .filter(|(segment, k)| is_outlier(segment, *k, least_m))
        .map(|(segment, k)| segment[k].index)
        .collect()
}

/// How far the second of three places is from where the line between the others is at its time (m).
fn out_of_the_middle(three: &[Place]) -> f64 {
    (three[1].at_m - carried(&three[0], &three[2], three[1].time_s)).norm()
}

/// The line through two places at a time.
fn carried(one: &Place, other: &Place, time_s: f64) -> Vector2<f64> {
    let share = (time_s - one.time_s) / (other.time_s - one.time_s);
    one.at_m + (other.at_m - one.at_m) * share
}

fn is_outlier(segment: &[Place], k: usize, least_m: f64) -> bool {
    let before = PAIRS
        .iter()
        .filter_map(|(near, far)| Some((segment.get(k - near)?, segment.get(k.checked_sub(*far)?)?)));
    let after = PAIRS.iter().filter_map(|(near, far)| Some((segment.get(k + near)?, segment.get(k + far)?)));
    let here = &segment[k];
    let mut sides = before.flat_map(|before| after.clone().map(move |after| (before, after)));
    sides.any(|((last, earlier), (next, later))| {
        let span_s = next.time_s - last.time_s;
        let share = (here.time_s - last.time_s) / span_s;
        let path_m =
            carried(last, earlier, here.time_s) * (1.0 - share) + carried(next, later, here.time_s) * share;
        let out_m = (here.at_m - path_m).norm();
        let meet_m = (carried(last, earlier, next.time_s) - next.at_m)
            .norm()
            .max((carried(next, later, last.time_s) - last.at_m).norm());
        out_m > least_m && meet_m < MEETING * out_m
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A path that speeds up, slows down and turns, with some of its positions moved.
    fn check(moved: &[(usize, [f64; 2])], expected: &[usize]) {
        let mut fixes: Vec<PathFix> = (0..60)
            .map(|k| {
                let t = f64::from(k);
                let position = [200.0 * (t / 15.0).sin(), 12.0 * t + 20.0 * (t / 4.0).cos()];
                PathFix { time_s: t, position_m: Some(position), ..PathFix::default() }
            })
            .collect();
        for (from, [east, north]) in moved {
            fixes[*from].position_m = fixes[*from].position_m.map(|at| [at[0] + east, at[1] + north]);
        }
        assert_eq!(outliers(&fixes), expected, "{moved:?}");
    }

    #[test]
    fn single_ones_and_two_together() {
        check(&[], &[]);
        check(&[(20, [25.0, 0.0])], &[20]);
        check(&[(20, [0.0, -180.0]), (40, [30.0, 30.0])], &[20, 40]);
        check(&[(20, [60.0, 0.0]), (21, [-40.0, 0.0])], &[20, 21]);
        check(&[(20, [60.0, 0.0]), (22, [-40.0, 0.0])], &[20, 22]);
    }

    #[test]
    fn a_new_place_is_no_outlier() {
        for length in [5, 30] {
            let moved: Vec<_> = (20..20 + length).map(|k| (k, [0.0, 900.0])).collect();
            check(&moved, &[]);
        }
    }

    #[test]
    fn too_few_tell_nothing() {
        let fix = |k: usize| PathFix {
            time_s: k as f64,
            position_m: Some([0.0, 1e3 * (k % 2) as f64]),
            ..PathFix::default()
        };
        for count in 0..5 {
            assert_eq!(outliers(&(0..count).map(fix).collect::<Vec<_>>()), [0; 0]);
        }
    }
}
