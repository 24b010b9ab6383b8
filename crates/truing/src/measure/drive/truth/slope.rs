//! What slopes and height above the ellipsoid add to the length of the road, where the track's heights are good enough.
//!
//! On a grade `g` the road is longer than its picture on the map by `g²/2`. Errors of the heights look like grades and
//! would lengthen every road, so they are told apart by scale: the mean square of grades taken over `B` is
//!
//! ```text
//! m(B) = S² f(B/L) + 2 e²/B²,   f(x) = 2 (x - 1 + exp(-x))/x²
//! ```
//!
//! for a road whose grade has the mean square `S²` and is correlated over `L` (an average of an exponentially correlated process: any handbook
//! of turbulence, Taylor 1922), with heights that err by `e`. Grades over 300 to 500 m hardly show errors of a few metres; what shorter waves of
//! the road they miss the shorter bases tell. At height `h` a metre on the ellipsoid is `1 + h/R` metres of road.

use crate::measure::drive::input::fixes::Clean;
use crate::measure::drive::truth::Truth;

/// Lengths (m) over which grades are taken. Longer ones are the length of the waves of a rolling road, over which its grades cancel.
const BASES_M: [f64; 3] = [100.0, 200.0, 400.0];
/// Heights are means over so much of the road (m), or as much as lies between two of them.
const BIN_M: f64 = 50.0;
/// Lengths (m) over which grades are correlated: vertical curves of roads are some hundred metres long (common practice, no source).
const CORRELATED_M: [f64; 5] = [150.0, 250.0, 400.0, 800.0, 1600.0];
/// Grades needed over each base.
const GRADES_NEEDED: usize = 40;
/// Share of the drive's length that must have heights.
const SHARE_NEEDED: f64 = 0.8;
/// No road is steeper over such a length (steepest streets: 0.35), and grades beyond are errors of the heights; more of them than this share, and
/// nothing is taken from these heights.
const STEEPEST: f64 = 0.25;
const STEEPEST_SHARE: f64 = 0.05;
/// Share of what the model adds beyond the grades over 400 m, and of the errors it takes off them, that may be wrong (judgement), and of all of
/// it: a drive's road is one of many.
const BEYOND_U: f64 = 0.2;
const ERRORS_U: f64 = 0.5;
const WHOLE_U: f64 = 0.05;
/// Share of the largest mean square that each row is measured by beside its own (judgement).
const OF_MOST: f64 = 0.25;
const LEAST_U: f64 = 1e-5;
/// Slopes whose share is known this well (relative) count, however steep.
const CLEAR_U: f64 = 0.25;
/// What a road of which no heights are known is taken to climb, and how sure that is: grades of 1.7 % make it 1.5e-4 longer than on the map, a
/// level one zero, one of 3 % 4.5e-4 (judgement; nobody's mountain road).
const USUAL: (f64, f64) = (1.3e-4, 1.6e-4);
/// The same where the road is said to be hilly: from a level road to grades of 8 % and more (3.2e-3).
const HILLY: (f64, f64) = (1.4e-3, 9e-4);
/// Mean radius of the earth (m) (IUGG, R1).
const EARTH_M: f64 = 6_371_008.8;

/// What the heights say.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub enum Slope {
    /// No heights, or too few.
    #[default]
    Unknown,
    /// Heights whose errors hide the grades; they err by so much (m).
    TooRough { scatter_m: f64 },
    /// Slopes add this share to the length on the map.
    Counted { share: f64, u: f64 },
}

/// Lengthens the truth by its slopes and, where it rests on positions, its height.
pub fn lengthen(truth: &mut Truth, clean: &Clean, by_positions: bool) {
    let sound = |height_m: f64| height_m.is_finite() && height_m.abs() < 1e4;
    let heights = clean.heights.iter().filter(|(_, m)| sound(*m));
    let places: Vec<(f64, f64)> =
        heights.filter_map(|(time_s, m)| Some((truth.distance_at(*time_s)?, *m))).collect();
    truth.slope = slope(&places, truth.distance_m.last().copied().unwrap_or(0.0), truth.hilly);
    let height_m = places.iter().map(|p| p.1).sum::<f64>() / places.len().max(1) as f64;
    let height = if by_positions && !places.is_empty() { height_m / EARTH_M } else { 0.0 };
    truth.scale((1.0 + truth.slope.share(truth.hilly).0) * (1.0 + height));
}

impl Slope {
    /// By how much the road is longer than on the map, and the standard uncertainty of that.
    pub fn share(self, hilly: bool) -> (f64, f64) {
        match self {
            Slope::Counted { share, u } => (share, u),
            Slope::Unknown | Slope::TooRough { .. } if hilly => HILLY,
            Slope::Unknown | Slope::TooRough { .. } => USUAL,
        }
    }
}

fn slope(places: &[(f64, f64)], length_m: f64, hilly: bool) -> Slope {
    let bin_m = bin_m(places, length_m);
    let heights = bins(places, bin_m);
    if (heights.len() as f64) * bin_m < SHARE_NEEDED * length_m {
        return Slope::Unknown;
    }
    let mut squares: Vec<(f64, f64)> = Vec::new();
    for base_m in BASES_M {
        let step = (base_m / bin_m).round().max(1.0) as i64;
        let grades = grades(&heights, step, bin_m);
        let steep = grades.iter().filter(|g| g.abs() > STEEPEST).count();
        if grades.len() < GRADES_NEEDED {
            break;
        }
        if steep as f64 > STEEPEST_SHARE * grades.len() as f64 {
            return Slope::TooRough { scatter_m: scatter_m(&grades, step as f64 * bin_m) };
        }
        let sound = grades.iter().filter(|g| g.abs() <= STEEPEST);
        let square = sound.map(|g| g * g).sum::<f64>() / (grades.len() - steep) as f64;
        if squares.last().is_none_or(|(last_m, _)| *last_m < step as f64 * bin_m) {
            squares.push((step as f64 * bin_m, square));
        }
    }
    let Some(model) = Model::new(&squares) else { return Slope::Unknown };
    let (share, u) = model.share();
    if u > Slope::Unknown.share(hilly).1 && u > CLEAR_U * share {
        return Slope::TooRough { scatter_m: model.error_m2.sqrt() };
    }
    Slope::Counted { share, u }
}

fn scatter_m(grades: &[f64], base_m: f64) -> f64 {
    base_m * (0.5 * grades.iter().map(|g| g * g).sum::<f64>() / grades.len().max(1) as f64).sqrt()
}

/// Part of the mean square that is left when grades are averaged over so many of their correlation lengths.
fn averaged(lengths: f64) -> f64 {
    2.0 * (lengths - 1.0 + (-lengths).exp()) / (lengths * lengths)
}

/// What the mean squares at several bases are made of.
struct Model {
    /// Mean square of the grades.
    square: f64,
    correlated_m: f64,
    /// Variance of a height (m²).
    error_m2: f64,
    /// How far the mean squares are off the model (relative, root of the mean square).
    misfit_u: f64,
}

impl Model {
    /// Relative least squares over the bases, for the best of the correlation lengths.
    fn new(squares: &[(f64, f64)]) -> Option<Model> {
        if squares.len() < 3 {
            return None;
        }
        if squares.iter().all(|(_, square)| *square == 0.0) {
            return Some(Model { square: 0.0, correlated_m: BASES_M[1], error_m2: 0.0, misfit_u: 0.0 });
        }
        let models = CORRELATED_M.iter().map(|correlated_m| Model::with(squares, *correlated_m));
        models.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, model)| model)
    }

    fn with(squares: &[(f64, f64)], correlated_m: f64) -> (f64, Model) {
        // Each row over its own mean square and some of the largest, which a base as long as the waves of the road would outweigh:
        // a x + b y = z, neither below zero.
        let most = squares.iter().map(|(_, square)| *square).fold(1e-12, f64::max);
        let rows = || {
            squares.iter().map(move |(base_m, square)| {
                let over = 1.0 / (square + OF_MOST * most);
                (over * averaged(base_m / correlated_m), over * 2.0 / (base_m * base_m), over * square)
            })
        };
        let sum = |of: fn((f64, f64, f64)) -> f64| rows().map(of).sum::<f64>();
        let (xx, xy, yy) = (sum(|r| r.0 * r.0), sum(|r| r.0 * r.1), sum(|r| r.1 * r.1));
        let (x, y) = (sum(|r| r.0 * r.2), sum(|r| r.1 * r.2));
        let determinant = (xx * yy - xy * xy).max(f64::MIN_POSITIVE);
        let (mut square, mut error_m2) = ((yy * x - xy * y) / determinant, (xx * y - xy * x) / determinant);
        if error_m2 < 0.0 {
            (square, error_m2) = (x / xx.max(f64::MIN_POSITIVE), 0.0);
        } else if square < 0.0 {
            (square, error_m2) = (0.0, y / yy.max(f64::MIN_POSITIVE));
        }
        let misfit: f64 = rows().map(|r| (r.0 * square + r.1 * error_m2 - r.2).powi(2)).sum();
        let misfit_u = (misfit / squares.len() as f64).sqrt();
        (misfit, Model { square, correlated_m, error_m2, misfit_u })
    }

    /// What slopes add, and its standard uncertainty.
    fn share(&self) -> (f64, f64) {
        const SEEN_M: f64 = 400.0;
        let seen = self.square * averaged(SEEN_M / self.correlated_m);
        let errors = 2.0 * self.error_m2 / (SEEN_M * SEEN_M);
        let share = 0.5 * self.square;
        let u = (BEYOND_U * 0.5 * (self.square - seen)).hypot(ERRORS_U * 0.5 * errors);
        (share, u.hypot(WHOLE_U * share).hypot(self.misfit_u * share).hypot(LEAST_U))
    }
}

/// Grades over so many bins.
fn grades(heights: &[(i64, f64)], step: i64, bin_m: f64) -> Vec<f64> {
    let mut far = 0;
    let pairs = heights.iter().filter_map(|(bin, height_m)| {
        while far < heights.len() && heights[far].0 < bin + step {
            far += 1;
        }
        let (other, there_m) = heights.get(far)?;
        (*other == bin + step).then(|| (there_m - height_m) / (step as f64 * bin_m))
    });
    pairs.collect()
}

/// Length of a bin (m): heights that lie farther apart than usual make longer ones.
fn bin_m(places: &[(f64, f64)], length_m: f64) -> f64 {
    let moving = places.windows(2).filter(|two| two[1].0 - two[0].0 > 1.0).count();
    let apart_m = length_m / moving.max(1) as f64;
    BIN_M * (1.5 * apart_m / BIN_M).ceil().max(1.0)
}

/// Mean height in each bin of the road that has one, by its number; places rise.
fn bins(places: &[(f64, f64)], bin_m: f64) -> Vec<(i64, f64)> {
    let mut sums: Vec<(i64, f64, f64)> = Vec::new();
    for (along_m, height_m) in places {
        let bin = (along_m / bin_m) as i64;
        match sums.last_mut().filter(|last| last.0 >= bin) {
            Some(last) => (last.1, last.2) = (last.1 + height_m, last.2 + 1.0),
            None => sums.push((bin, *height_m, 1.0)),
        }
    }
    sums.into_iter().map(|(bin, sum, count)| (bin, sum / count)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fixes every 20 m over 20 km.
    fn check(height: impl Fn(f64) -> f64, expected: Option<f64>) {
        let places: Vec<(f64, f64)> =
            (0..1000).map(|k| (20.0 * f64::from(k), height(20.0 * f64::from(k)))).collect();
        match (slope(&places, 20_000.0, false), expected) {
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
        assert_eq!(slope(&[(0.0, 1.0)], 20_000.0, false), Slope::Unknown);
    }

    /// One place after another that no road joins takes no more room than two.
    #[test]
    fn far_places_take_no_room() {
        assert_eq!(bins(&[(0.0, 1.0), (1e15, 2.0)], 50.0).len(), 2);
    }
}
