//! What slopes and height above the ellipsoid add to the length of the road, where the track's heights are good enough.
//!
//! On a grade `g` the road is longer than its picture on the map by `g²/2`. Errors of the heights look like grades and
//! would lengthen every road, so they are told apart by scale: over twice the length a true grade stays and an error
//! counts a quarter. What short components lose by that is inside the uncertainty. At height `h` a metre on the ellipsoid is
//! `1 + h/R` metres of road.

use crate::measure::drive::input::fixes::Clean;
use crate::measure::drive::truth::Truth;

/// Length (m) over which a grade is taken; vertical curves of roads are longer (common practice, no source).
const BASE_M: f64 = 50.0;
/// Grades needed.
const GRADES_NEEDED: usize = 40;
/// Share of the drive's length that must have heights.
const SHARE_NEEDED: f64 = 0.8;
/// A slope's length less sure than this, as a share of the road, is not counted: it would tell less than is known without
/// it (grades of 2 % add 2e-4).
const WORST_U: f64 = 1.5e-4;
/// What a road of which no heights are known is taken to climb: grades of 1.4 % make it 1e-4 longer than on the map, a
/// level one zero, one of 2 % twice that (judgement; nobody's mountain road).
const USUAL: f64 = 1e-4;
const USUAL_U: f64 = 1e-4;
/// Mean radius of the earth (m) (IUGG, R1).
const EARTH_M: f64 = 6_371_008.8;

/// What the heights say.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub enum Slope {
    /// No heights, or too few.
    #[default]
    Unknown,
    /// Heights whose errors hide the grades; over 50 m they scatter by so much (m).
    TooRough { scatter_m: f64 },
    /// Slopes add this share to the length on the map.
    Counted { share: f64, u: f64 },
}

/// Lengthens the truth by its slopes and, where it rests on positions, its height.
pub fn lengthen(truth: &mut Truth, clean: &Clean, by_positions: bool) {
    let places: Vec<(f64, f64)> =
        clean.heights.iter().filter_map(|(time_s, m)| Some((truth.distance_at(*time_s)?, *m))).collect();
    truth.slope = slope(&places, truth.distance_m.last().copied().unwrap_or(0.0));
    let height_m = places.iter().map(|p| p.1).sum::<f64>() / places.len().max(1) as f64;
    let height = if by_positions && !places.is_empty() { height_m / EARTH_M } else { 0.0 };
    truth.scale((1.0 + truth.slope.share().0) * (1.0 + height));
}

impl Slope {
    /// By how much the road is longer than on the map, and the standard uncertainty of that.
    pub fn share(self) -> (f64, f64) {
        match self {
            Slope::Counted { share, u } => (share, u),
            Slope::Unknown | Slope::TooRough { .. } => (USUAL, USUAL_U),
        }
    }
}

fn slope(places: &[(f64, f64)], length_m: f64) -> Slope {
    let heights = bins(places);
    let known = heights.iter().flatten().count();
    let grades = |step: usize| -> Vec<f64> {
        let pairs = heights.iter().zip(heights.iter().skip(step));
        pairs.filter_map(|(a, b)| Some(((*b)? - (*a)?) / (BASE_M * step as f64))).collect()
    };
    let (short, long) = (grades(1), grades(2));
    if long.len() < GRADES_NEEDED || (known as f64) * BASE_M < SHARE_NEEDED * length_m {
        return Slope::Unknown;
    }
    let square = |grades: &[f64]| grades.iter().map(|g| g * g).sum::<f64>() / grades.len() as f64;
    let (short_square, long_square) = (square(&short), square(&long));
    let error = ((short_square - long_square) / 0.75).clamp(0.0, short_square);
    let true_square = short_square - error;
    // All of the errors' part may be short components; and the mean is one of so many.
    let chance = short_square * (2.0 / short.len() as f64).sqrt();
    let u = 0.5 * f64::hypot(error, chance * (error / short_square.max(f64::MIN_POSITIVE)));
    if u > WORST_U {
        return Slope::TooRough { scatter_m: BASE_M * error.sqrt() };
    }
    Slope::Counted { share: 0.5 * true_square, u }
}

/// Mean height in each [`BASE_M`] of the road.
fn bins(places: &[(f64, f64)]) -> Vec<Option<f64>> {
    let mut sums: Vec<(f64, usize)> = Vec::new();
    for (along_m, height_m) in places {
        let bin = (along_m / BASE_M) as usize;
        if bin >= sums.len() {
            sums.resize(bin + 1, (0.0, 0));
        }
        sums[bin].0 += height_m;
        sums[bin].1 += 1;
    }
    sums.into_iter().map(|(sum, count)| (count > 0).then(|| sum / count as f64)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fixes every 20 m over 20 km.
    fn check(height: impl Fn(f64) -> f64, expected: Option<f64>) {
        let places: Vec<(f64, f64)> =
            (0..1000).map(|k| (20.0 * f64::from(k), height(20.0 * f64::from(k)))).collect();
        match (slope(&places, 20_000.0), expected) {
            (Slope::Counted { share, u }, Some(expected)) => {
                assert!((share - expected).abs() < 2.0 * u + 1e-5, "{share} {u} {expected}");
            }
            (Slope::TooRough { .. }, None) => {}
            (found, _) => panic!("{found:?}"),
        }
    }

    #[test]
    fn slopes_and_errors_of_heights() {
        check(|_| 250.0, Some(0.0));
        // A steady grade of 4 %: 0.0008.
        check(|m| 0.04 * m, Some(8e-4));
        // Waves of 1 km and 10 m: mean square grade (2 pi 10 / 1000)² / 2.
        check(
            |m| 10.0 * (m * std::f64::consts::TAU / 1000.0).sin(),
            Some(0.25 * (0.02 * std::f64::consts::PI).powi(2)),
        );
        // A wild height every few fixes is no grade.
        check(|m| 250.0 + 15.0 * (m * 0.7).sin() + 15.0 * (m * 0.031).sin(), None);
        assert_eq!(slope(&[(0.0, 1.0)], 20_000.0), Slope::Unknown);
    }
}
