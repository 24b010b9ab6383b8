//! Edges that come twice: a contact that bounces, a trigger that fires again on the same pulse.
//!
//! One or a few steps that are far shorter than the step before them and the step behind them belong to one pulse; its first
//! edge stands for it. Speeding up has no long step behind, slowing down none before.

/// A step this small a share of its neighbours on both sides is a repetition. Judgement: a mark that is bent by half a
/// pitch still counts, and bouncing contacts settle within a few milliseconds.
const SHORT: f64 = 0.2;
/// No bounce comes later than this (s) after the last edge (judgement).
const LONGEST_S: f64 = 0.05;
/// Repetitions of one edge at most.
const MOST: usize = 8;
/// Neighbours longer than this (s) are a standstill, beside which any train is short.
const STANDSTILL_S: f64 = 1.0;

/// Edges looked at before the first is judged: the longest step among them stands for the one before it.
const FIRST: usize = 10;

/// Takes the repetitions out of a stream of edges, each with something of its own; holds back one pulse, at the start a few.
#[derive(Clone, Debug)]
pub struct Doubles<T> {
    start: Vec<(f64, T)>,
    before_s: Option<f64>,
    /// The last pulse: its first edge and what may be its repetitions.
    held: Vec<(f64, T)>,
    told: u64,
}

impl<T> Default for Doubles<T> {
    fn default() -> Self {
        Self { start: Vec::new(), before_s: None, held: Vec::new(), told: 0 }
    }
}

impl<T: Copy> Doubles<T> {
    /// Takes the next edge (s) and tells those that count.
    pub fn next(&mut self, time_s: f64, own: T, counts: &mut dyn FnMut(f64, T)) {
        match self.before_s {
            Some(before_s) => self.step(before_s, time_s, own, counts),
            None => {
                self.start.push((time_s, own));
                if self.start.len() == FIRST {
                    self.begin(counts);
                }
            }
        }
    }

    /// Tells what is held back.
    pub fn finish(&mut self, counts: &mut dyn FnMut(f64, T)) {
        if self.before_s.is_none() {
            self.begin(counts);
        }
        if let (Some(first), Some(before_s)) = (self.held.first(), self.before_s) {
            self.tell(first.0 - before_s, None, counts);
        }
    }

    fn begin(&mut self, counts: &mut dyn FnMut(f64, T)) {
        let start = std::mem::take(&mut self.start);
        let longest_s = start.windows(2).map(|two| two[1].0 - two[0].0).fold(0.0, f64::max);
        let mut before_s = start.first().map_or(0.0, |first| first.0 - longest_s);
        self.before_s = Some(before_s);
        for (time_s, own) in start {
            self.step(before_s, time_s, own, counts);
            before_s = self.before_s.unwrap_or(before_s);
        }
    }

    fn step(&mut self, before_s: f64, time_s: f64, own: T, counts: &mut dyn FnMut(f64, T)) {
        if let (Some(first), Some(last)) = (self.held.first(), self.held.last()) {
            let (before_s, step_s) = (first.0 - before_s, time_s - last.0);
            let may_repeat = step_s < LONGEST_S.min(SHORT * before_s) && before_s < STANDSTILL_S;
            if may_repeat && self.held.len() <= MOST {
                self.held.push((time_s, own));
                return;
            }
            self.tell(before_s, Some(step_s), counts);
        }
        self.held.push((time_s, own));
    }

    /// How many were taken out so far.
    pub fn told(&self) -> u64 {
        self.told
    }

    fn tell(&mut self, before_s: f64, after_s: Option<f64>, counts: &mut dyn FnMut(f64, T)) {
        let longest_s = self.held.windows(2).map(|two| two[1].0 - two[0].0).fold(0.0, f64::max);
        let is_beside = |step_s: f64| longest_s < SHORT * step_s && step_s < STANDSTILL_S;
        let repeats = self.held.len() > 1 && is_beside(before_s) && after_s.is_none_or(is_beside);
        let keep = if repeats { 1 } else { self.held.len() };
        self.told += (self.held.len() - keep) as u64;
        for (time_s, own) in self.held.drain(..).take(keep) {
            self.before_s = Some(time_s);
            counts(time_s, own);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(times_s: &[f64], expected: &[f64]) {
        let (mut doubles, mut kept) = (Doubles::default(), Vec::new());
        times_s.iter().for_each(|time| doubles.next(*time, (), &mut |time, ()| kept.push(time)));
        doubles.finish(&mut |time, ()| kept.push(time));
        assert_eq!(kept, expected, "{times_s:?}");
        assert_eq!(doubles.told(), (times_s.len() - expected.len()) as u64);
    }

    #[test]
    fn repetitions() {
        check(&[], &[]);
        check(&[0.1], &[0.1]);
        check(&[0.1, 0.2, 0.3, 0.4], &[0.1, 0.2, 0.3, 0.4]);
        // Once in the middle, at the start, at the end; thrice; at every pulse
        check(&[0.1, 0.2, 0.205, 0.3, 0.4], &[0.1, 0.2, 0.3, 0.4]);
        check(&[0.1, 0.105, 0.2, 0.3, 0.4], &[0.1, 0.2, 0.3, 0.4]);
        check(&[0.1, 0.2, 0.3, 0.4, 0.405], &[0.1, 0.2, 0.3, 0.4]);
        check(&[0.1, 0.2, 0.201, 0.203, 0.207, 0.3, 0.4], &[0.1, 0.2, 0.3, 0.4]);
        check(&[0.1, 0.11, 0.2, 0.21, 0.3, 0.31, 0.4, 0.41], &[0.1, 0.2, 0.3, 0.4]);
    }

    #[test]
    fn what_is_no_repetition() {
        for times in [
            // Out of its place by 0.7 of a pitch
            vec![0.1, 0.2, 0.23, 0.4, 0.5],
            // From a crawl to speed at once, and back
            vec![0.0, 0.9, 1.8, 1.9, 2.0, 2.1, 2.2, 2.3, 2.4, 2.5, 2.6, 2.7, 2.8],
            vec![0.0, 0.1, 0.2, 0.3, 1.2, 2.1],
            // A few marks between two standstills
            vec![0.0, 5.0, 5.2, 5.4, 9.0, 9.2],
            // A hole
            vec![0.0, 0.1, 0.2, 0.5, 0.6, 0.7],
        ] {
            check(&times, &times);
        }
    }
}
