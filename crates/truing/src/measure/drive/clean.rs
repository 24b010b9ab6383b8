//! From fixes as read to fixes that can be used; what is left out is counted with its reason.

use super::Rejected;
use crate::logs::Track;
use metrology::geodesy::{Path, Position};
use metrology::smooth::PathFix;

/// A speed no road vehicle reaches (m/s): 360 km/h.
pub const IMPOSSIBLE_M_PER_S: f64 = 100.0;
/// Beyond this horizontal dilution of precision a fix is of no use (common practice, no source).
const POOR_HDOP: f64 = 20.0;
/// A hole longer than this (s), and than [`HOLE_INTERVALS`] usual intervals, splits the track.
const HOLE_S: f64 = 10.0;
const HOLE_INTERVALS: f64 = 4.0;

/// Fixes in rising time, positions in a plane.
#[derive(Clone, Debug, Default)]
pub struct Clean {
    /// Usable fixes.
    pub fixes: Vec<PathFix>,
    /// Fixes as read.
    pub read: usize,
    /// What was left out, by reason.
    pub rejected: Vec<Rejected>,
}

impl Clean {
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
    let mut clean = Clean { read: track.fixes.len(), ..Clean::default() };
    let mut plane: Option<Path> = None;
    let mut segment_starts = false;
    for fix in &track.fixes {
        segment_starts |= fix.starts_segment;
        let Some(time) = fix.time else {
            clean.reject("no time");
            continue;
        };
        if let Some(last) = clean.fixes.last() {
            if time.s() < last.time_s {
                clean.reject("time runs backward");
                continue;
            }
            if time.s() == last.time_s {
                clean.reject("time stands still");
                continue;
            }
        }
        if fix.hdop.is_some_and(|hdop| hdop > POOR_HDOP) {
            clean.reject("poor satellite geometry");
            continue;
        }
        let position = fix.latitude.zip(fix.longitude).map(|(latitude, longitude)| {
            let here = Position { latitude, longitude };
            let (east, north) = plane.get_or_insert_with(|| Path::new(here)).go_to(here);
            [east.m(), north.m()]
        });
        let speed = fix.speed.map(|speed| speed.m_per_s()).filter(|v| (0.0..IMPOSSIBLE_M_PER_S).contains(v));
        if position.is_none() && speed.is_none() {
            clean.reject("neither position nor speed");
            continue;
        }
        clean.fixes.push(PathFix {
            time_s: time.s(),
            position_m: position,
            speed_m_per_s: speed,
            starts: std::mem::take(&mut segment_starts),
        });
    }
    split_at_holes(&mut clean.fixes);
    clean
}

/// The usual interval between times; the median, so that holes do not count.
pub fn usual_interval_s(times_s: impl Iterator<Item = f64> + Clone) -> f64 {
    let mut steps: Vec<f64> = times_s.clone().skip(1).zip(times_s).map(|(b, a)| b - a).collect();
    if steps.is_empty() {
        return 1.0;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}

fn split_at_holes(fixes: &mut [PathFix]) {
    let usual = usual_interval_s(fixes.iter().map(|fix| fix.time_s));
    let hole = HOLE_S.max(HOLE_INTERVALS * usual);
    for index in 1..fixes.len() {
        let apart = fixes[index].time_s - fixes[index - 1].time_s;
        // A new segment without a pause is a logger's habit, not a hole.
        fixes[index].starts = apart > hole || (fixes[index].starts && apart > 2.0 * usual);
    }
}
