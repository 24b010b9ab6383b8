//! The edges of one direction.

use metrology::pulse::{Doubles, Gap, Gaps, Timeline};
use metrology::quantity::{Duration, Frequency};

/// Times kept for the ring: as many as it is found from.
const TIMES_KEPT: usize = 16_000;
/// Holes kept with their place.
const HOLES_KEPT: usize = 100;
/// Without a pulse for so long (s) the vehicle stood still, or nearly so.
pub(super) const STANDSTILL_S: f64 = 3.0;

/// Gathers in flat memory, each pulse once.
#[derive(Debug, Default)]
pub(super) struct Train {
    doubles: Doubles<f64>,
    counted: Counted,
}

/// What is gathered of the edges that count.
#[derive(Debug, Default)]
pub(super) struct Counted {
    timeline: Timeline,
    gaps: Gaps,
    slopes: f64,
    /// Times of the first edges (s).
    pub times_s: Vec<f64>,
    pub holes: u64,
    /// Pulses that would have fitted into the holes.
    pub missing: u64,
    pub first_holes: Vec<Gap>,
}

impl Train {
    /// Takes the next edge.
    pub fn next(&mut self, time_s: f64, slope_per_s: f64) {
        let Self { doubles, counted } = self;
        doubles.next(time_s, slope_per_s, &mut |time_s, slope_per_s| counted.next(time_s, slope_per_s));
    }

    /// What was gathered, and how many edges came again for a pulse that was counted.
    pub fn finish(mut self) -> (Counted, u64) {
        let Self { doubles, counted } = &mut self;
        doubles.finish(&mut |time_s, slope_per_s| counted.next(time_s, slope_per_s));
        let told = doubles.told();
        (self.counted, told)
    }
}

impl Counted {
    fn next(&mut self, time_s: f64, slope_per_s: f64) {
        self.timeline.next(time_s);
        self.slopes += slope_per_s;
        if self.times_s.len() < TIMES_KEPT {
            self.times_s.push(time_s);
        }
        if let Some(gap) = self.gaps.next(time_s) {
            self.holes += 1;
            // A clock that leaps makes a hole of any size.
            self.missing = self.missing.saturating_add(gap.missing.max(0.0) as u64);
            if self.first_holes.len() < HOLES_KEPT {
                self.first_holes.push(gap);
            }
        }
    }

    pub fn edges(&self) -> u64 {
        self.timeline.edges()
    }

    /// Mean slope of its crossings.
    pub fn steepness(&self) -> f64 {
        self.slopes / self.edges().max(1) as f64
    }

    /// Middle, frequency and length of each stretch.
    pub fn over_time(&self) -> Vec<(Duration, Frequency, Duration)> {
        let stretches = self.timeline.stretches().into_iter();
        stretches
            .map(|s| {
                (Duration::from_s(s.time_s), Frequency::from_hz(s.frequency_hz), Duration::from_s(s.span_s))
            })
            .collect()
    }
}
