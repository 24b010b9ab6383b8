//! Stretches in which positions wander: signals reflected by houses move them by metres a second for minutes.
//!
//! How far a position lies from the line between its neighbours tells a wander from motion: a random walk of intensity `w` leaves a variance
//! of `w h₁h₂/(h₁+h₂)` there in each axis, white error `r` one of `r² (1 + (h₁²+h₂²)/(h₁+h₂)²)`, an acceleration `a` a distance of `a h₁h₂/2`.
//! The median of its square over some fixes is that of a chi-square of two degrees of freedom, `2 ln 2` times the variance, and does not heed
//! single outliers. What is beyond white error, the usual slow error and motion is the wander's.

use super::{Levels, PathFix, PathPoint, Run};
use crate::order::quantile;
use nalgebra::Vector2;

/// Fixes on either side that are looked at together: twenty seconds at 1 Hz, as long as the shortest wander is worth knowing of.
const SIDE: usize = 10;
/// Neighbours farther apart than this (s) tell nothing: in that time a body turns a corner.
const DENSE_S: f64 = 2.5;
/// Acceleration of usual motion (m/s²), of which a position may be off the line between its neighbours.
const USUAL_M_PER_S2: f64 = 2.0;
/// A wander counts where its variance is beyond this many times what white error and motion make; less is hardly told from chance.
const CLEAR: f64 = 3.0;
/// Median of a chi-square of two degrees of freedom.
const MEDIAN_CHI2: f64 = 2.0 * std::f64::consts::LN_2;

/// A wander of the positions goes on from its error for so long (s); after that it is another one (judgement: a street's houses).
const WANDER_S: f64 = 20.0;
/// Share of the length of stretches where positions wander that may be wrong beside what their ends are off (simulated streets between houses), by
/// positions alone and with speeds beside them.
const WANDER_U: f64 = 0.05;
const REPORTED_WANDER_U: f64 = 0.01;

/// Intensity of the wander (m²/s, each axis) at each fix; zero nearly everywhere.
pub(super) fn wander_m2_per_s(fixes: &[PathFix], levels: &Levels) -> Vec<f64> {
    let placed: Vec<usize> = (0..fixes.len()).filter(|k| fixes[*k].position_m.is_some()).collect();
    // Squared distance off the line over what it is for a wander of one; and what white error and motion make of that.
    let told: Vec<Option<[f64; 2]>> =
        (0..placed.len()).map(|k| off_the_line(fixes, &placed, k, levels)).collect();
    let mut near = Vec::with_capacity(2 * SIDE + 1);
    let local = |k: usize| {
        let window = &told[k.saturating_sub(SIDE)..(k + SIDE + 1).min(told.len())];
        near.clear();
        near.extend(window.iter().flatten().map(|[seen, _]| *seen));
        let usual = window.iter().flatten().map(|[_, usual]| usual).sum::<f64>() / near.len() as f64;
        (near.len() > SIDE).then(|| (quantile(&mut near, 0.5) / MEDIAN_CHI2, usual))
    };
    let local: Vec<Option<(f64, f64)>> = (0..told.len()).map(local).collect();
    // What half the drive shows is how its positions err, a coarse grid for one, and no wander.
    let all = quantile(&mut local.iter().flatten().map(|(seen, _)| *seen).collect::<Vec<f64>>(), 0.5);
    let mut wander = vec![0.0; fixes.len()];
    for (index, (seen, usual)) in
        placed.iter().zip(&local).filter_map(|(index, local)| Some((index, (*local)?)))
    {
        let usual = f64::max(usual, all);
        if seen > CLEAR * usual {
            wander[*index] = seen - usual;
        }
    }
    wander
}

fn off_the_line(fixes: &[PathFix], placed: &[usize], k: usize, levels: &Levels) -> Option<[f64; 2]> {
    let three = [k.checked_sub(1)?, k, k + 1].map(|k| placed.get(k).map(|index| &fixes[*index]));
    let [Some(before), Some(here), Some(after)] = three else { return None };
    let (early_s, late_s) = (here.time_s - before.time_s, after.time_s - here.time_s);
    if here.starts || after.starts || early_s.max(late_s) > DENSE_S || early_s.min(late_s) <= 0.0 {
        return None;
    }
    let [from, at, to] = [before, here, after].map(|fix| Vector2::from(fix.position_m.unwrap_or_default()));
    let span_s = early_s + late_s;
    let off_m2 = (at - from - (to - from) * (early_s / span_s)).norm_squared();
    let by_walk_s = early_s * late_s / span_s;
    let white_m2 = levels.white_m.powi(2) * (1.0 + (early_s.powi(2) + late_s.powi(2)) / span_s.powi(2));
    let motion_m2 = 0.5 * (0.5 * USUAL_M_PER_S2 * early_s * late_s).powi(2);
    let slow_m2_per_s = 2.0 * levels.slow_m.powi(2) / levels.slow_time_s;
    Some([off_m2 / by_walk_s, slow_m2_per_s + (white_m2 + motion_m2) / by_walk_s])
}

impl Run {
    /// Standard uncertainty of the path's length (m) from stretches where positions wander: the error at both ends of each, and a share.
    pub(super) fn wander_u_m(&self, fixes: &[PathFix], points: &[PathPoint]) -> f64 {
        let (mut ends_m2, mut along_m, mut span_s) = (0.0, 0.0, 0.0);
        for (index, two) in points.windows(2).enumerate() {
            let wander = self.wander_at(index + 1);
            if wander == 0.0 || two[1].breaks {
                span_s = 0.0;
                continue;
            }
            let step_s = two[1].time_s - two[0].time_s;
            let reported = fixes[index + 1].speed_m_per_s.is_some();
            let share = if reported { REPORTED_WANDER_U } else { WANDER_U };
            along_m += share * step_s * 0.5 * (two[0].speed_m_per_s + two[1].speed_m_per_s);
            if !reported && span_s < WANDER_S {
                ends_m2 += wander * step_s;
            }
            span_s += step_s;
        }
        (ends_m2 + along_m * along_m).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;
    use rand_distr::StandardNormal;

    const LEVELS: Levels =
        Levels { white_m: 0.6, slow_m: 3.0, slow_time_s: 60.0, walk_m2_per_s3: 2.0, reported_m_per_s: 0.1 };

    /// A drive round corners whose positions wander by so many m²/s from fix 200 to 300.
    fn fixes(wander: f64, white_m: f64, interval_s: f64) -> Vec<PathFix> {
        let mut random = ChaCha8Rng::seed_from_u64(1);
        let mut off = Vector2::zeros();
        let mut normal = || Vector2::new(random.sample(StandardNormal), random.sample(StandardNormal));
        let fix = |k: usize| {
            let t = k as f64 * interval_s;
            let walk: Vector2<f64> = normal() * (wander * interval_s).sqrt();
            off = if (200..300).contains(&k) { off + walk } else { Vector2::zeros() };
            let at = Vector2::new(60.0 * (t / 9.0).sin(), 8.0 * t) + off + normal() * white_m;
            PathFix { time_s: t, position_m: Some(at.into()), ..PathFix::default() }
        };
        (0..500).map(fix).collect()
    }

    #[test]
    fn a_wander_is_found_where_it_is_and_as_strong_as_it_is() {
        let wander = wander_m2_per_s(&fixes(40.0, 0.6, 1.0), &LEVELS);
        assert!(wander[..185].iter().chain(&wander[315..]).all(|w| *w == 0.0));
        let inside = &wander[215..285];
        let mean = inside.iter().sum::<f64>() / inside.len() as f64;
        assert!((25.0..60.0).contains(&mean), "{mean}");
    }

    #[test]
    fn what_errs_as_it_is_known_to_does_not_wander() {
        for (white_m, interval_s) in [(0.3, 1.0), (0.6, 1.0), (0.6, 0.1), (0.6, 5.0)] {
            let wander = wander_m2_per_s(&fixes(0.0, white_m, interval_s), &LEVELS);
            assert!(wander.iter().all(|w| *w == 0.0), "{white_m} m, {interval_s} s");
        }
    }
}
