//! A stream: what one column says, in the rows in which it says anything.

use metrology::order::{quantile, usual_interval_s};

/// A step between values is the step of the scale they are written in when no more than this share of all is smaller.
const STEP_SHARE: f64 = 0.05;

/// Changes of fewer steps than this tell whether they are multiples; so near to a whole number (speeds in whole km/h printed as m/s with two
/// decimals are 2 to 4 % off a step); and this share of them must be. By chance a fifth would be.
const SMALL_STEPS: f64 = 5.5;
const NEAR_WHOLE: f64 = 0.1;
const MULTIPLES: f64 = 0.8;

/// Values of one column in rising time. `N` is 1 for a speed or height, 2 for a place (m).
#[derive(Clone, Debug, Default)]
pub struct Stream<const N: usize> {
    pub time_s: Vec<f64>,
    pub value: Vec<[f64; N]>,
    /// The row each stands in.
    pub row: Vec<usize>,
}

/// Neighbouring rows with one value: `from..to`.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Run {
    pub from: usize,
    pub to: usize,
}

impl Run {
    pub fn rows(self) -> usize {
        self.to - self.from
    }
}

impl<const N: usize> Stream<N> {
    pub fn new(values: impl Iterator<Item = (f64, Option<[f64; N]>)>) -> Stream<N> {
        let (rows, _) = values.size_hint();
        let mut stream = Stream {
            time_s: Vec::with_capacity(rows),
            value: Vec::with_capacity(rows),
            row: Vec::with_capacity(rows),
        };
        for (row, (time_s, value)) in values.enumerate() {
            let Some(value) = value else { continue };
            stream.time_s.push(time_s);
            stream.value.push(value);
            stream.row.push(row);
        }
        stream
    }

    pub fn len(&self) -> usize {
        self.value.len()
    }

    /// Leaves those values for which `keep` holds; how many went.
    pub fn retain(&mut self, keep: &[bool]) -> usize {
        let before = self.len();
        let mut kept = 0;
        for index in (0..before).filter(|index| keep[*index]) {
            self.time_s[kept] = self.time_s[index];
            self.value[kept] = self.value[index];
            self.row[kept] = self.row[index];
            kept += 1;
        }
        self.time_s.truncate(kept);
        self.value.truncate(kept);
        self.row.truncate(kept);
        before - kept
    }

    /// The usual time between its rows (s).
    pub fn interval_s(&self) -> f64 {
        usual_interval_s(self.time_s.iter().copied())
    }

    pub fn runs(&self) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for index in 0..self.len() {
            match runs.last_mut() {
                Some(run) if self.value[run.from] == self.value[index] => run.to = index + 1,
                _ => runs.push(Run { from: index, to: index + 1 }),
            }
        }
        runs
    }

    /// By how much a value differs from the one before it.
    pub fn change(&self, index: usize) -> [f64; N] {
        let (before, now) = (self.value[index - 1], self.value[index]);
        std::array::from_fn(|axis| now[axis] - before[axis])
    }

    /// The step of the scale of each axis, where it has one: what hardly any change is smaller than, and the others are multiples of.
    /// A truck at one speed in held rows changes its place by nearly the same each time, too, but not by multiples.
    pub fn step(&self, runs: &[Run]) -> [f64; N] {
        std::array::from_fn(|axis| {
            let changes = runs.iter().skip(1).map(|run| self.change(run.from)[axis].abs());
            let mut changes: Vec<f64> = changes.filter(|change| *change > 0.0).collect();
            let step = quantile(&mut changes, STEP_SHARE);
            let small = || changes.iter().map(|change| change / step).filter(|steps| *steps < SMALL_STEPS);
            let whole = small().filter(|steps| (steps - steps.round()).abs() < NEAR_WHOLE).count();
            if whole as f64 > MULTIPLES * small().count() as f64 { step } else { 0.0 }
        })
    }
}

/// How far apart two values are.
pub fn apart<const N: usize>(one: [f64; N], other: [f64; N]) -> f64 {
    (0..N).map(|axis| (one[axis] - other[axis]).powi(2)).sum::<f64>().sqrt()
}
