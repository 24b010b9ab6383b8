//! Samples that show an old value: a module that measures less often than it is asked, a logger that fills gaps with the last answer.
//!
//! A value that stands while the true speed has moved by more than rounding can hide is old. Such values make the channel late, by
//! anything from nothing to the time of a hold: the clocks are compared without them, and while the speed changes all
//! samples of such a channel count for less. What stands for less long cannot be told from rounding sample by sample; on average it can: a rounded value stands as long as the speed takes through one step,
//! and what it stands longer is lateness. When within a hold its value was measured nobody can tell: some loggers repeat the last
//! answer, others show the nearest, so that the clock lag is known no better than the mean lateness.

use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::truth::Truth;
use crate::problem::Problem;

/// Old is a value that has stood while the speed moved by so many steps, and by no less than so much (m/s), as the truth's own
/// errors do from second to second.
const STEPS: f64 = 1.5;
const LEAST_M_PER_S: f64 = 0.4;
/// Over this time (s), or from one sample to the next, the speed must have moved so much for a sample to tell.
const TELLS_WITHIN_S: f64 = 1.0;
/// A channel holds values when this share of the samples that tell is old, and so many: outliers repeat too.
const HELD_SHARE: f64 = 0.05;
const HELD_LEAST: usize = 8;
/// No hold is longer (s): beyond it the channel is dead.
const LONGEST_S: f64 = 3.0;

/// What a channel that holds its values does.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Which samples show an old value.
    pub old: Vec<bool>,
    /// How late all samples are on average beyond what rounding makes them (s).
    pub late_s: f64,
}

/// Looks for held values; nothing where the channel shows none.
pub fn find(true_motion: &Truth, samples: &Samples, lag_s: f64, ratio: f64) -> Option<Held> {
    let moved_m_per_s = (STEPS * samples.step).max(LEAST_M_PER_S);
    let within_s = samples.interval_s.max(TELLS_WITHIN_S);
    let mut near = 0;
    // Value and true speed where the value was new.
    let mut new: Option<(f64, f64)> = None;
    let (mut tell, mut late_s, mut natural_s) = (0_usize, 0.0, 0.0);
    let mut old = vec![false; samples.time_s.len()];
    for (k, value) in samples.speed.iter().enumerate() {
        let Some((truth, rate, _)) = true_motion.at(samples.time_s[k] - lag_s, &mut near) else {
            new = None;
            continue;
        };
        let from = match new.filter(|(shown, _)| shown == value) {
            Some((_, from)) => from,
            None => {
                new = Some((*value, truth));
                truth
            }
        };
        let rate = ratio * rate.abs();
        if rate * within_s < moved_m_per_s {
            continue;
        }
        let moved = ratio * (truth - from).abs();
        tell += 1;
        old[k] = moved > moved_m_per_s;
        late_s += (moved / rate).min(LONGEST_S);
        natural_s += (0.5 * (samples.step / rate - samples.interval_s)).max(0.0);
    }
    let count = old.iter().filter(|old| **old).count();
    let held = count >= HELD_LEAST && count as f64 > HELD_SHARE * tell as f64;
    held.then(|| Held { old, late_s: ((late_s - natural_s) / tell as f64).max(0.0) })
}

impl Held {
    pub fn problem(&self, source: &str) -> Problem {
        let found =
            format!("values that stand while the speed changes, {:.1} s late on average", self.late_s);
        Problem::note(source, "a vehicle log that shows a new value each time", found)
            .hint("log the speed alone, or at a slower rate; the uncertainties allow for it")
    }
}

impl Samples {
    /// The samples without those that are old.
    pub fn without(&self, held: &Held) -> Samples {
        let fresh = |values: &[f64]| {
            values.iter().zip(&held.old).filter(|(_, old)| !**old).map(|(value, _)| *value).collect()
        };
        Samples { time_s: fresh(&self.time_s), speed: fresh(&self.speed), ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::drive::input::fixes::Clean;
    use crate::measure::drive::truth;
    use metrology::smooth::PathFix;

    const STEP: f64 = 1.0 / 3.6;

    /// A speed that waves by 1 m/s² at most, one sample in `interval_s`, each measured only every `hold_s`.
    fn check(interval_s: f64, hold_s: f64, held: bool) {
        let wave = |t: f64| 18.0 + 8.0 * (t / 8.0).sin();
        let fix = |k: usize| PathFix {
            time_s: k as f64,
            speed_m_per_s: Some(wave(k as f64)),
            ..PathFix::default()
        };
        let mut clean = Clean { fixes: (0..600).map(fix).collect(), ..Clean::default() };
        let truth = truth::truth(&mut clean, &crate::measure::drive::DriveConditions::default());
        let time_s: Vec<f64> = (0..(590.0 / interval_s) as usize).map(|k| k as f64 * interval_s).collect();
        let measured = |t: &f64| (wave((t / hold_s + 1e-9).floor() * hold_s) / STEP).round() * STEP;
        let speed = time_s.iter().map(measured).collect();
        let samples = Samples {
            time_s,
            speed,
            step: STEP,
            interval_s,
            late_s: 0.0,
            refresh_s: None,
            row_s: interval_s,
        };
        let found = find(&truth, &samples, 0.0, 1.0);
        assert_eq!(found.is_some(), held, "{interval_s} {hold_s}");
        if let Some(found) = found {
            let kept = samples.without(&found);
            assert!(kept.time_s.len() < samples.time_s.len() && kept.time_s.len() == kept.speed.len());
        }
    }

    #[test]
    fn held_values_are_seen_and_rounded_ones_are_not() {
        check(1.0, 1.0, false);
        check(0.1, 0.1, false);
        check(0.2, 0.2, false);
        check(5.0, 5.0, false);
        check(1.0, 2.0, true);
        check(0.1, 1.0, true);
        check(0.5, 2.0, true);
    }
}
