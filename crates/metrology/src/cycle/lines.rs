//! A pattern of steps taken apart into lines: its harmonics, each beside what the turns scatter there.
//!
//! Spacing errors of marks are as good as independent, and their pattern has all of its lines. A speed that swings has a
//! few, which fall off: so many orders of a piston machine, a joint, a shaft that winds up. The two are told apart by how many lines stand
//! out, how they fall off, and whether the pattern stays the same share of a pitch while the speed changes.

use crate::measured::student_cdf;
use std::f64::consts::PI;

/// One harmonic of the pattern.
#[derive(Copy, Clone, Debug)]
pub(super) struct Harmonic {
    /// Which: so many waves in a turn.
    pub waves: usize,
    /// Mean square of it in the steps, as a share of a pitch squared.
    pub power: f64,
    /// What chance alone would leave there in the mean over the turns.
    pub noise: f64,
    /// Minus the logarithm of the probability that chance alone leaves so much: exponential of mean 1 without a pattern.
    pub stands_out: f64,
    /// What it spills into its neighbours, in power, because its phase moves from turn to turn: it does not repeat after
    /// whole turns.
    pub spills: f64,
}

impl Harmonic {
    /// Whether it has a sine and a cosine: all but the one of half the marks.
    pub fn is_whole(&self, marks: usize) -> bool {
        2 * self.waves != marks
    }
}

/// The steps of whole turns, one row each, relative to the speed.
#[derive(Clone, Debug)]
pub(super) struct Turns {
    pub marks: usize,
    pub rows: Vec<Vec<f64>>,
    /// Mean of each column.
    pub mean: Vec<f64>,
    /// How long each turn took (s).
    pub spans_s: Vec<f64>,
}

impl Turns {
    /// From the steps relative to the speed, none where a step does not count, and how long each took. `None` with fewer
    /// than three turns.
    pub fn new(steps: &[(Option<f64>, f64)], marks: usize) -> Option<Turns> {
        let whole: Vec<&[(Option<f64>, f64)]> = steps.chunks_exact(marks).collect();
        if whole.len() < 3 {
            return None;
        }
        let column = |at: usize| {
            let (mut count, mut sum) = (0.0, 0.0);
            for value in whole.iter().filter_map(|turn| turn[at].0) {
                (count, sum) = (count + 1.0, sum + value);
            }
            if count > 0.0 { sum / count } else { 0.0 }
        };
        let mean: Vec<f64> = (0..marks).map(column).collect();
        // What is missing in one turn is as it is in the others.
        let row = |turn: &&[(Option<f64>, f64)]| -> Vec<f64> {
            turn.iter().zip(&mean).map(|((value, _), mean)| value.unwrap_or(*mean)).collect()
        };
        let spans_s = whole.iter().map(|turn| turn.iter().map(|step| step.1).sum()).collect();
        Some(Turns { marks, rows: whole.iter().map(row).collect(), mean, spans_s })
    }

    /// All harmonics.
    pub fn lines(&self) -> Vec<Harmonic> {
        let table: Vec<(f64, f64)> =
            (0..self.marks).map(|k| (2.0 * PI * k as f64 / self.marks as f64).sin_cos()).collect();
        (1..=self.marks / 2).map(|waves| self.line(waves, &table)).collect()
    }

    fn line(&self, waves: usize, table: &[(f64, f64)]) -> Harmonic {
        let at = |values: &[f64]| {
            values.iter().enumerate().fold((0.0, 0.0), |(c, s), (index, value)| {
                let (sine, cosine) = table[index * waves % self.marks];
                (c + value * cosine, s + value * sine)
            })
        };
        let turns = self.rows.len() as f64;
        let (c, s) = at(&self.mean);
        let each: Vec<(f64, f64)> = self.rows.iter().map(|row| at(row)).collect();
        let scatter: f64 = each.iter().map(|(x, y)| (x - c).powi(2) + (y - s).powi(2)).sum();
        let free = turns - 1.0;
        let noise = (scatter / free / turns).max(f64::MIN_POSITIVE);
        let square = c * c + s * s;
        let is_whole = 2 * waves != self.marks;
        let stands_out = if is_whole {
            // F with 2 and 2 (turns - 1) degrees of freedom has this survival function in closed form.
            free * (square / noise / free).ln_1p()
        } else {
            -(2.0 * student_cdf(-(square / noise).sqrt(), free)).max(f64::MIN_POSITIVE).ln()
        };
        let scale = (if is_whole { 2.0 } else { 1.0 }) / (self.marks as f64).powi(2);
        let turned = turned(&each, (c, s)) / (2.0 * PI);
        let (power, noise) = (scale * square, scale * noise);
        Harmonic { waves, power, noise, stands_out, spills: power * turned * turned }
    }

    /// How the pattern grows with slowness: the slope of its size in each turn over the logarithm of how long the turn took,
    /// and the standard uncertainty of that. Spacing does not grow: it is a share of a pitch at any speed.
    pub fn growth(&self) -> Option<(f64, f64)> {
        let turns = self.rows.len() as f64;
        let size = |row: &Vec<f64>| {
            // Against the mean of the other turns, so that its own noise does not count for it.
            let others = row.iter().zip(&self.mean).map(|(own, mean)| (mean * turns - own) / (turns - 1.0));
            let (mut along, mut square) = (0.0, 0.0);
            for (own, other) in row.iter().zip(others) {
                along += own * other;
                square += other * other;
            }
            along / square
        };
        let sizes: Vec<f64> = self.rows.iter().map(size).collect();
        let slowness: Vec<f64> = self.spans_s.iter().map(|span| span.ln()).collect();
        let mean = |values: &[f64]| values.iter().sum::<f64>() / turns;
        let (usual, middle) = (mean(&sizes), mean(&slowness));
        let spread: f64 = slowness.iter().map(|x| (x - middle).powi(2)).sum();
        let along: f64 = slowness.iter().zip(&sizes).map(|(x, y)| (x - middle) * (y - usual)).sum();
        let slope = along / spread;
        let rest: f64 =
            slowness.iter().zip(&sizes).map(|(x, y)| (y - usual - slope * (x - middle)).powi(2)).sum();
        let u = (rest / (turns - 2.0) / spread).sqrt();
        let (slope, u) = (slope / usual, (u / usual).abs());
        (slope.is_finite() && u.is_finite()).then_some((slope, u))
    }
}

/// Angle by which a line turns from one turn to the next, less what chance makes of it.
fn turned(each: &[(f64, f64)], (c, s): (f64, f64)) -> f64 {
    let square = c * c + s * s;
    let across = |(x, y): &(f64, f64)| (y * c - x * s) / square;
    let middle = 0.5 * (each.len() - 1) as f64;
    let (mut along, mut spread, mut rest) = (0.0, 0.0, 0.0);
    for (turn, one) in each.iter().enumerate() {
        let from = turn as f64 - middle;
        (along, spread) = (along + from * across(one), spread + from * from);
    }
    let slope = along / spread;
    for (turn, one) in each.iter().enumerate() {
        rest += (across(one) - slope * (turn as f64 - middle)).powi(2);
    }
    let u = (rest / (each.len() as f64 - 2.0) / spread).sqrt();
    (slope.abs() - 2.0 * u).max(0.0)
}
