//! The channel: what dash, bus and logger make of the indicated speed.

use super::chance::Chance;
use super::motion::{STEP_S, between};
use metrology::quantity::{Duration, Instant, Speed};
use truing::logs::{Clock, Sample, VehicleLog};

/// How the speed is smoothed before anybody reads it (s).
#[derive(Copy, Clone, Debug)]
pub enum Filter {
    None,
    FirstOrder(f64),
    Mean(f64),
}

/// The steps in which it is told.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Steps {
    None,
    KmPerHourRounded,
    KmPerHourCut,
    MiPerHourRounded,
    MiPerHourCut,
    HundredthKmPerHour,
}

/// What a logger writes where it should have written a speed.
#[derive(Copy, Clone, Debug)]
pub enum Fault {
    /// Single samples of this share become zero.
    Zeros(f64),
    /// Runs of zeros of 3 to 20 s make up this share.
    ZeroRuns(f64),
    /// Single samples of this share read 255 km/h.
    Highs(f64),
    /// Single samples of this share are missing.
    Missing(f64),
    /// Nothing is logged for this long (s), once or several times.
    Hole(f64),
    /// A loose wire: this share falls to anything between nothing and half.
    Loose(f64),
}

/// A channel and its logger.
#[derive(Clone, Debug)]
pub struct Channel {
    pub filter: Filter,
    /// Added by the dash while it moves (m/s).
    pub offset_m_per_s: f64,
    pub steps: Steps,
    /// Reads zero below 2 km/h.
    pub dead_when_slow: bool,
    pub interval_s: f64,
    /// Deviation of the times of asking, share of the interval.
    pub jitter: f64,
    /// From shaft to stamp (s), filter apart.
    pub latency_s: f64,
    /// The module answers with a new value only this often (s).
    pub refresh_s: Option<f64>,
    /// The logger draws lines between refreshed values instead of repeating them.
    pub interpolated: bool,
    pub faults: Vec<Fault>,
    /// The log's clock minus true time at the start (s), and what it gains (s/s).
    pub clock_s: f64,
    pub drift: f64,
    /// The log counts from its own start.
    pub elapsed: bool,
}

/// Dead band of many speed inputs: 2 km/h. Common practice, no source.
const DEAD_M_PER_S: f64 = 2.0 / 3.6;

impl Filter {
    /// Delay (s) of slow changes.
    fn delay_s(self) -> f64 {
        match self {
            Filter::None => 0.0,
            Filter::FirstOrder(time_s) => time_s,
            Filter::Mean(span_s) => 0.5 * span_s,
        }
    }

    fn of(self, speeds: &[f64]) -> Vec<f64> {
        match self {
            Filter::None => speeds.to_vec(),
            Filter::FirstOrder(time_s) => {
                let share = 1.0 - (-STEP_S / time_s).exp();
                let mut shown = speeds[0];
                let mut follow = |speed: &f64| {
                    shown += share * (speed - shown);
                    shown
                };
                speeds.iter().map(&mut follow).collect()
            }
            Filter::Mean(span_s) => {
                let count = ((span_s / STEP_S).round() as usize).max(1);
                let mean = |k: usize| {
                    let from = (k + 1).saturating_sub(count);
                    speeds[from..=k].iter().sum::<f64>() / (k + 1 - from) as f64
                };
                (0..speeds.len()).map(mean).collect()
            }
        }
    }
}

impl Steps {
    /// Size (m/s), and whether truncated.
    fn size(self) -> Option<(Speed, bool)> {
        let km_per_h = Speed::from_km_per_h(1.0);
        match self {
            Steps::None => None,
            Steps::KmPerHourRounded => Some((km_per_h, false)),
            Steps::KmPerHourCut => Some((km_per_h, true)),
            Steps::MiPerHourRounded => Some((Speed::from_mi_per_h(1.0), false)),
            Steps::MiPerHourCut => Some((Speed::from_mi_per_h(1.0), true)),
            Steps::HundredthKmPerHour => Some((Speed::from_km_per_h(0.01), false)),
        }
    }

    fn of(self, speed: f64) -> f64 {
        self.size().map_or(speed, |(step, cut)| {
            let counts = speed / step.m_per_s();
            (if cut { counts.floor() } else { counts.round() }) * step.m_per_s()
        })
    }
}

impl Channel {
    /// What it shows (m/s) at every step of the motion's grid, before it is logged.
    pub fn shown(&self, indicated: &[f64]) -> Vec<f64> {
        let shown = |speed: f64| {
            if speed < if self.dead_when_slow { DEAD_M_PER_S } else { 0.05 } {
                return 0.0;
            }
            self.steps.of(speed + self.offset_m_per_s)
        };
        self.filter.of(indicated).into_iter().map(shown).collect()
    }

    /// How late (s) it is on its own clock on the whole: shortest and longest that can be said. A filter of first order delays
    /// slow changes by its time and quick ones by less: the shorter delay is that of the least squares over this drive,
    /// to first order.
    pub fn late_s(&self, indicated: &[f64]) -> (f64, f64) {
        let steps = indicated.windows(2).zip(self.filter.of(indicated));
        let sums = steps.fold((0.0, 0.0), |sums, (pair, shown)| {
            let gain = pair[1] - pair[0];
            (sums.0 + (pair[0] - shown) * gain, sums.1 + gain * gain)
        });
        let longest_s = self.filter.delay_s();
        let shortest_s = if sums.1 > 0.0 { (STEP_S * sums.0 / sums.1).min(longest_s) } else { longest_s };
        let other_s = self.latency_s + self.clock_s;
        // A held value is half its hold old on average; lines drawn afterwards are as old at both their ends.
        let held_s = self.refresh_s.filter(|_| !self.interpolated).unwrap_or(0.0);
        (other_s + shortest_s, other_s + longest_s + 0.5 * held_s)
    }

    /// The value answered at a true time.
    fn answered(&self, shown: &[f64], at_s: f64) -> f64 {
        let asked_s = at_s - self.latency_s;
        // The display changes at once: no value between two steps.
        let value = |s: f64| shown[((s / STEP_S).round().max(0.0) as usize).min(shown.len() - 1)];
        let Some(refresh_s) = self.refresh_s else {
            return if self.steps == Steps::None { between(shown, asked_s) } else { value(asked_s) };
        };
        let last_s = (asked_s / refresh_s).floor() * refresh_s;
        if self.interpolated {
            let share = (asked_s - last_s) / refresh_s;
            return (1.0 - share) * value(last_s) + share * value(last_s + refresh_s);
        }
        value(last_s)
    }

    /// The log of a drive.
    pub fn log(&self, shown: &[f64], chance: &mut Chance) -> VehicleLog {
        let end_s = (shown.len() - 1) as f64 * STEP_S;
        let phase_s = chance.between(0.0, self.interval_s);
        let epoch_s = if self.elapsed { -phase_s } else { super::rows::EPOCH_S };
        let mut samples = Vec::new();
        let mut last_s = f64::NEG_INFINITY;
        for index in 0..((end_s - phase_s) / self.interval_s) as usize {
            let jitter_s = self.jitter * self.interval_s * chance.normal();
            let at_s = (phase_s + index as f64 * self.interval_s + jitter_s).max(0.0);
            let own_s = epoch_s + at_s * (1.0 + self.drift) + self.clock_s;
            // Loggers stamp in whole milliseconds, and one after the other.
            let own_s = ((own_s * 1000.0).round() / 1000.0).max(last_s + 0.001);
            last_s = own_s;
            let speed = Speed::from_m_per_s(self.answered(shown, at_s));
            samples.push(Sample { line: index + 2, time: Instant::from_s(own_s), speed });
        }
        self.faults.iter().for_each(|fault| fault.befall(&mut samples, chance));
        let clock = if self.elapsed { Clock::Elapsed } else { Clock::Absolute };
        VehicleLog {
            step: self.told_step(&samples),
            interval: Some(Duration::from_s(usual_interval_s(&samples))),
            samples,
            clock,
            ..VehicleLog::default()
        }
    }

    /// The step a reader of the log can tell: where nine in ten of its moving values and twenty different ones lie on it.
    fn told_step(&self, samples: &[Sample]) -> Option<Speed> {
        let (step, _) = self.steps.size()?;
        let counts: Vec<f64> =
            samples.iter().map(|sample| sample.speed / step).filter(|count| *count > 0.0).collect();
        let mut on: Vec<i64> =
            counts.iter().filter(|c| (**c - c.round()).abs() < 1e-6).map(|c| c.round() as i64).collect();
        let share = on.len() as f64 / counts.len().max(1) as f64;
        on.sort_unstable();
        on.dedup();
        (share >= 0.9 && on.len() >= 20).then_some(step)
    }
}

fn usual_interval_s(samples: &[Sample]) -> f64 {
    let mut spans: Vec<f64> = samples.windows(2).map(|pair| pair[1].time.since(pair[0].time).s()).collect();
    spans.sort_by(f64::total_cmp);
    spans.get(spans.len() / 2).copied().unwrap_or(1.0)
}

impl Fault {
    fn befall(&self, samples: &mut Vec<Sample>, chance: &mut Chance) {
        let zero = Speed::from_m_per_s(0.0);
        let mut some = |share: f64, change: &mut dyn FnMut(&mut Sample, &mut Chance)| {
            for sample in samples.iter_mut() {
                if chance.happens(share) {
                    change(sample, chance);
                }
            }
        };
        match *self {
            Fault::Zeros(share) => some(share, &mut |sample, _| sample.speed = zero),
            Fault::Highs(share) => some(share, &mut |sample, _| sample.speed = Speed::from_km_per_h(255.0)),
            Fault::Loose(share) => some(share, &mut |sample, chance| {
                let left = Speed::from_m_per_s(sample.speed.m_per_s() * chance.between(0.0, 0.5));
                sample.speed = Speed::from_km_per_h(left.km_per_h().round());
            }),
            Fault::Missing(share) => samples.retain(|_| !chance.happens(share)),
            Fault::ZeroRuns(share) => {
                runs(samples, share, chance).for_each(|sample| sample.speed = zero);
            }
            Fault::Hole(hole_s) => {
                let (first, last) = (samples[0].time, samples[samples.len() - 1].time);
                let from_s = chance.between(60.0, (last.since(first).s() - hole_s - 60.0).max(61.0));
                let inside = |sample: &Sample| {
                    let at_s = sample.time.since(first).s();
                    from_s < at_s && at_s < from_s + hole_s
                };
                samples.retain(|sample| !inside(sample));
            }
        }
    }
}

/// The samples of runs of 3 to 20 s that make up a share.
fn runs<'a>(
    samples: &'a mut [Sample],
    share: f64,
    chance: &mut Chance,
) -> impl Iterator<Item = &'a mut Sample> {
    const MEAN_S: f64 = 11.5;
    let first = samples[0].time;
    let (mut from_s, mut to_s) = (0.0, -1.0);
    let mut inside = Vec::with_capacity(samples.len());
    for sample in samples.iter() {
        let at_s = sample.time.since(first).s();
        if at_s > to_s {
            from_s = at_s + chance.wait(MEAN_S * (1.0 - share) / share);
            to_s = from_s + chance.between(3.0, 2.0 * MEAN_S - 3.0);
        }
        inside.push(at_s >= from_s);
    }
    samples.iter_mut().zip(inside).filter(|(_, inside)| *inside).map(|(sample, _)| sample)
}
