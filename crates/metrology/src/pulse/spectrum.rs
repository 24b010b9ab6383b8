//! What the surroundings of a hop hold: noise floor, frequency, hum.

use std::f64::consts::PI;

/// Frequencies of the mains.
pub(super) const MAINS_HZ: [f64; 2] = [50.0, 60.0];
/// Bins below this hold what is left of the baseline under the window.
const LEAST_BIN: usize = 2;
/// A bin belongs to the wave above this multiple of the floor. Noise alone exceeds it in e^-14 of the bins: once in
/// a hundred windows of 16 384.
const WAVE_MULTIPLE: f64 = 14.0;
/// Share of the power above the floor that lies below the frequency we report. A square wave has 0.81 of its power in
/// its fundamental.
const POWER_SHARE: f64 = 0.7;
/// Noise below this share of the wave is the rounding of the arithmetic.
const ROUNDING: f64 = 1e-24;

/// A spectrum in a few numbers; powers are mean squares.
#[derive(Copy, Clone, Debug)]
pub(super) struct View {
    /// Frequency of the wave; none when nothing is above the noise.
    pub frequency_hz: Option<f64>,
    pub wave_power: f64,
    pub noise_power: f64,
    /// Above the floor at 50 and 60 Hz.
    pub mains_power: [f64; 2],
    /// Width of a bin.
    pub resolution_hz: f64,
}

/// Tables for one length of window, and room to work in.
#[derive(Debug)]
pub(super) struct Spectrum {
    rate_hz: f64,
    window: Vec<f64>,
    turns: Vec<(f64, f64)>,
    work: Vec<(f64, f64)>,
    power: Vec<f64>,
}

impl Spectrum {
    /// For windows of `length` samples, a power of two.
    pub(super) fn new(length: usize, rate_hz: f64) -> Self {
        let angle = |i: usize| 2.0 * PI * i as f64 / length as f64;
        Self {
            rate_hz,
            window: (0..length).map(|i| 0.5 - 0.5 * angle(i).cos()).collect(),
            turns: (0..length / 2).map(|i| (angle(i).cos(), -angle(i).sin())).collect(),
            work: vec![(0.0, 0.0); length],
            power: Vec::with_capacity(length / 2),
        }
    }

    /// The window around the sample `centre`, moved inward at the ends; what is missing is filled with the mean.
    pub(super) fn view(&mut self, samples: &[f64], centre: usize) -> View {
        let length = self.window.len();
        let from = centre.saturating_sub(length / 2).min(samples.len().saturating_sub(length));
        let seen = &samples[from..(from + length).min(samples.len())];
        let mean = seen.iter().sum::<f64>() / seen.len().max(1) as f64;
        for (index, (place, weight)) in self.work.iter_mut().zip(&self.window).enumerate() {
            *place = (seen.get(index).map_or(0.0, |value| (value - mean) * weight), 0.0);
        }
        transform(&mut self.work, &self.turns);
        self.power.clear();
        self.power.extend(self.work[..length / 2].iter().map(|(re, im)| re * re + im * im));
        self.sum_up()
    }

    fn sum_up(&self) -> View {
        let length = self.window.len() as f64;
        let weight: f64 = self.window.iter().map(|w| w * w).sum();
        let resolution_hz = self.rate_hz / length;
        let mut sorted = self.power[LEAST_BIN..].to_vec();
        let middle = sorted.len() / 2;
        let (_, median, _) = sorted.select_nth_unstable_by(middle, f64::total_cmp);
        // Power of noise is exponentially distributed over the bins: its median is ln 2 of its mean.
        let strongest = self.power[LEAST_BIN..].iter().fold(0.0_f64, |a, b| a.max(*b));
        let floor = (*median / std::f64::consts::LN_2).max(ROUNDING * strongest);
        let above = |bin: usize| {
            let power = self.power[bin];
            if power > WAVE_MULTIPLE * floor { power - floor } else { 0.0 }
        };
        let total: f64 = (LEAST_BIN..self.power.len()).map(above).sum();
        let mean_square = 2.0 / (length * weight);
        let near = |hz: f64| {
            let bin = (hz / resolution_hz).round() as usize;
            (bin.saturating_sub(1).max(LEAST_BIN)..(bin + 2).min(self.power.len())).map(above).sum::<f64>()
                * mean_square
        };
        let frequency_hz = (total > 0.0).then(|| {
            let mut below = 0.0;
            let bin = (LEAST_BIN..self.power.len()).find(|bin| {
                below += above(*bin);
                below >= POWER_SHARE * total
            });
            bin.unwrap_or(LEAST_BIN) as f64 * resolution_hz
        });
        View {
            frequency_hz,
            wave_power: total * mean_square,
            noise_power: floor / weight,
            mains_power: MAINS_HZ.map(near),
            resolution_hz,
        }
    }
}

/// Discrete Fourier transform in place (Cooley and Tukey 1965, radix 2); `turns` holds the first half of the roots.
fn transform(values: &mut [(f64, f64)], turns: &[(f64, f64)]) {
    let length = values.len();
    let shift = usize::BITS - length.trailing_zeros();
    for index in 0..length {
        let other = index.reverse_bits().checked_shr(shift).unwrap_or(0);
        if other > index {
            values.swap(index, other);
        }
    }
    let mut half = 1;
    while half < length {
        let step = length / (2 * half);
        for block in values.chunks_exact_mut(2 * half) {
            let (low, high) = block.split_at_mut(half);
            for ((a, b), (c, s)) in low.iter_mut().zip(high).zip(turns.iter().step_by(step)) {
                let turned = (b.0 * c - b.1 * s, b.0 * s + b.1 * c);
                *b = (a.0 - turned.0, a.1 - turned.1);
                *a = (a.0 + turned.0, a.1 + turned.1);
            }
        }
        half *= 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slow and obvious.
    fn plain(values: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let n = values.len();
        let at = |k: usize| {
            values.iter().enumerate().fold((0.0, 0.0), |sum, (i, v)| {
                let (s, c) = (-2.0 * PI * ((i * k) % n) as f64 / n as f64).sin_cos();
                (sum.0 + v.0 * c - v.1 * s, sum.1 + v.0 * s + v.1 * c)
            })
        };
        (0..values.len()).map(at).collect()
    }

    #[test]
    fn as_the_plain_sum() {
        for length in [2, 8, 64, 256] {
            let mut values: Vec<(f64, f64)> =
                (0..length).map(|i| ((i as f64 * 1.7).sin(), (i as f64 * 0.3).cos())).collect();
            let expected = plain(&values);
            transform(&mut values, &Spectrum::new(length, 1.0).turns);
            for (found, expected) in values.iter().zip(&expected) {
                // 256 terms of size one, 1e-16 each, with room
                assert!((found.0 - expected.0).hypot(found.1 - expected.1) < 1e-12, "{found:?} {expected:?}");
            }
        }
    }

    #[test]
    fn a_sine_has_its_power_and_frequency() {
        // Closed form: amplitude 0.5 has the mean square 0.125, all at 100 Hz.
        let samples: Vec<f64> =
            (0..4096).map(|i| 0.5 * (2.0 * PI * 100.0 * f64::from(i) / 4096.0).sin()).collect();
        let view = Spectrum::new(4096, 4096.0).view(&samples, 2048);
        assert!((view.wave_power - 0.125).abs() < 1e-3, "{view:?}");
        assert!((view.frequency_hz.unwrap() - 100.0).abs() <= 1.0, "{view:?}");
        assert!(view.noise_power < 1e-12);
    }
}
