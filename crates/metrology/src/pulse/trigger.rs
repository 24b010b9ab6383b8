//! A trigger with hysteresis, and the crossing between its thresholds to a fraction of a sample.

use super::shape::Shape;
use std::ops::Range;

/// Where the wave was last.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
enum Side {
    #[default]
    Unknown,
    Below,
    Above,
}

/// Steps of Newton's method for the cubic: from the straight line each squares the error, of at most a tenth.
const NEWTON_STEPS: usize = 3;

/// Crossings of the level since the wave was beyond a threshold: index relative to the run, slope per sample.
#[derive(Debug, Default)]
pub(super) struct Trigger {
    side: Side,
    crossings: Option<((f64, f64), (f64, f64))>,
}

impl Trigger {
    /// Runs over `range` of the wave; tells index, direction and slope per sample of each edge.
    pub(super) fn run(
        &mut self,
        wave: &[f64],
        range: Range<usize>,
        shape: &Shape,
        edge: &mut dyn FnMut(f64, bool, f64),
    ) {
        let level = shape.level;
        // Crossings noted in an earlier stretch are counted back from the start of this one.
        let start = range.start as f64;
        self.move_by(start);
        let mut index = range.start;
        while index < range.end {
            let ((lower, upper), tile_end) = shape.at(index);
            for i in index..tile_end.min(range.end) {
                let (before, value) = (wave[i.saturating_sub(1)], wave[i]);
                if (before < level) != (value < level) && (value < level) == (self.side == Side::Above) {
                    self.note(crossing(wave, i, level));
                }
                let (beyond, back) = match self.side {
                    Side::Below => (value > upper, value < lower),
                    Side::Above => (value < lower, value > upper),
                    Side::Unknown => (false, value < lower || value > upper),
                };
                if beyond {
                    self.tell(i as f64, value > level, edge);
                } else if back {
                    self.crossings = None;
                    self.side = if value > level { Side::Above } else { Side::Below };
                }
            }
            index = tile_end;
        }
        self.move_by(-(range.end as f64));
    }

    /// Nothing but noise for a while: what was noted is too old.
    pub(super) fn pause(&mut self) {
        self.crossings = None;
    }

    fn note(&mut self, crossing: (f64, f64)) {
        self.crossings = Some((self.crossings.map_or(crossing, |(first, _)| first), crossing));
    }

    /// Of several crossings between the thresholds neither the first nor the last is the edge: their middle.
    fn tell(&mut self, index: f64, rising: bool, edge: &mut dyn FnMut(f64, bool, f64)) {
        let (first, last) = self.crossings.take().unwrap_or(((index, 0.0), (index, 0.0)));
        edge(0.5 * (first.0 + last.0), rising, 0.5 * (first.1 + last.1));
        self.side = if rising { Side::Above } else { Side::Below };
    }

    fn move_by(&mut self, samples: f64) {
        if let Some((first, last)) = &mut self.crossings {
            first.0 += samples;
            last.0 += samples;
        }
    }
}

/// The crossing of `level` between samples `i - 1` and `i`: index and slope per sample, by the cubic through the two
/// samples on each side, by a straight line at the ends.
fn crossing(wave: &[f64], i: usize, level: f64) -> (f64, f64) {
    let (b, c) = (wave[i.saturating_sub(1)] - level, wave[i] - level);
    let rise = c - b;
    let linear = if rise == 0.0 { 0.5 } else { (-b / rise).clamp(0.0, 1.0) };
    let straight = (i as f64 - 1.0 + linear, rise.abs());
    if i < 2 || i + 1 >= wave.len() {
        return straight;
    }
    let (a, d) = (wave[i - 2] - level, wave[i + 1] - level);
    // Coefficients of the Lagrange cubic through -1, 0, 1, 2.
    let third = (d - a) / 6.0 + (b - c) / 2.0;
    let second = (a + c) / 2.0 - b;
    let first = c - b - second - third;
    let mut x = linear;
    for _ in 0..NEWTON_STEPS {
        let slope = first + x * (2.0 * second + x * 3.0 * third);
        let value = b + x * (first + x * (second + x * third));
        x -= if slope * rise > 0.0 { value / slope } else { 0.0 };
    }
    if !(0.0..=1.0).contains(&x) {
        return straight;
    }
    let slope = first + x * (2.0 * second + x * 3.0 * third);
    (i as f64 - 1.0 + x, slope.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_is_met_exactly() {
        // x³ / 50 + x - 0.3 at x = -1, 0, 1, 2; the root by hand: 0.3 - 0.3³ / 50 = 0.29946, and once more
        let cubic = |x: f64| x * x * x / 50.0 + x - 0.3;
        let wave = [cubic(-1.0), cubic(0.0), cubic(1.0), cubic(2.0)];
        let (at, slope) = crossing(&wave, 2, 0.0);
        assert!((at - 1.0 - 0.299_462_9).abs() < 1e-7 && (slope - 1.005_38).abs() < 1e-5, "{at} {slope}");
    }
}
