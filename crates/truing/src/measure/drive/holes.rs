//! The road over a hole in the track.
//!
//! A road is longer than its chord; by how much, the rest of the same drive tells: over stretches that last as long and
//! go about as far, road over chord is what it is for the hole, and its scatter is the uncertainty.

use super::clean::IMPOSSIBLE_M_PER_S;
use super::truth::Truth;
use metrology::smooth::PathPoint;

/// Where the drive is too short to tell how its road winds: this much of the chord, as a standard uncertainty (judgement).
const UNTOLD_SHARE_U: f64 = 0.1;
/// Stretches that go this many times as far, less or more, are like the hole.
const ALIKE: f64 = 2.0;
/// Fewer stretches than this tell nothing; more than this tell nothing new.
const STRETCHES: (usize, usize) = (10, 500);

/// What lies over one hole.
#[derive(Copy, Clone, Debug)]
pub(super) struct Bridge {
    span_s: f64,
    chord_m: f64,
    /// Length of the road (m).
    pub(super) length_m: f64,
    /// Its standard uncertainty (m).
    pub(super) u_m: f64,
    by_chord: bool,
}

impl Bridge {
    /// The chord, unless no vehicle drives it in that time; then, and where the positions leapt without a pause, what the
    /// speeds on both sides would cover.
    pub(super) fn new(before: &PathPoint, after: &PathPoint, paused: bool) -> Bridge {
        let span_s = after.time_s - before.time_s;
        let [east, north] = [0, 1].map(|axis| after.position_m[axis] - before.position_m[axis]);
        let chord_m = f64::hypot(east, north);
        let by_chord = paused && chord_m < IMPOSSIBLE_M_PER_S * span_s;
        let by_speed_m = 0.5 * (before.speed_m_per_s + after.speed_m_per_s) * span_s;
        let length_m = if by_chord { chord_m } else { by_speed_m };
        Bridge { span_s, chord_m, length_m, u_m: UNTOLD_SHARE_U * length_m, by_chord }
    }

    fn wind(&mut self, stretches: &[(f64, f64)]) {
        let alike = |chord_m: f64| chord_m < ALIKE * self.chord_m && self.chord_m < ALIKE * chord_m;
        let like: Vec<(f64, f64)> =
            stretches.iter().copied().filter(|(_, chord_m)| alike(*chord_m)).collect();
        if like.len() < STRETCHES.0 {
            return;
        }
        let (road_m, chord_m) = like.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0, sum.1 + s.1));
        let longer = (road_m / chord_m).max(1.0);
        let squares: f64 = like.iter().map(|(road, chord)| (road / chord - longer).powi(2)).sum();
        self.length_m = (longer * self.chord_m).min(IMPOSSIBLE_M_PER_S * self.span_s);
        self.u_m = self.chord_m * (squares / (like.len() - 1) as f64).sqrt();
    }
}

/// Makes every hole that was bridged by its chord as long as the road usually is.
pub(super) fn bridge(truth: &mut Truth, places_m: &[[f64; 2]]) {
    let mut holes = truth.take_holes();
    for hole in holes.iter_mut().filter(|hole| hole.by_chord) {
        hole.wind(&stretches(truth, places_m, hole.span_s));
    }
    truth.put_holes(holes);
}

/// Road and chord (m) of stretches of the drive that last `span_s` and have no hole.
fn stretches(truth: &Truth, places_m: &[[f64; 2]], span_s: f64) -> Vec<(f64, f64)> {
    let stride = places_m.len().div_ceil(STRETCHES.1).max(1);
    let mut broken = 0;
    let breaks: Vec<usize> = truth.breaks.iter().map(|b| (broken += usize::from(*b), broken).1).collect();
    (0..places_m.len())
        .step_by(stride)
        .filter_map(|from| {
            let to = truth.time_s.partition_point(|t| *t < truth.time_s[from] + span_s);
            (to < places_m.len() && breaks[to] == breaks[from]).then(|| {
                let [east, north] = [0, 1].map(|axis| places_m[to][axis] - places_m[from][axis]);
                (truth.distance_m[to] - truth.distance_m[from], f64::hypot(east, north))
            })
        })
        .collect()
}
