//! Frequency over time in flat memory: bins that are joined in pairs when there are too many.

/// Bins kept at most.
const MOST_BINS: usize = 1024;
/// Length of a bin at the start (s).
const FIRST_BIN_S: f64 = 0.05;
/// Without an edge for so long (s), things stood still: no frequency is stated across.
const STANDSTILL_S: f64 = 1.0;

/// A stretch of time with its frequency.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Middle of it (s).
    pub time_s: f64,
    /// Edges per second, of one direction (Hz).
    pub frequency_hz: f64,
    /// Time it stands for (s).
    pub span_s: f64,
}

#[derive(Copy, Clone, Debug)]
struct Bin {
    number: u64,
    edges: u64,
    first_s: f64,
    last_s: f64,
}

/// Gathers edges of one direction.
#[derive(Clone, Debug)]
pub struct Timeline {
    bin_s: f64,
    bins: Vec<Bin>,
    edges: u64,
}

impl Default for Timeline {
    fn default() -> Self {
        Self { bin_s: FIRST_BIN_S, bins: Vec::new(), edges: 0 }
    }
}

impl Timeline {
    /// Takes the next edge.
    pub fn next(&mut self, time_s: f64) {
        self.edges += 1;
        let number = (time_s.max(0.0) / self.bin_s) as u64;
        match self.bins.last_mut() {
            Some(bin) if bin.number >= number => {
                bin.edges += 1;
                bin.last_s = time_s;
            }
            _ => self.bins.push(Bin { number, edges: 1, first_s: time_s, last_s: time_s }),
        }
        if self.bins.len() > MOST_BINS {
            self.join();
        }
    }

    fn join(&mut self) {
        self.bin_s *= 2.0;
        let mut joined: Vec<Bin> = Vec::with_capacity(MOST_BINS);
        for bin in self.bins.drain(..) {
            let number = bin.number / 2;
            match joined.last_mut() {
                Some(last) if last.number == number => {
                    last.edges += bin.edges;
                    last.last_s = bin.last_s;
                }
                _ => joined.push(Bin { number, ..bin }),
            }
        }
        self.bins = joined;
    }

    /// How many edges there were.
    pub fn edges(&self) -> u64 {
        self.edges
    }

    /// First and last edge (s).
    pub fn span_s(&self) -> Option<(f64, f64)> {
        Some((self.bins.first()?.first_s, self.bins.last()?.last_s))
    }

    /// The frequency in each bin, from the last edge before it where that is not long ago.
    pub fn stretches(&self) -> Vec<Stretch> {
        let mut found = Vec::with_capacity(self.bins.len());
        let mut before: Option<f64> = None;
        for bin in &self.bins {
            let (from_s, steps) = match before {
                Some(last_s) if bin.first_s - last_s < STANDSTILL_S => (last_s, bin.edges),
                _ => (bin.first_s, bin.edges - 1),
            };
            let span_s = bin.last_s - from_s;
            if steps > 0 && span_s > 0.0 {
                let time_s = 0.5 * (from_s + bin.last_s);
                found.push(Stretch { time_s, frequency_hz: steps as f64 / span_s, span_s });
            }
            before = Some(bin.last_s);
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_train_has_one_frequency_however_long() {
        for edges in [10_u64, 1000, 1_000_000] {
            let mut timeline = Timeline::default();
            (0..edges).for_each(|i| timeline.next(i as f64 / 80.0));
            let stretches = timeline.stretches();
            assert!(stretches.len() <= MOST_BINS && timeline.edges() == edges);
            for stretch in &stretches {
                // Division of numbers up to 12 500 s: 1e-12 s in a bin of 0.05 s
                assert!((stretch.frequency_hz - 80.0).abs() < 1e-6, "{stretch:?}");
            }
            let covered: f64 = stretches.iter().map(|s| s.span_s).sum();
            assert!((covered - (edges - 1) as f64 / 80.0).abs() < 1e-6);
        }
    }

    #[test]
    fn a_standstill_has_no_frequency() {
        let mut timeline = Timeline::default();
        for i in 0..100 {
            timeline.next(if i < 50 { f64::from(i) / 20.0 } else { 60.0 + f64::from(i) / 20.0 });
        }
        assert!(timeline.stretches().iter().all(|s| (s.frequency_hz - 20.0).abs() < 1e-6));
    }
}
