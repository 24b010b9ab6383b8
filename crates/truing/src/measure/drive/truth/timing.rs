//! Reported speeds that come later than the positions, or smoothed: receivers filter both, each its own way.
//!
//! The speeds of a path by positions alone are laid beside the reported ones, moved by every delay of a range; where they differ least
//! (sum of absolute differences) is the delay, and the reported speeds are taken from there. Whatever else differs while the
//! speed changes (smoothing, held values) makes them less sure, in proportion to the change.

use metrology::order::quantile;
use metrology::smooth::{PathFix, PathPoint};

/// Delays tried (s): a receiver's filter of 4 s is two seconds late; none is far ahead.
const DELAYS_S: (f64, f64, f64) = (-1.5, 4.0, 0.25);
/// A delay shorter than this (s) is within what interpolation between fixes a second apart makes.
const LEAST_S: f64 = 0.2;
/// The differences must fall by this share; noise alone falls by a few per cent as values are interpolated (simulated drives).
const BETTER: f64 = 0.06;
/// Fixes farther apart than this (s) tell no delay.
const DENSE_S: f64 = 2.0;
/// Fewer speeds beside positions tell nothing.
const LEAST_SPEEDS: usize = 60;
/// Rates of change (m/s²) of speeds that change, and of steady ones.
const CHANGING_M_PER_S2: f64 = 0.5;
const STEADY_M_PER_S2: f64 = 0.2;
/// What the path by positions itself lacks of a change of speed, as a time (s): it rounds starts and stops (simulated drives).
const OWN_S: f64 = 0.4;

/// How the reported speeds are timed.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Timing {
    /// They come so much later than the positions (s).
    pub delay_s: f64,
    /// They err by so much of their rate of change (s).
    pub smeared_s: f64,
}

/// Reported speeds at rising times, linear between them.
struct Reported {
    time_s: Vec<f64>,
    speed_m_per_s: Vec<f64>,
}

impl Reported {
    fn new(fixes: &[PathFix]) -> Reported {
        let (time_s, speed_m_per_s) =
            fixes.iter().filter_map(|fix| Some((fix.time_s, fix.speed_m_per_s?))).unzip();
        Reported { time_s, speed_m_per_s }
    }

    /// Mean of three: interpolation between values makes their noise smaller, which must not look like a better delay.
    fn calmed(&self) -> Reported {
        let count = self.speed_m_per_s.len();
        let value = |k: usize| {
            let (before, after) = (k.saturating_sub(1), (k + 1).min(count - 1));
            0.25 * (self.speed_m_per_s[before] + self.speed_m_per_s[after]) + 0.5 * self.speed_m_per_s[k]
        };
        Reported { time_s: self.time_s.clone(), speed_m_per_s: (0..count).map(value).collect() }
    }

    /// Speed at a time; nothing outside, or where neighbours are far apart.
    fn at(&self, time_s: f64, near: &mut usize) -> Option<f64> {
        let times = &self.time_s;
        while *near + 1 < times.len() && times[*near + 1] < time_s {
            *near += 1;
        }
        while *near > 0 && times[*near] > time_s {
            *near -= 1;
        }
        let (before, after) = (*times.get(*near)?, *times.get(*near + 1)?);
        let share = (time_s - before) / (after - before);
        let inside = (0.0..=1.0).contains(&share) && after - before <= DENSE_S;
        inside.then(|| self.speed_m_per_s[*near] * (1.0 - share) + self.speed_m_per_s[*near + 1] * share)
    }

    /// Rate of change over a second to both sides.
    fn rate(&self, time_s: f64, near: &mut usize) -> Option<f64> {
        Some(0.5 * (self.at(time_s + 1.0, near)? - self.at(time_s - 1.0, near)?))
    }
}

impl Timing {
    /// What fixes and their path by positions alone say; nothing where the speeds are in time.
    pub fn new(fixes: &[PathFix], alone: &[PathPoint], interval_s: f64) -> Option<Timing> {
        let reported = Reported::new(fixes);
        if interval_s > DENSE_S || reported.time_s.len() < LEAST_SPEEDS {
            return None;
        }
        let calm = reported.calmed();
        let (first_s, last_s, step_s) = DELAYS_S;
        let count = ((last_s - first_s) / step_s) as usize;
        let misfits: Vec<f64> =
            (0..=count).map(|k| misfit(&calm, alone, first_s + k as f64 * step_s)).collect();
        let best = (0..=count).min_by(|a, b| misfits[*a].total_cmp(&misfits[*b]))?;
        let found_s = first_s + step_s * (best as f64 + vertex(&misfits, best));
        let better = misfits[best] < (1.0 - BETTER) * misfit(&calm, alone, 0.0);
        let delay_s = if better && found_s.abs() > LEAST_S { found_s } else { 0.0 };
        let smeared_s = smeared_s(&reported, alone, delay_s);
        (delay_s != 0.0 || smeared_s > 0.0).then_some(Timing { delay_s, smeared_s })
    }

    /// Takes the reported speeds from where they belong.
    pub fn apply(self, fixes: &mut [PathFix]) {
        let reported = Reported::new(fixes);
        let (mut near, mut beside) = (0, 0);
        for fix in fixes {
            if fix.speed_m_per_s.is_none() {
                continue;
            }
            if self.delay_s != 0.0 {
                let moved = reported.at(fix.time_s + self.delay_s, &mut near);
                fix.speed_m_per_s = moved;
            }
            let rate = reported.rate(fix.time_s + self.delay_s, &mut beside).unwrap_or(0.0);
            fix.speed_extra_m_per_s = self.smeared_s * rate.abs();
        }
    }
}

/// Mean absolute difference of the path's speeds and the reported ones taken so much later.
fn misfit(reported: &Reported, alone: &[PathPoint], delay_s: f64) -> f64 {
    let (mut near, mut sum, mut count) = (0, 0.0, 0.0);
    for point in alone.iter().filter(|point| !point.breaks && !point.position_rejected) {
        if let Some(speed) = reported.at(point.time_s + delay_s, &mut near) {
            sum += (speed - point.speed_m_per_s).abs();
            count += 1.0;
        }
    }
    sum / f64::max(count, 1.0)
}

/// Where between its neighbours the least of some values lies: the parabola through three, in steps.
fn vertex(values: &[f64], least: usize) -> f64 {
    let (Some(before), Some(after)) = (least.checked_sub(1).map(|k| values[k]), values.get(least + 1)) else {
        return 0.0;
    };
    let bend = before - 2.0 * values[least] + after;
    if bend > 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}

/// By how much of their rate of change the speeds err beyond what they err when steady (s).
fn smeared_s(reported: &Reported, alone: &[PathPoint], delay_s: f64) -> f64 {
    let (mut near, mut beside) = (0, 0);
    let (mut changing, mut rates, mut steady) = (Vec::new(), Vec::new(), Vec::new());
    for point in alone.iter().filter(|point| !point.breaks && !point.position_rejected) {
        let time_s = point.time_s + delay_s;
        let Some((speed, rate)) = reported.at(time_s, &mut near).zip(reported.rate(time_s, &mut beside))
        else {
            continue;
        };
        let off = (speed - point.speed_m_per_s).abs();
        if rate.abs() > CHANGING_M_PER_S2 {
            changing.push(off);
            rates.push(rate.abs());
        } else if rate.abs() < STEADY_M_PER_S2 {
            steady.push(off);
        }
    }
    if changing.len() < LEAST_SPEEDS / 2 || steady.len() < LEAST_SPEEDS / 2 {
        return 0.0;
    }
    // Medians: outliers have weights of their own. Of a normal error the median is 0.6745 deviations.
    let middle = |mut values: Vec<f64>| quantile(&mut values, 0.5);
    let [changing, rates, steady] = [changing, rates, steady].map(middle);
    let beyond = (changing.powi(2) - steady.powi(2)).max(0.0).sqrt() / 0.6745;
    let smeared_s = beyond / rates.max(CHANGING_M_PER_S2);
    (smeared_s.powi(2) - OWN_S.powi(2)).max(0.0).sqrt()
}
