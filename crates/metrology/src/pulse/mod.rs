//! Times at which a recorded wave crosses its own middle: one rising and one falling edge per cycle.
//!
//! **Problem.** Samples of a wave whose frequency and amplitude change by orders of magnitude, on a moving baseline,
//! with hum and noise; wanted is every edge, once, with its time to a fraction of a sample.
//!
//! **Method.** The recording is judged in hops of about a third of a second. The spectrum of the surroundings (Hann
//! window) gives the noise floor (median over the bins) and the frequency `f` below which seven tenths of the power
//! above the floor lie. The samples are then smoothed by two running means of `P / 5` (`P = rate / f`; 0.36 `P` below
//! 10 dB), and two running means of `2 P` are subtracted as the baseline: both symmetric, so edges keep their place
//! when the widths change. An edge counts when the wave has gone from below one threshold to above the other, both at
//! [`THRESHOLD_SHARE`] of the extremes within a cycle around, hence following the amplitude, and never inside
//! [`NOISE_MULTIPLE`] standard deviations of the smoothed noise. Its time is that of the crossing of the level between
//! them, by a cubic through four samples.
//!
//! **Accuracy.** White noise of standard deviation `s` on a crossing of slope `b` leaves after smoothing with the
//! kernel `k` at least `u = s · sqrt(sum k²) / b`, the Cramér-Rao bound of the time shift of a known edge seen through
//! that bandwidth (`2 B / rate = sum k²`, about `2 / (3 L)` for two means of `L`). The smoothing also takes from the
//! slope: `sinc²(1/5) = 0.875` for a sine, hence 1.14 times the bound. At 20 dB no edge is lost or invented between
//! 5 Hz and 5 kHz at 48 kHz; `crates/truing/docs/pulses.md` has the table down to 3 dB.
//!
//! **Limits.** Below about [`LEAST_HZ`] a wave is taken for baseline. The first edge needs a swing before it.
//! Within two cycles of the ends of a recording the means are one-sided, and times off by up to a hundredth of a cycle.
//!
//! Sources: S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory (1993), 3.5 and 3.11 for the
//! bound (from memory); F. J. Harris, Proc. IEEE 66 (1978) 51, for the window (from memory).
//!
//! ```
//! use metrology::pulse::Detector;
//! let wave: Vec<f64> = (0..48_000).map(|i| -(f64::from(i) * 0.0131).cos()).collect();
//! let mut rising = 0;
//! let mut detector = Detector::new(48_000.0);
//! detector.feed(&wave, &mut |edge| rising += usize::from(edge.rising));
//! detector.finish(&mut |edge| rising += usize::from(edge.rising));
//! // 48 000 · 0.0131 / 2π = 100.08 cycles, each rising at its first quarter
//! assert_eq!(rising, 100);
//! ```

mod boxcar;
mod doubles;
mod gaps;
mod shape;
mod spectrum;
mod timeline;
mod trigger;

pub use doubles::Doubles;
pub use gaps::{Gap, Gaps};
pub use timeline::{Stretch, Timeline};

use boxcar::twice;
use shape::{BASELINE_CYCLES, SMOOTH_CYCLES, Shape, Widths};
use spectrum::{Spectrum, View};
use trigger::Trigger;

/// Lowest frequency (Hz) told from a moving baseline: two cycles within the window of the spectrum.
pub const LEAST_HZ: f64 = 3.0;
/// Thresholds stand at this share of the extremes. Judgement: noise of 20 dB without any smoothing stays five standard
/// deviations away, and a single cycle of half the height still counts.
pub const THRESHOLD_SHARE: f64 = 0.4;
/// Thresholds never stand nearer than this many standard deviations of the smoothed noise: a wave of pure noise goes
/// from one to the other about once in 10^9 samples.
pub const NOISE_MULTIPLE: f64 = 4.5;
/// Seconds of wave the spectrum is taken of, before rounding up to a power of two samples.
const WINDOW_S: f64 = 0.5;
/// Samples this near to full scale (1) have reached the limit of the input.
const FULL_SCALE: f64 = 0.995;

/// One crossing.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Edge {
    /// When, in seconds since the first sample.
    pub time_s: f64,
    /// Upwards.
    pub rising: bool,
    /// How steep the smoothed wave is there, in units of the samples per second; always positive.
    pub slope_per_s: f64,
}

/// Hum of the mains beside the wave.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Hum {
    /// 50 or 60 Hz.
    pub frequency_hz: f64,
    /// Root mean square of it over that of the wave.
    pub share: f64,
}

/// What was noticed beside the edges.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// Samples judged.
    pub samples: u64,
    /// Samples at the limit of the input (full scale is 1).
    pub at_limit: u64,
    /// Mean of all samples: what a coupling through a capacitor would have taken away.
    pub mean: f64,
    /// Largest magnitude of a sample.
    pub largest: f64,
    /// Seconds without anything above the noise.
    pub idle_s: f64,
    /// Seconds in which the wave itself stood at the frequency of the mains: it may be hum alone.
    pub at_mains_s: f64,
    /// Hum, where the wave was elsewhere.
    pub hum: Option<Hum>,
    /// Power of the wave over that of the noise, in decibels, over the hops that had a wave.
    pub signal_to_noise_db: Option<f64>,
}

/// Finds edges in a stream of samples. Memory is flat: a few seconds of samples.
#[derive(Debug)]
pub struct Detector {
    rate_hz: f64,
    hop: usize,
    context: usize,
    /// Samples not yet forgotten, and the number of the first of them.
    buffer: Vec<f64>,
    first: usize,
    /// Number of the next sample to judge.
    next: usize,
    spectrum: Spectrum,
    trigger: Trigger,
    findings: Findings,
    sums: Sums,
}

/// Running totals behind the findings.
#[derive(Debug, Default)]
struct Sums {
    samples: f64,
    wave: f64,
    hum: [f64; 2],
    decibels: f64,
    hops: f64,
}

impl Detector {
    /// A detector for samples at `rate_hz` per second.
    pub fn new(rate_hz: f64) -> Self {
        let rate_hz = if rate_hz.is_finite() { rate_hz.clamp(10.0, 1e9) } else { 10.0 };
        let window = ((WINDOW_S * rate_hz) as usize).clamp(64, 1 << 20).next_power_of_two();
        let context = (Widths::LARGEST_REACH_CYCLES * rate_hz / LEAST_HZ) as usize + window;
        Self {
            rate_hz,
            hop: window / 2,
            context,
            buffer: Vec::new(),
            first: 0,
            next: 0,
            spectrum: Spectrum::new(window, rate_hz),
            trigger: Trigger::default(),
            findings: Findings::default(),
            sums: Sums::default(),
        }
    }

    /// Takes the next samples and tells the edges that are certain by now, in order.
    pub fn feed(&mut self, samples: &[f64], on_edge: &mut dyn FnMut(Edge)) {
        for piece in samples.chunks(self.hop) {
            self.note(piece);
            self.buffer.extend(piece.iter().map(|value| if value.is_finite() { *value } else { 0.0 }));
            while self.first + self.buffer.len() >= self.next + self.hop + self.context {
                self.judge(self.hop, on_edge);
            }
        }
    }

    /// Judges what is left, and says what was noticed.
    pub fn finish(mut self, on_edge: &mut dyn FnMut(Edge)) -> Findings {
        while self.next < self.first + self.buffer.len() {
            let length = self.hop.min(self.first + self.buffer.len() - self.next);
            self.judge(length, on_edge);
        }
        let Self { mut findings, sums, .. } = self;
        if sums.hops > 0.0 {
            findings.signal_to_noise_db = Some(sums.decibels / sums.hops);
        }
        let (mains, power) = if sums.hum[0] > sums.hum[1] { (0, sums.hum[0]) } else { (1, sums.hum[1]) };
        if power > 0.0 && sums.wave > 0.0 {
            let share = (power / sums.wave).sqrt();
            findings.hum = Some(Hum { frequency_hz: spectrum::MAINS_HZ[mains], share });
        }
        if findings.samples > 0 {
            findings.mean = sums.samples / findings.samples as f64;
        }
        findings
    }

    fn note(&mut self, samples: &[f64]) {
        self.findings.samples += samples.len() as u64;
        for value in samples.iter().filter(|value| value.is_finite()) {
            self.sums.samples += value;
            self.findings.largest = self.findings.largest.max(value.abs());
            self.findings.at_limit += u64::from(value.abs() >= FULL_SCALE);
        }
    }

    /// Judges `length` samples from `next` on.
    fn judge(&mut self, length: usize, on_edge: &mut dyn FnMut(Edge)) {
        let at = self.next - self.first;
        let view = self.spectrum.view(&self.buffer, at + length / 2);
        self.gather(&view, length);
        match view.frequency_hz {
            None => {
                self.findings.idle_s += length as f64 / self.rate_hz;
                self.trigger.pause();
            }
            Some(frequency_hz) => {
                self.cross(&view, Widths::new(self.rate_hz / frequency_hz, &view), length, on_edge)
            }
        }
        self.next += length;
        let keep_from = self.next.saturating_sub(self.context).max(self.first);
        self.buffer.drain(..keep_from - self.first);
        self.first = keep_from;
    }

    fn gather(&mut self, view: &View, length: usize) {
        let Some(frequency_hz) = view.frequency_hz else { return };
        self.sums.hops += 1.0;
        self.sums.decibels +=
            10.0 * (view.wave_power / view.noise_power.max(f64::MIN_POSITIVE)).log10().min(20.0);
        self.sums.wave += view.wave_power;
        let near = spectrum::MAINS_HZ.iter().any(|mains| (frequency_hz - mains).abs() < view.resolution_hz);
        if near {
            self.findings.at_mains_s += length as f64 / self.rate_hz;
        } else {
            self.sums.hum[0] += view.mains_power[0];
            self.sums.hum[1] += view.mains_power[1];
        }
    }

    /// Smooths around the hop, and runs the trigger over it.
    fn cross(&mut self, view: &View, widths: Widths, length: usize, on_edge: &mut dyn FnMut(Edge)) {
        let at = self.next - self.first;
        // Around the hop: a cycle and a half for the extremes, and on each side what the means reach.
        let beside = widths.beside();
        let (from, to) = (
            at.saturating_sub(beside + widths.reach()),
            (at + length + beside + widths.reach()).min(self.buffer.len()),
        );
        let samples = &self.buffer[from..to];
        let baseline = twice(samples, widths.baseline_half);
        let mut wave = twice(samples, widths.smooth_half);
        wave.iter_mut().zip(&baseline).for_each(|(value, base)| *value -= base);
        let (low, high) =
            (at.saturating_sub(beside) - from, (at + length + beside).min(self.buffer.len()) - from);
        let shape = Shape::new(&wave[low..high], low, widths.tile, widths.noise(view));
        self.trigger.run(&wave, at - from..at - from + length, &shape, &mut |index, rising, slope| {
            on_edge(Edge {
                time_s: ((self.first + from) as f64 + index) / self.rate_hz,
                rising,
                slope_per_s: slope * self.rate_hz,
            });
        });
    }
}

/// Standard deviation of the time of one crossing of a sine in white noise, as a share of its cycle: the bound of the
/// head of this module times the slope that the smoothing takes, with `cycles_per_sample` of the wave. Steeper waves do
/// better.
pub fn crossing_noise(decibels: f64, cycles_per_sample: f64) -> f64 {
    let width = (SMOOTH_CYCLES / cycles_per_sample.max(f64::MIN_POSITIVE)).max(1.0);
    let baseline = width * BASELINE_CYCLES / SMOOTH_CYCLES;
    // Sums of the squares of two triangular weights, and of their product: the narrow one lies under the top of the wide.
    let triangle = |width: f64| (2.0 * width * width + 1.0) / (3.0 * width.powi(3));
    let both = (1.0 - width / (3.0 * baseline)) / baseline;
    let squares = triangle(width) + triangle(baseline) - 2.0 * both;
    let angle = std::f64::consts::PI * width * cycles_per_sample;
    let slope_left = if angle > 0.0 { (angle.sin() / angle).powi(2) } else { 1.0 };
    let noise_over_amplitude = (0.5 / 10f64.powf(decibels / 10.0)).sqrt();
    noise_over_amplitude * squares.sqrt() / (2.0 * std::f64::consts::PI * slope_left)
}

#[cfg(test)]
mod tests;
