//! Holes in a train of edges: where one or more are missing between regular neighbours.

use std::collections::VecDeque;

/// A step is a hole when it is this many times longer than its neighbours on both sides; a stop slows down before it.
const HOLE_RATIO: f64 = 1.6;
/// Steps looked at on each side.
const BESIDE: usize = 3;

/// One hole.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Gap {
    /// When the last edge before it was (s).
    pub start_s: f64,
    /// When the next one came (s).
    pub end_s: f64,
    /// How many edges would have fitted in.
    pub missing: f64,
}

/// Finds holes in a stream of edge times, in flat memory.
#[derive(Clone, Debug, Default)]
pub struct Gaps {
    times_s: VecDeque<f64>,
}

impl Gaps {
    /// Takes the next edge; a hole is told three edges after it.
    pub fn next(&mut self, time_s: f64) -> Option<Gap> {
        self.times_s.push_back(time_s);
        if self.times_s.len() < 2 * BESIDE + 2 {
            return None;
        }
        let steps: Vec<f64> =
            self.times_s.iter().zip(self.times_s.iter().skip(1)).map(|(a, b)| b - a).collect();
        let start_s = self.times_s[BESIDE];
        self.times_s.pop_front();
        let longest = |steps: &[f64]| steps.iter().fold(0.0_f64, |a, b| a.max(*b));
        let mean = |steps: &[f64]| steps.iter().sum::<f64>() / steps.len() as f64;
        let (before, step, after) = (&steps[..BESIDE], steps[BESIDE], &steps[BESIDE + 1..]);
        let usual = 0.5 * (mean(before) + mean(after));
        let is_hole = step > HOLE_RATIO * longest(before).max(longest(after));
        is_hole.then(|| Gap { start_s, end_s: start_s + step, missing: (step / usual - 1.0).round() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(times_s: &[f64], expected: &[(f64, f64)]) {
        let mut gaps = Gaps::default();
        let found: Vec<(f64, f64)> =
            times_s.iter().filter_map(|t| gaps.next(*t)).map(|gap| (gap.start_s, gap.missing)).collect();
        assert_eq!(found, expected, "{times_s:?}");
    }

    #[test]
    fn holes() {
        check(&[0., 1., 2., 3., 4., 5., 6., 7., 8.], &[]);
        check(&[0., 1., 2., 3., 5., 6., 7., 8.], &[(3.0, 1.0)]);
        check(&[0., 1., 2., 3., 13., 14., 15., 16.], &[(3.0, 9.0)]);
        // Slowing down and speeding up again is no hole.
        check(&[0., 1., 2.2, 3.8, 6.0, 8.2, 9.9, 11.0, 12.0, 13.0], &[]);
    }
}
