//! Positions written with too few decimals: they stand in a grid, and what lies between its lines nobody knows.
//!
//! Rounding to a coarse grid is no noise: along a street the same error stands for a minute and then jumps by a whole step, so that no
//! filter takes it off. Positions in such steps are left out where speeds were reported, which then carry the answer alone; without
//! speeds there is none.
//!
//! A track that goes from line to line of the grid in even steps was not rounded to it: somebody laid it out so, or thinned it out.

use crate::logs::Track;
use crate::measure::drive::input::fixes::{Clean, count};
use crate::measure::drive::rejection::RejectionCause;
use crate::problem::Problem;

/// Steps that are looked for (degrees): decimals of a degree and of a minute, coarse ones first.
const STEPS_DEG: [f64; 7] = [1.0, 0.1, 1.0 / 60.0, 0.01, 0.1 / 60.0, 0.001, 0.01 / 60.0];
/// A degree of latitude (m): 60 nautical miles.
const DEGREE_M: f64 = 60.0 * 1852.0;
/// A coordinate this near to a line of the grid (share of the step) stands on it: minutes are written as degrees of six decimals.
const NEAR: f64 = 0.01;
/// Positions looked at, spread over the track, and fewest that tell.
const LOOKED_AT: usize = 300;
const LEAST: usize = 20;
/// Share of them that must stand in the grid: others are off the path.
const MOST: f64 = 0.9;

/// Latitude and longitude of a fix (degrees).
fn place(track: &Track, index: usize) -> Option<[f64; 2]> {
    let fix = track.fixes.get(index)?;
    Some([fix.latitude?.deg(), fix.longitude?.deg()])
}

/// The step (m) of the grid in which the positions of a track stand, where it is a coarse one.
fn step_m(track: &Track) -> Option<f64> {
    let every = track.fixes.len().div_ceil(LOOKED_AT).max(1);
    let looked_at = || (0..track.fixes.len()).step_by(every);
    let seen: Vec<[f64; 2]> = looked_at().filter_map(|index| place(track, index)).collect();
    if seen.len() < LEAST {
        return None;
    }
    let stands = |step: f64, deg: f64| (deg / step - (deg / step).round()).abs() < NEAR;
    let share = |step: f64| {
        let standing = seen.iter().filter(|place| place.iter().all(|deg| stands(step, *deg)));
        standing.count() as f64 / seen.len() as f64
    };
    let step = STEPS_DEG.into_iter().find(|step| share(*step) > MOST)?;
    let laid_out = goes_evenly(looked_at().filter_map(|index| ways(track, index)), NEAR * step);
    (!laid_out).then_some(step * DEGREE_M)
}

/// The ways from a fix to the next and from there on (degrees).
fn ways(track: &Track, index: usize) -> Option<[[f64; 2]; 2]> {
    let [here, next, after] = [0, 1, 2].map(|ahead| place(track, index + ahead));
    let way = |from: [f64; 2], to: [f64; 2]| [to[0] - from[0], to[1] - from[1]];
    Some([way(here?, next?), way(next?, after?)])
}

/// Whether nearly every way is as long as the one before, and most lead anywhere.
fn goes_evenly(ways: impl Iterator<Item = [[f64; 2]; 2]>, near_deg: f64) -> bool {
    let (mut all, mut moving, mut even) = (0, 0, 0);
    for [first, second] in ways {
        let near = |a: f64, b: f64| (a - b).abs() < near_deg;
        let moves = !(near(first[0], 0.0) && near(first[1], 0.0));
        all += 1;
        moving += usize::from(moves);
        even += usize::from(moves && near(first[0], second[0]) && near(first[1], second[1]));
    }
    2 * moving > all && even as f64 > MOST * moving as f64
}

/// Leaves positions in a coarse grid out, and says so: an error where nothing else is left.
pub fn leave_out_coarse(source: &str, track: &Track, clean: &mut Clean) -> Option<Problem> {
    let step_m = step_m(track)?;
    let before = clean.fixes.len();
    clean.drop_positions();
    count(&mut clean.rejected, RejectionCause::PositionInCoarseGrid, before - clean.fixes.len());
    let expected = "positions with five decimals of a degree, or three of a minute";
    let found = format!("positions in steps of some {step_m:.0} m");
    let hint = "export the track with all its decimals";
    Some(if clean.fixes.len() < 3 {
        Problem::error(source, expected, found).hint(format!("{hint}; the ratio cannot be told from these"))
    } else {
        Problem::warning(source, expected, found).hint(format!("the speeds alone are used; {hint}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Fix;
    use crate::measure::drive::input::fixes::clean;
    use metrology::quantity::{Angle, Instant, Speed};

    /// A hundred fixes along no direction of note, each coordinate through `written` (degrees).
    fn check(written: impl Fn(f64) -> f64, speeds: bool, expected: Option<&str>) {
        let fix = |k: usize| Fix {
            time: Some(Instant::from_s(k as f64)),
            latitude: Some(Angle::from_deg(written(41.237_146 + 1.37e-4 * k as f64))),
            longitude: Some(Angle::from_deg(written(-9.518_733 + 0.93e-4 * k as f64))),
            speed: speeds.then(|| Speed::from_m_per_s(17.0)),
            ..Fix::default()
        };
        let track = Track { fixes: (0..100).map(fix).collect(), ..Track::default() };
        let mut clean = clean(&track);
        let told = leave_out_coarse("track", &track, &mut clean).map(|problem| problem.to_string());
        assert_eq!(told.is_some(), expected.is_some(), "{told:?}");
        assert!(told.iter().zip(expected).all(|(told, part)| told.contains(part)), "{told:?}");
        let positions = clean.fixes.iter().filter(|fix| fix.position_m.is_some()).count();
        assert_eq!(positions, if expected.is_some() { 0 } else { 100 });
    }

    #[test]
    fn grids() {
        let decimals = |places: i32| move |deg: f64| (deg * 10f64.powi(places)).round() / 10f64.powi(places);
        // Minutes with decimals, turned into degrees and written with six of them.
        let minutes = move |places: i32| move |deg: f64| decimals(6)(decimals(places)(deg * 60.0) / 60.0);
        for speeds in [false, true] {
            check(|deg| deg, speeds, None);
            check(decimals(6), speeds, None);
            check(decimals(5), speeds, None);
            check(minutes(4), speeds, None);
            check(minutes(3), speeds, None);
        }
        // 60 · 1852 m a degree.
        check(decimals(3), true, Some("steps of some 111 m. the speeds alone are used"));
        check(decimals(3), false, Some("the ratio cannot be told"));
        check(decimals(2), false, Some("steps of some 1111 m"));
        check(minutes(1), true, Some("steps of some 185 m"));
        check(minutes(2), true, Some("steps of some 19 m"));
        check(|_| 0.0, true, Some("the speeds alone are used"));
        // Laid out in steps of a grid, and not rounded to it: due north by a thousandth of a degree from fix to fix.
        let north = |deg: f64| 41.237 + 1e-3 * ((deg - 41.237_146) / 1.37e-4).round();
        check(|deg| if deg > 0.0 { north(deg) } else { -9.518 }, false, None);
    }
}
