//! Times that were rounded to a grid, and what that leaves in a pattern.
//!
//! At a steady speed the rounding repeats whenever a whole number of marks takes a whole number of grid steps. What is left
//! of it in the mean over the turns hangs on whether they fall on the same places of the grid.

use std::f64::consts::PI;

/// Root mean square of rounding, in grid steps.
const ROUNDED: f64 = 0.288_675_134_594_812_9;
/// Times lie on a grid when their mean vector at its period is at least this long: rounded once more to a tenth of it, they
/// still do.
const ON_GRID: f64 = 0.9;
/// Usual rates of sound and of slow samplers (Hz). Common practice, no source.
const RATES_HZ: [f64; 9] =
    [8000.0, 11_025.0, 16_000.0, 22_050.0, 32_000.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0];
/// Decimals of a second to which times are written.
const DECIMALS_S: [f64; 4] = [1e-3, 1e-4, 1e-5, 1e-6];
/// A grid coarser than this share of a pitch shows nothing of spacing.
const COARSEST: f64 = 0.2;
/// Few decimals fit an even train by chance: these are looked at as far as this share of a pitch.
const COARSEST_DECIMAL: f64 = 0.05;
/// Harmonics of the rounding that are followed; the rest adds a tenth.
const HARMONICS: usize = 3;

/// A grid of times.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Grid {
    /// Its step (s).
    pub step_s: f64,
    /// Root mean square of the error of a time on it (s).
    pub error_s: f64,
}

impl Grid {
    /// Times rounded to whole steps.
    pub fn rounded(step_s: f64) -> Grid {
        Grid { step_s, error_s: ROUNDED * step_s }
    }

    /// The coarsest usual grid on which the times lie.
    pub(super) fn new(times_s: &[f64]) -> Option<Grid> {
        let (first, last) = (times_s.first()?, times_s.last()?);
        let pitch_s = (last - first) / (times_s.len() - 1).max(1) as f64;
        let rates = RATES_HZ.iter().map(|rate| 1.0 / rate).filter(|step_s| *step_s < COARSEST * pitch_s);
        let decimals = DECIMALS_S.into_iter().filter(|step_s| *step_s < COARSEST_DECIMAL * pitch_s);
        let fits = |step_s: &f64| length(times_s.iter().map(|time| (time - first) / step_s)) > ON_GRID;
        rates.chain(decimals).filter(fits).max_by(f64::total_cmp).map(Grid::rounded)
    }

    /// Mean square that rounding leaves in a pattern of so many marks, as a share of a pitch squared, beyond what averages
    /// out over the turns.
    pub(super) fn leaves(&self, times_s: &[f64], marks: usize) -> f64 {
        let middles: Vec<f64> =
            times_s.chunks_exact(marks).map(|turn| turn.iter().sum::<f64>() / marks as f64).collect();
        let (Some(first), Some(last)) = (times_s.first(), times_s.last()) else { return 0.0 };
        let turns = middles.len() as f64;
        let pitch_s = (last - first) / (times_s.len() - 1).max(1) as f64;
        let stays = |harmonic: usize| {
            let square = length(middles.iter().map(|at| harmonic as f64 * at / self.step_s)).powi(2);
            (square - 2.0 / turns).max(0.0)
        };
        // Rounding is a sawtooth: harmonics fall as one over their number, 6 / pi squared of it in the first.
        let share: f64 = (1..=HARMONICS).map(|k| stays(k) * 6.0 / (PI * k as f64).powi(2)).sum();
        // A step has two ends.
        2.0 * share * (self.error_s / pitch_s).powi(2)
    }
}

/// Length of the mean vector at these phases (in turns).
fn length(phases: impl Iterator<Item = f64>) -> f64 {
    let (mut c, mut s, mut count) = (0.0, 0.0, 0.0);
    for phase in phases {
        let (sine, cosine) = (2.0 * PI * phase.fract()).sin_cos();
        (c, s, count) = (c + cosine, s + sine, count + 1.0);
    }
    f64::hypot(c, s) / f64::max(count, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(step_s: Option<f64>, rounded_again_s: f64, expected: Option<f64>) {
        // A speed that varies by a fifth, 300 to 450 Hz
        let time = |i: i32| f64::from(i) / 370.0 + 0.2 / 370.0 * 40.0 * (f64::from(i) / 40.0).sin();
        let round = |time: f64, step: f64| (time / step).round() * step;
        let on_it = |i: i32| round(step_s.map_or(time(i), |step| round(time(i), step)), rounded_again_s);
        let times: Vec<f64> = (0..900).map(on_it).collect();
        let found = Grid::new(&times).map(|grid| grid.step_s);
        assert_eq!(found, expected, "{step_s:?} {rounded_again_s}");
    }

    #[test]
    fn grids_are_found() {
        check(None, 1e-9, None);
        check(Some(1e-6), 1e-9, Some(1e-6));
        check(Some(1e-5), 1e-9, Some(1e-5));
        check(Some(1.0 / 48_000.0), 1e-9, Some(1.0 / 48_000.0));
        check(Some(1.0 / 44_100.0), 1e-6, Some(1.0 / 44_100.0));
    }
}
