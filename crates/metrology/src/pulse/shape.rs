//! How wide to smooth, and where level and thresholds stand.

use super::spectrum::View;
use super::{NOISE_MULTIPLE, THRESHOLD_SHARE};

/// Power ratio (10 dB) below which smoothing goes wider, at the price of some slope.
const NOISY: f64 = 10.0;
/// Width of a running mean in cycles: ordinary, and for noisy waves.
pub(super) const SMOOTH_CYCLES: f64 = 0.2;
const SMOOTH_NOISY_CYCLES: f64 = 0.36;
/// Where a wave is, the noise keeps the thresholds no further from the level than this share of its amplitude.
const WAVE_SHARE: f64 = 0.4;
/// Width of a running mean of the baseline in cycles. Whole cycles, so that an even wave leaves nothing in it.
pub(super) const BASELINE_CYCLES: f64 = 2.0;
/// The level leaves the baseline when the middle between the extremes lies further off than this share of half the
/// swing: narrow pulses have their steep part there, and even waves keep the quiet level of the baseline.
const LOPSIDED: f64 = 0.3;

/// Widths in samples; a mean is over `2 half + 1`.
#[derive(Copy, Clone, Debug)]
pub(super) struct Widths {
    pub smooth_half: usize,
    pub baseline_half: usize,
    /// Half a cycle: extremes are gathered in tiles of this length.
    pub tile: usize,
}

impl Widths {
    /// Cycles a hop needs beside it at most.
    pub(super) const LARGEST_REACH_CYCLES: f64 = 4.0;

    /// For a cycle of so many samples.
    pub(super) fn new(cycle: f64, view: &View) -> Self {
        let noisy = view.wave_power < NOISY * view.noise_power;
        let smooth = cycle * if noisy { SMOOTH_NOISY_CYCLES } else { SMOOTH_CYCLES };
        let half = |width: f64| ((width - 1.0) / 2.0).round().max(0.0) as usize;
        Self {
            smooth_half: half(smooth),
            baseline_half: half(BASELINE_CYCLES * cycle).max(1),
            tile: (cycle / 2.0).round().max(1.0) as usize,
        }
    }

    /// Samples the means reach to each side.
    pub(super) fn reach(&self) -> usize {
        2 * self.baseline_half
    }

    /// Samples beside the hop whose extremes count.
    pub(super) fn beside(&self) -> usize {
        3 * self.tile
    }

    /// Standard deviation of the noise after smoothing; not so much that its multiple would hide the wave itself.
    pub(super) fn noise(&self, view: &View) -> f64 {
        let width = (2 * self.smooth_half + 1) as f64;
        // Sum of the squares of a triangular weight: (2 L² + 1) / (3 L³).
        let noise = (view.noise_power * (2.0 * width * width + 1.0) / (3.0 * width.powi(3))).sqrt();
        noise.min(WAVE_SHARE / NOISE_MULTIPLE * (2.0 * view.wave_power).sqrt())
    }
}

/// Level and thresholds along a stretch of wave.
#[derive(Debug)]
pub(super) struct Shape {
    first: usize,
    tile: usize,
    /// Level, the same along the stretch.
    pub level: f64,
    /// Lower and upper threshold for each tile.
    thresholds: Vec<(f64, f64)>,
}

impl Shape {
    /// From a stretch that begins at index `first` of the wave.
    pub(super) fn new(stretch: &[f64], first: usize, tile: usize, noise: f64) -> Self {
        let extremes: Vec<(f64, f64)> = stretch
            .chunks(tile)
            .map(|values| {
                values.iter().fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(*v), high.max(*v)))
            })
            .collect();
        // Two tiles to each side: at least a whole cycle.
        let around: Vec<(f64, f64)> = (0..extremes.len())
            .map(|k| {
                let near = &extremes[k.saturating_sub(2)..(k + 3).min(extremes.len())];
                near.iter().fold((f64::MAX, f64::MIN), |(low, high), e| (low.min(e.0), high.max(e.1)))
            })
            .collect();
        let count = around.len().max(1) as f64;
        let (low, high) = around.iter().fold((0.0, 0.0), |(l, h), e| (l + e.0 / count, h + e.1 / count));
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let level = middle.signum() * (middle.abs() - LOPSIDED * half).max(0.0);
        let least = NOISE_MULTIPLE * noise;
        let threshold = |(low, high): (f64, f64)| {
            (
                level - (THRESHOLD_SHARE * (level - low)).max(least),
                level + (THRESHOLD_SHARE * (high - level)).max(least),
            )
        };
        Self { first, tile, level, thresholds: around.into_iter().map(threshold).collect() }
    }

    /// Lower and upper threshold at an index of the wave, and the index up to which they hold.
    pub(super) fn at(&self, index: usize) -> ((f64, f64), usize) {
        let tile =
            (index.saturating_sub(self.first) / self.tile).min(self.thresholds.len().saturating_sub(1));
        let thresholds = self.thresholds.get(tile).copied().unwrap_or((f64::MIN, f64::MAX));
        (thresholds, (self.first + (tile + 1) * self.tile).max(index + 1))
    }
}
