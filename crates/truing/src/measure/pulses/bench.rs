//! A signal for the bench: what a sensor would make at given speeds, as sound or as edges.
//!
//! The count of cycles is the integral of speed times counts per length, in closed form on each leg; a tooth's place in its
//! ring may be moved or left empty. The signal starts and ends in the trough between two pulses, so that what is written has
//! a whole number of them.

use crate::problem::{Field, Problem, Wording};
use metrology::quantity::{Duration, Frequency, PerLength, Speed};

/// Lowest frequency written as sound (Hz): sound outputs are coupled through a capacitor. Common practice, no source.
const LEAST_SOUND_HZ: f64 = 5.0;
/// Samples needed for a cycle at least.
const LEAST_SAMPLES: f64 = 4.0;
/// Longest signal (s): as sound at 48 kHz some 60 MB.
const LONGEST_S: f64 = 600.0;
/// A displaced tooth is moved by this share of a pitch.
pub const DISPLACED_SHARE: f64 = 0.1;
/// Cycles from the start, in a trough, to the first rise; and from a rise to the fall and to the trough behind it.
const RISES: f64 = 0.25;
const FALLS: f64 = 0.5;
const TROUGH: f64 = 0.75;
/// Full scale of 16 bits.
const FULL_SCALE_16: f64 = 32_767.0;

/// What the signal looks like.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Two levels, half and half.
    Square,
    /// A sine of one amplitude.
    Sine,
    /// A sine whose amplitude grows with its frequency, as a coil before a ring makes it.
    Sensor,
}

/// A stretch at one speed, or from one speed to another at an even rate.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Leg {
    /// Speed at its start.
    pub from: Speed,
    /// Speed at its end.
    pub to: Speed,
    /// How long.
    pub duration: Duration,
}

/// A fault of the ring.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct RingFault {
    /// Teeth of the ring.
    pub teeth: usize,
    /// Which one, counted from 1.
    pub tooth: usize,
    /// Not there, instead of out of its place.
    pub is_missing: bool,
}

/// A signal to write.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSignal {
    counts: PerLength,
    legs: Vec<Leg>,
    shape: Shape,
    fault: Option<RingFault>,
    /// Cycles before each leg, and at the end.
    cycles: Vec<f64>,
}

impl BenchSignal {
    /// Checks that the signal can be written.
    pub fn new(
        counts: PerLength,
        legs: Vec<Leg>,
        shape: Shape,
        fault: Option<RingFault>,
    ) -> Result<Self, Problem> {
        let total_s: f64 = legs.iter().map(|leg| leg.duration.s()).sum();
        let speeds = legs.iter().flat_map(|leg| [leg.from, leg.to]);
        if counts.per_m() <= 0.0 || speeds.clone().any(|speed| speed.m_per_s() < 0.0) {
            let problem =
                Problem::error("bench-signal", "counts per length above 0, and speeds forward", "less");
            return Err(problem.hint("leave out the sign"));
        }
        if !(total_s > 0.0 && total_s <= LONGEST_S) {
            let problem = Problem::error("bench-signal", "0 to 600 s in all", format!("{total_s} s"));
            return Err(problem.hint("shorten it; players can repeat a file"));
        }
        if let Some(fault) =
            fault.filter(|fault| fault.tooth == 0 || fault.tooth > fault.teeth || fault.teeth < 2)
        {
            let found = format!("tooth {} of {}", fault.tooth, fault.teeth);
            let problem = Problem::error("bench-signal", "a tooth of a ring, counted from 1", found);
            return Err(problem.hint(
                Wording::from("give both, such as ")
                    .field(Field::RingTeeth.such_as("96"))
                    .text(" and ")
                    .field(Field::MissingTooth.such_as("12")),
            ));
        }
        let mut cycles = vec![0.0];
        for leg in &legs {
            let mean = 0.5 * (leg.from.m_per_s() + leg.to.m_per_s());
            cycles.push(cycles[cycles.len() - 1] + mean * leg.duration.s() * counts.per_m());
        }
        Ok(Self { counts, legs, shape, fault, cycles })
    }

    /// Whole cycles written: one for each tooth, missing ones included.
    fn whole(&self) -> u64 {
        // A last cycle that lacks a billionth is whole: the rest is rounding.
        (self.cycles[self.cycles.len() - 1] * (1.0 + 1e-9)) as u64
    }

    /// Pulses written.
    pub fn pulses(&self) -> u64 {
        let missing = self.fault.filter(|fault| fault.is_missing).map_or(0, |fault| {
            let (before, teeth) = (fault.tooth.saturating_sub(1) as u64, fault.teeth as u64);
            self.whole().saturating_sub(before).div_ceil(teeth)
        });
        self.whole() - missing
    }

    /// How long it is, up to the end of its last whole cycle.
    pub fn duration(&self) -> Duration {
        Duration::from_s(self.time_s(self.whole() as f64))
    }

    /// Frequency at a speed.
    pub fn frequency(&self, speed: Speed) -> Frequency {
        speed * self.counts
    }

    /// The signal as a WAV file (PCM, 16 bit, mono); `level` is the share of full scale.
    pub fn wav(&self, rate: Frequency, level: f64) -> Result<Vec<u8>, Problem> {
        let frequencies =
            self.legs.iter().flat_map(|leg| [leg.from, leg.to]).map(|speed| (speed * self.counts).hz());
        let (low, high) = frequencies.fold((f64::MAX, 0.0_f64), |(low, high), f| (low.min(f), high.max(f)));
        if low < LEAST_SOUND_HZ || high * LEAST_SAMPLES > rate.hz() {
            let expected =
                format!("{LEAST_SOUND_HZ} Hz to {:.0} Hz in a sound file", rate.hz() / LEAST_SAMPLES);
            let found = format!("{low:.2} Hz to {high:.0} Hz");
            return Err(Problem::error("bench-signal", expected, found)
                .hint("write edges to a .csv for a signal generator, or change the speeds or the rate"));
        }
        let count = (self.duration().s() * rate.hz()).floor() as usize;
        let mut bytes = header(count as u32, rate);
        let half_s = 0.5 / rate.hz();
        for index in 0..count {
            let time_s = index as f64 / rate.hz();
            let value = match self.shape {
                Shape::Square => 2.0 * self.share_high((time_s - half_s).max(0.0), time_s + half_s) - 1.0,
                Shape::Sine => self.sine(time_s),
                Shape::Sensor => self.sine(time_s) * self.frequency_hz(time_s) / high,
            };
            bytes.extend(((value * level.clamp(0.0, 1.0) * FULL_SCALE_16).round() as i16).to_le_bytes());
        }
        Ok(bytes)
    }

    /// The signal as CSV: a row for each change of level.
    pub fn csv(&self) -> String {
        let mut text = String::from("time_s,level\n0,0\n");
        for tooth in (0..self.whole() as i64).filter(|tooth| !self.is_missing(*tooth)) {
            let (rise, next) = self.rises(tooth);
            for (phase, level) in [(rise, 1), (rise + FALLS * (next - rise), 0)] {
                text.push_str(&format!("{:.9},{level}\n", self.time_s(phase)));
            }
        }
        text.push_str(&format!("{:.9},0\n", self.duration().s()));
        text
    }

    /// Whether the fault is at this tooth, counted from 0 at the start of the signal.
    fn fault_at(&self, tooth: i64) -> Option<RingFault> {
        self.fault.filter(|f| tooth >= 0 && tooth as usize % f.teeth == f.tooth - 1)
    }

    fn is_missing(&self, tooth: i64) -> bool {
        self.fault_at(tooth).is_some_and(|fault| fault.is_missing)
    }

    /// Where the signal rises at a tooth and at the next, in cycles of an even ring.
    fn rises(&self, tooth: i64) -> (f64, f64) {
        let moved = |tooth| match self.fault_at(tooth) {
            Some(fault) if !fault.is_missing => DISPLACED_SHARE,
            _ => 0.0,
        };
        let at = |tooth| tooth as f64 + RISES + moved(tooth);
        (at(tooth), at(tooth + 1))
    }

    /// Cycles of an even ring by a time.
    fn phase(&self, time_s: f64) -> f64 {
        let mut left_s = time_s;
        for (leg, before) in self.legs.iter().zip(&self.cycles) {
            let span_s = leg.duration.s();
            if left_s <= span_s {
                let gain = (leg.to.m_per_s() - leg.from.m_per_s()) / span_s;
                return before + (leg.from.m_per_s() + 0.5 * gain * left_s) * left_s * self.counts.per_m();
            }
            left_s -= span_s;
        }
        self.cycles[self.cycles.len() - 1]
    }

    /// The time by which so many cycles have passed: [`Self::phase`] the other way round.
    fn time_s(&self, cycles: f64) -> f64 {
        let mut before_s = 0.0;
        for (leg, bounds) in self.legs.iter().zip(self.cycles.windows(2)) {
            let span_s = leg.duration.s();
            if cycles <= bounds[1] && bounds[1] > bounds[0] {
                let way_m = (cycles - bounds[0]).max(0.0) / self.counts.per_m();
                let (from, gain) = (leg.from.m_per_s(), (leg.to.m_per_s() - leg.from.m_per_s()) / span_s);
                // The root of gain/2 t² + from t = way that stays exact as gain goes to nothing.
                let root = (from * from + 2.0 * gain * way_m).max(0.0).sqrt();
                return before_s + if way_m > 0.0 { 2.0 * way_m / (from + root) } else { 0.0 };
            }
            before_s += span_s;
        }
        before_s
    }

    fn frequency_hz(&self, time_s: f64) -> f64 {
        let mut left_s = time_s;
        for leg in &self.legs {
            let span_s = leg.duration.s();
            if left_s <= span_s {
                let speed = leg.from.m_per_s() + (leg.to.m_per_s() - leg.from.m_per_s()) * left_s / span_s;
                return speed * self.counts.per_m();
            }
            left_s -= span_s;
        }
        0.0
    }

    /// The tooth that rose last at a phase, and the place from its rise (0) to the next (1).
    fn place(&self, phase: f64) -> (i64, f64) {
        let even = (phase - RISES).floor() as i64;
        // A tooth that stands later leaves its start to the one before.
        let tooth = if phase < self.rises(even).0 { even - 1 } else { even };
        let (rise, next) = self.rises(tooth);
        (tooth, ((phase - rise) / (next - rise)).clamp(0.0, 1.0))
    }

    fn sine(&self, time_s: f64) -> f64 {
        let (tooth, place) = self.place(self.phase(time_s));
        let missing = if place < TROUGH { tooth } else { tooth + 1 };
        if self.is_missing(missing) { -1.0 } else { (2.0 * std::f64::consts::PI * place).sin() }
    }

    /// The share of a span in which the square wave is high, so that its edges lie between samples.
    fn share_high(&self, from_s: f64, to_s: f64) -> f64 {
        let (from, to) = (self.phase(from_s), self.phase(to_s));
        let high = |tooth: i64| {
            let (rise, next) = self.rises(tooth);
            let is_there = tooth >= 0 && !self.is_missing(tooth);
            if is_there { ((rise + FALLS * (next - rise)).min(to) - rise.max(from)).max(0.0) } else { 0.0 }
        };
        let (first, last) = (self.place(from).0, self.place(to).0);
        if to > from { (first..=last).map(high).sum::<f64>() / (to - from) } else { 0.0 }
    }
}

/// The header of a WAV file of 16 bits, mono.
fn header(count: u32, rate: Frequency) -> Vec<u8> {
    let (rate, size) = (rate.hz().round() as u32, 2 * count);
    let mut bytes = b"RIFF".to_vec();
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    bytes.extend(rate.to_le_bytes());
    bytes.extend((2 * rate).to_le_bytes());
    bytes.extend(b"\x02\0\x10\0data");
    bytes.extend(size.to_le_bytes());
    bytes
}
