//! The truth channel: true speed over time with its uncertainty, and true distance.

use super::clean::{Clean, IMPOSSIBLE_M_PER_S, count, usual_interval_s};
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Quantity};
use metrology::smooth::{Levels, PathFix, PathPoint, smooth};

/// Standard uncertainty of one reported speed when there is no position beside it (m/s); satellite receivers
/// report speed from carrier frequency to about this (judgement).
const REPORTED_U_M_PER_S: f64 = 0.1;
/// Relative standard uncertainty of a whole track's length: height left out (a 3 % grade adds 0.045 %), corners cut, crawling
/// and standing, and error let through by the smoother. Set from simulated drives and from open drives whose positions and
/// speeds differ by that much.
const SCALE_U: f64 = 1e-3;
/// The same for the part under way faster than 5 m/s, where standing and crawling do not count.
pub const MOVING_SCALE_U: f64 = 5e-4;
/// Road over a hole is longer than the chord; this much of the chord, as a standard uncertainty (judgement).
const HOLE_SHARE_U: f64 = 0.1;

/// Time (s) from the nearest position beyond which the path is not known.
const BLIND_S: f64 = 5.0;
/// Half the span (s) over which the rate of change is taken.
const RATE_S: f64 = 2.0;

/// True speed at rising times; linear between them, nothing known across a break.
#[derive(Clone, Debug, Default)]
pub struct Truth {
    /// Times (s) on the track's clock.
    pub time_s: Vec<f64>,
    /// Speed (m/s).
    pub speed_m_per_s: Vec<f64>,
    /// Standard uncertainty of each speed (m/s).
    pub u_m_per_s: Vec<f64>,
    /// Nothing is known between this time and the one before.
    pub breaks: Vec<bool>,
    /// Distance since the start (m), without the holes.
    pub distance_m: Vec<f64>,
    /// Chord over the hole before this time (m); zero elsewhere.
    hole_m: Vec<f64>,
    /// Noise levels of the positions; absent when the track has none.
    levels: Option<Levels>,
}

/// Makes the truth channel of a cleaned track and counts outliers into its rejected fixes.
pub fn truth(clean: &mut Clean) -> Truth {
    if clean.fixes.iter().any(|fix| fix.position_m.is_some()) {
        of_positions(clean)
    } else {
        of_speeds(clean)
    }
}

fn of_positions(clean: &mut Clean) -> Truth {
    let path = smooth(&clean.fixes);
    let outliers = |test: fn(&PathPoint) -> bool| path.points.iter().filter(|p| test(p)).count();
    count(&mut clean.rejected, "position far from the path", outliers(|p| p.position_rejected));
    count(&mut clean.rejected, "reported speed far from the path's", outliers(|p| p.speed_rejected));
    let mut truth = Truth { levels: Some(path.levels), ..Truth::default() };
    let blind = without_position(&clean.fixes);
    let mut last: Option<PathPoint> = None;
    for ((point, fix), blind) in path.points.iter().zip(&clean.fixes).zip(blind) {
        let breaks = last.is_none() || point.breaks || fix.starts;
        let hole_m = last.filter(|_| breaks).map_or(0.0, |last| bridge_m(&last, point, fix.starts));
        last = Some(*point);
        let speed = match fix.speed_m_per_s {
            Some(reported) if blind => (reported, path.levels.reported_m_per_s.max(REPORTED_U_M_PER_S)),
            _ => (point.speed_m_per_s, point.speed_uncertainty_m_per_s),
        };
        // Nothing tells the speed here: what the smoother carries on is no measurement.
        if blind && fix.speed_m_per_s.is_none() {
            continue;
        }
        truth.push(point.time_s, speed, breaks, hole_m);
    }
    truth
}

fn of_speeds(clean: &Clean) -> Truth {
    let mut truth = Truth::default();
    for fix in &clean.fixes {
        if let Some(speed) = fix.speed_m_per_s {
            let breaks = fix.starts || truth.time_s.is_empty();
            truth.push(fix.time_s, (speed, REPORTED_U_M_PER_S), breaks, 0.0);
        }
    }
    truth
}

/// Marks fixes more than [`BLIND_S`] from any position: the direction of travel is not known there, so a speed along it
/// is not either, and the reported speed stands alone.
fn without_position(fixes: &[PathFix]) -> Vec<bool> {
    let mut far = vec![true; fixes.len()];
    let mut mark = |order: &mut dyn Iterator<Item = usize>| {
        let mut seen_s = f64::INFINITY;
        for index in order {
            if fixes[index].position_m.is_some() {
                seen_s = fixes[index].time_s;
            }
            far[index] &= (fixes[index].time_s - seen_s).abs() > BLIND_S;
        }
    };
    mark(&mut (0..fixes.len()));
    mark(&mut (0..fixes.len()).rev());
    far
}

/// Road over a break (m): the chord, unless no vehicle drives it in that time; then, and where the positions leapt
/// without a pause, what the speeds on both sides would cover.
fn bridge_m(before: &PathPoint, after: &PathPoint, paused: bool) -> f64 {
    let span_s = after.time_s - before.time_s;
    let [east, north] = [0, 1].map(|axis| after.position_m[axis] - before.position_m[axis]);
    let chord = f64::hypot(east, north);
    if paused && chord < IMPOSSIBLE_M_PER_S * span_s {
        chord
    } else {
        0.5 * (before.speed_m_per_s + after.speed_m_per_s) * span_s
    }
}

impl Truth {
    fn push(&mut self, time_s: f64, (speed, u): (f64, f64), breaks: bool, hole_m: f64) {
        let step = match (self.time_s.last(), breaks) {
            (Some(last), false) => {
                0.5 * (time_s - last) * (speed + self.speed_m_per_s[self.speed_m_per_s.len() - 1])
            }
            _ => 0.0,
        };
        self.distance_m.push(self.distance_m.last().copied().unwrap_or(0.0) + step);
        self.time_s.push(time_s);
        self.speed_m_per_s.push(speed);
        self.u_m_per_s.push(u);
        self.breaks.push(breaks);
        self.hole_m.push(hole_m);
    }

    /// Time from first to last fix.
    pub fn duration(&self) -> Duration {
        match (self.time_s.first(), self.time_s.last()) {
            (Some(first), Some(last)) => Duration::from_s(last - first),
            _ => Duration::from_s(0.0),
        }
    }

    /// Usual time between fixes (s).
    pub fn interval_s(&self) -> f64 {
        usual_interval_s(self.time_s.iter().copied())
    }

    /// Positions far apart in time tell less of bends, starts and stops between them: the scale's uncertainty grows with
    /// their step beyond a second (judgement, seen in simulated drives at 5 s).
    pub fn coarseness(&self) -> f64 {
        if self.levels.is_some() { self.interval_s().max(1.0) } else { 1.0 }
    }

    /// Speed (m/s), its rate of change (m/s²) and its uncertainty (m/s) at a time; nothing inside a hole.
    ///
    /// The rate is taken over [`RATE_S`] to both sides: a rate from the same two fixes as the speed shares their error,
    /// and a lag fitted with it is drawn to the middle between fixes.
    pub fn at(&self, time_s: f64) -> Option<(f64, f64, f64)> {
        let (speed, u) = self.between(time_s)?;
        let earlier = self.between(time_s - RATE_S).map_or((0.0, speed), |(v, _)| (RATE_S, v));
        let later = self.between(time_s + RATE_S).map_or((0.0, speed), |(v, _)| (RATE_S, v));
        let span = (earlier.0 + later.0).max(RATE_S);
        Some((speed, (later.1 - earlier.1) / span, u))
    }

    fn between(&self, time_s: f64) -> Option<(f64, f64)> {
        let upper = self.time_s.partition_point(|t| *t < time_s);
        if upper == 0 || upper == self.time_s.len() || self.breaks[upper] {
            return None;
        }
        let share = (time_s - self.time_s[upper - 1]) / (self.time_s[upper] - self.time_s[upper - 1]);
        let mix = |values: &[f64]| values[upper - 1] * (1.0 - share) + values[upper] * share;
        Some((mix(&self.speed_m_per_s), mix(&self.u_m_per_s)))
    }

    /// Time under way faster than `above_m_per_s` (s).
    pub fn moving_s(&self, above_m_per_s: f64) -> f64 {
        (1..self.time_s.len())
            .filter(|k| !self.breaks[*k] && self.speed_m_per_s[*k] > above_m_per_s)
            .map(|k| self.time_s[k] - self.time_s[k - 1])
            .sum()
    }

    /// Length of the holes, as chords (m), and their number.
    pub fn holes(&self) -> (f64, usize) {
        let number = self.breaks.iter().skip(1).filter(|b| **b).count();
        (self.hole_m.iter().sum(), number)
    }

    /// Whole length of the drive. Holes are bridged by their chord with an uncertainty that says so.
    pub fn distance(&self) -> Measured<Length> {
        let inside = self.distance_m.last().copied().unwrap_or(0.0);
        let (holes, number) = self.holes();
        let ends = self.levels.map_or(0.0, |l| (2.0 * (l.slow_m.powi(2) + l.white_m.powi(2))).sqrt());
        let ends = ends * ((number + 1) as f64).sqrt();
        let noise = match self.levels {
            Some(_) => 0.0,
            None => REPORTED_U_M_PER_S * (self.interval_s() * self.duration().s()).sqrt(),
        };
        let total = inside + holes;
        let u = (ends.powi(2)
            + noise.powi(2)
            + (SCALE_U * self.coarseness() * total).powi(2)
            + (HOLE_SHARE_U * holes).powi(2))
        .sqrt();
        Measured::symmetric(Length::from_m(total), Length::from_si(u), f64::INFINITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn straight(count: usize, change: impl Fn(usize, &mut PathFix)) -> Truth {
        let mut fixes: Vec<PathFix> = (0..count)
            .map(|k| PathFix {
                time_s: k as f64,
                position_m: Some([20.0 * k as f64, 0.0]),
                ..PathFix::default()
            })
            .collect();
        fixes.iter_mut().enumerate().for_each(|(k, fix)| change(k, fix));
        truth(&mut Clean { fixes, ..Clean::default() })
    }

    /// The noiseless smoother settles within millimetres of the truth.
    const SETTLED: f64 = 0.01;

    #[test]
    fn speed_between_fixes_and_nothing_outside() {
        let truth = straight(60, |_, _| ());
        let (speed, rate, u) = truth.at(30.5).unwrap();
        assert!((speed - 20.0).abs() < SETTLED && rate.abs() < SETTLED && u > 0.0, "{speed} {rate} {u}");
        assert_eq!((truth.at(-0.5), truth.at(59.5)), (None, None));
        assert!((truth.moving_s(5.0) - 59.0).abs() < 1e-9);
    }

    fn check_distance(truth: &Truth, expected_m: f64) {
        let distance = truth.distance();
        assert!((distance.value.m() - expected_m).abs() < 1.0, "{distance:?}");
        assert!(distance.low_95.m() < expected_m && expected_m < distance.high_95.m());
    }

    #[test]
    fn distance_over_holes_and_leaps() {
        check_distance(&straight(60, |_, _| ()), 20.0 * 59.0);
        // A pause of 100 s: the road is at least the chord.
        let paused = straight(60, |k, fix| {
            if k >= 30 {
                fix.time_s += 100.0;
                fix.starts = k == 30;
            }
        });
        check_distance(&paused, 20.0 * 59.0);
        assert_eq!(paused.holes().1, 1);
        assert!(paused.at(80.0).is_none());
        // Thirty fixes 3 km to the side: nobody drove there.
        check_distance(
            &straight(120, |k, fix| {
                if (40..70).contains(&k) {
                    fix.position_m = Some([20.0 * k as f64, 3000.0]);
                }
            }),
            20.0 * 119.0,
        );
    }

    #[test]
    fn a_reported_speed_stands_alone_where_positions_are_missing() {
        let truth = straight(120, |k, fix| {
            fix.speed_m_per_s = Some(20.0);
            if (40..80).contains(&k) {
                fix.position_m = None;
                fix.speed_m_per_s = Some(25.0);
            }
        });
        assert_eq!(truth.at(60.0).unwrap().0, 25.0);
        assert!((truth.at(20.0).unwrap().0 - 20.0).abs() < SETTLED);
    }

    #[test]
    fn positions_far_apart_make_the_scale_less_sure() {
        let slow = straight(60, |k, fix| {
            fix.time_s = 5.0 * k as f64;
            fix.position_m = Some([100.0 * k as f64, 0.0]);
        });
        assert_eq!((straight(60, |_, _| ()).coarseness(), slow.coarseness()), (1.0, 5.0));
    }
}
