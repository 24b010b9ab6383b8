//! Latitude and longitude swapped, where no reported speed tells: the vehicle's own log does.
//!
//! Read the wrong way round, a drive is longer one way than the other: what truly went east goes north, longer by one over the cosine
//! of the true latitude, which is taken for the longitude; what truly went north goes east, shorter by the cosine of what is taken
//! for the latitude. The ratio of indicated to true then changes with the direction of travel, as no speedometer's does. With the two swapped back it is one
//! ratio again. Nothing is changed; it is said.

use crate::measure::drive::checks::speeds_beside_positions::exchange_them;
use crate::measure::drive::line::fit::Observation;
use crate::measure::drive::study::Study;
use crate::measure::drive::truth::Truth;
use crate::problem::Problem;
use metrology::order::quantile;

/// Time over which both are compared (s): long beside the error of a position.
const STRETCH_S: f64 = 10.0;
/// Fewest stretches that tell.
const LEAST: usize = 15;
/// A ratio that scatters by less than this from stretch to stretch (median, relative) is one ratio: positions, rounding and bends
/// make one per cent or two.
const ONE_RATIO: f64 = 0.03;
/// Swapped, it must scatter by less than this share of that.
const BETTER: f64 = 0.4;

/// What is to be said of coordinates that fit the vehicle's speeds far better swapped.
pub fn swapped(study: &Study, observations: &[Observation], lag_s: f64) -> Option<Problem> {
    let [read, swapped] = scatters(&study.truth, observations, lag_s)?;
    if read < ONE_RATIO || swapped > BETTER * read {
        return None;
    }
    let found = format!(
        "one that changes with the direction of travel (by {:.0} % from stretch to stretch; by {:.0} % with latitude and longitude swapped)",
        100.0 * read,
        100.0 * swapped
    );
    let problem = Problem::warning(study.source, "one reading ratio whichever way the road goes", found);
    Some(
        problem.hint(exchange_them(
            "latitude and longitude are most likely swapped, and this result is of no use",
        )),
    )
}

/// By how much the ratio of indicated to true differs from stretch to stretch (median, relative): as read, and swapped.
fn scatters(truth: &Truth, observations: &[Observation], lag_s: f64) -> Option<[f64; 2]> {
    let scales = truth.swapped?;
    let first_s = observations.first()?.time_s;
    let stretch = |o: &Observation| ((o.time_s - first_s) / STRETCH_S) as usize;
    let (mut read, mut swapped) = (Vec::new(), Vec::new());
    for stretch in observations.chunk_by(|a, b| stretch(a) == stretch(b)) {
        let (mut indicated, mut true_m, mut swapped_m) = (0.0, 0.0, 0.0);
        for o in stretch {
            let Some([east, north]) = truth.direction_at(o.time_s - lag_s) else { continue };
            indicated += o.indicated * o.share_s;
            true_m += o.truth * o.share_s;
            swapped_m += o.truth * o.share_s * f64::hypot(east * scales[0], north * scales[1]);
        }
        if indicated > 0.0 && true_m > 0.0 {
            read.push(indicated / true_m);
            swapped.push(indicated / swapped_m);
        }
    }
    (read.len() >= LEAST).then(|| [scatter(read), scatter(swapped)])
}

/// Median deviation from the median, relative.
fn scatter(mut ratios: Vec<f64>) -> f64 {
    let middle = quantile(&mut ratios, 0.5);
    let mut apart: Vec<f64> = ratios.iter().map(|ratio| (ratio / middle - 1.0).abs()).collect();
    quantile(&mut apart, 0.5)
}

#[cfg(test)]
mod tests {
    use crate::logs::Fix;
    use crate::measure::drive::{Indicated, estimate};
    use crate::simulate::{Plan, drive};
    use metrology::quantity::{Angle, Duration};

    /// A simulated drive, at a longitude that could be a latitude, its coordinates changed.
    fn told(seed: u64, change: fn(&mut Fix)) -> bool {
        let mut simulated = drive(&Plan::mixed(seed, 1.04, Duration::from_s(3.0)));
        simulated.track.fixes.change_each(|fix| {
            fix.longitude = fix.longitude.map(|longitude| Angle::from_rad(longitude.rad() + 2.0));
            change(fix);
        });
        let problems = estimate("drive", &simulated.track, &Indicated::Log(simulated.vehicle)).1;
        problems.iter().any(|problem| problem.to_string().contains("most likely swapped"))
    }

    /// Of a winding road at 41 degrees; and never of one as it is.
    #[test]
    fn swapped_coordinates_are_told() {
        let swapped = |fix: &mut Fix| std::mem::swap(&mut fix.latitude, &mut fix.longitude);
        for seed in 0..5 {
            assert!(!told(seed, |_| ()), "{seed}");
            assert!(told(seed, swapped), "{seed}");
        }
    }
}
