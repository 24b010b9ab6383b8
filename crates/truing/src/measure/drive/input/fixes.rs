//! From fixes as read to fixes that can be used; what is left out is counted with its reason.

use crate::logs::Track;
use crate::measure::drive::input::times::Times;
use crate::measure::drive::types::Rejected;
use metrology::geodesy::{Path, Position};
use metrology::order::usual_interval_s;
use metrology::smooth::PathFix;

/// A speed no road vehicle reaches (m/s): 360 km/h.
pub const IMPOSSIBLE_M_PER_S: f64 = 100.0;
/// Beyond this horizontal dilution of precision a fix is of no use (common practice, no source).
const POOR_HDOP: f64 = 20.0;
/// A gap longer than this (s), and than [`GAP_INTERVALS`] usual intervals, splits the track.
const GAP_S: f64 = 10.0;
const GAP_INTERVALS: f64 = 4.0;
/// Why fixes are left out.
const RUNS_BACKWARD: &str = "time runs backward";
const STANDS_STILL: &str = "time stands still";

/// Fixes in rising time, positions in a plane.
#[derive(Clone, Debug, Default)]
pub struct Clean {
    /// Usable fixes.
    pub fixes: Vec<PathFix>,
    /// Time (s) and height (m) of the fixes that have one.
    pub heights: Vec<(f64, f64)>,
    /// Latitude and longitude of the first position.
    pub first: Option<Position>,
    /// Fixes as read.
    pub read: usize,
    /// What was left out, by reason.
    pub rejected: Vec<Rejected>,
}

impl Clean {
    /// How its times follow one another.
    pub fn times(&self) -> Times<'static> {
        let count = |reason| self.rejected.iter().find(|r| r.reason == reason).map_or(0, |r| r.count);
        Times {
            of: "fixes",
            read: self.read,
            still: count(STANDS_STILL),
            backward: count(RUNS_BACKWARD),
            interval_s: usual_interval_s(self.fixes.iter().map(|fix| fix.time_s)),
        }
    }

    /// Leaves the speeds alone, and the fixes that have one.
    pub fn drop_positions(&mut self) {
        self.drop_all(|fix| fix.position_m = None, |fix| fix.speed_m_per_s.is_some());
    }

    /// Leaves the positions alone, and the fixes that have one.
    pub fn drop_speeds(&mut self) {
        self.drop_all(|fix| fix.speed_m_per_s = None, |fix| fix.position_m.is_some());
    }

    /// The start of a segment must not go with a fix that is left out.
    fn drop_all(&mut self, what: fn(&mut PathFix), left: fn(&PathFix) -> bool) {
        let mut starts = false;
        self.fixes.retain_mut(|fix| {
            what(fix);
            starts |= fix.starts;
            left(fix) && {
                fix.starts = std::mem::take(&mut starts);
                true
            }
        });
        split_at_gaps(&mut self.fixes);
    }

    fn reject(&mut self, reason: &'static str) {
        count(&mut self.rejected, reason, 1);
    }
}

/// Adds to the count of a reason.
pub fn count(rejected: &mut Vec<Rejected>, reason: &'static str, count: usize) {
    if count == 0 {
        return;
    }
    match rejected.iter_mut().find(|r| r.reason == reason) {
        Some(found) => found.count += count,
        None => rejected.push(Rejected { reason, count }),
    }
}

/// Cleans a track. Coordinates become metres east and north of the first position and go no further.
pub fn clean(track: &Track) -> Clean {
    let room = track.fixes.len();
    let mut clean = Clean { read: room, fixes: Vec::with_capacity(room), ..Clean::default() };
    let mut plane: Option<Path> = None;
    let mut segment_starts = false;
    for fix in track.fixes.iter() {
        segment_starts |= fix.starts_segment;
        let Some(time) = fix.time else {
            clean.reject("no time");
            continue;
        };
        if let Some(last) = clean.fixes.last() {
            if time.s() < last.time_s {
                clean.reject(RUNS_BACKWARD);
                continue;
            }
            if time.s() == last.time_s {
                clean.reject(STANDS_STILL);
                continue;
            }
        }
        if fix.hdop.is_some_and(|hdop| hdop > POOR_HDOP) {
            clean.reject("poor satellite geometry");
            continue;
        }
        let position = fix.latitude.zip(fix.longitude).map(|(latitude, longitude)| {
            let here = Position { latitude, longitude };
            clean.first.get_or_insert(here);
            let (east, north) = plane.get_or_insert_with(|| Path::new(here)).go_to(here);
            [east.m(), north.m()]
        });
        let speed = fix.speed.map(|speed| speed.m_per_s()).filter(|v| (0.0..IMPOSSIBLE_M_PER_S).contains(v));
        if position.is_none() && speed.is_none() {
            clean.reject("neither position nor speed");
            continue;
        }
        clean.heights.extend(fix.elevation.map(|height| (time.s(), height.m())));
        clean.fixes.push(PathFix {
            time_s: time.s(),
            position_m: position,
            speed_m_per_s: speed,
            starts: std::mem::take(&mut segment_starts),
        });
    }
    split_at_gaps(&mut clean.fixes);
    clean
}

fn split_at_gaps(fixes: &mut [PathFix]) {
    let usual = usual_interval_s(fixes.iter().map(|fix| fix.time_s));
    let gap = GAP_S.max(GAP_INTERVALS * usual);
    for index in 1..fixes.len() {
        let apart = fixes[index].time_s - fixes[index - 1].time_s;
        // A new segment without a pause is a logger's habit, not a gap.
        fixes[index].starts = apart > gap || (fixes[index].starts && apart > 2.0 * usual);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Fix;
    use metrology::quantity::{Angle, Instant, Speed};

    fn fix(time_s: f64, speed_m_per_s: Option<f64>) -> Fix {
        Fix {
            time: Some(Instant::from_s(time_s)),
            speed: speed_m_per_s.map(Speed::from_m_per_s),
            ..Fix::default()
        }
    }

    fn check(fixes: Vec<Fix>, kept_s: &[f64], reason: &str) {
        let cleaned = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() });
        assert_eq!(cleaned.fixes.iter().map(|f| f.time_s).collect::<Vec<_>>(), kept_s);
        assert_eq!(cleaned.rejected.iter().map(|r| (r.reason, r.count)).collect::<Vec<_>>(), [(reason, 1)]);
    }

    #[test]
    fn every_fix_left_out_has_its_reason() {
        let at = |time_s| fix(time_s, Some(10.0));
        check(vec![at(0.0), at(2.0), at(1.0), at(3.0)], &[0.0, 2.0, 3.0], "time runs backward");
        check(vec![at(0.0), at(0.0), at(3.0)], &[0.0, 3.0], "time stands still");
        check(vec![at(0.0), Fix { time: None, ..at(1.0) }], &[0.0], "no time");
        check(vec![at(0.0), Fix { hdop: Some(30.0), ..at(1.0) }], &[0.0], "poor satellite geometry");
        check(vec![at(0.0), fix(1.0, None)], &[0.0], "neither position nor speed");
        check(vec![at(0.0), fix(1.0, Some(400.0))], &[0.0], "neither position nor speed");
    }

    #[test]
    fn a_pause_splits_and_a_new_segment_without_pause_does_not() {
        let mut fixes: Vec<Fix> = [0.0, 1.0, 2.0, 3.0, 40.0, 41.0].map(|t| fix(t, Some(5.0))).to_vec();
        fixes[2].starts_segment = true;
        let starts: Vec<bool> = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() })
            .fixes
            .iter()
            .map(|f| f.starts)
            .collect();
        assert_eq!(starts, [false, false, false, false, true, false]);
    }

    /// A minute of latitude at 45 degrees is 1852.2 m (WGS84, by the series of any handbook; from memory).
    #[test]
    fn coordinates_become_metres() {
        let at = |time_s, degrees| Fix {
            latitude: Some(Angle::from_deg(degrees)),
            longitude: Some(Angle::from_deg(7.0)),
            ..fix(time_s, None)
        };
        let fixes = vec![at(0.0, 45.0 - 0.5 / 60.0), at(1.0, 45.0 + 0.5 / 60.0)];
        let cleaned = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() });
        let [east, north] = cleaned.fixes[1].position_m.unwrap();
        assert!(east.abs() < 1e-6 && (north - 1852.2).abs() < 0.1, "{east} {north}");
    }
}
