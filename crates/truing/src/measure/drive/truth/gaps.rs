//! The road over a gap in the track.
//!
//! A road is longer than its chord, and about as long as the speeds at both ends would cover. How far to go by either, the
//! rest of the same drive tells: stretches that last as long and go about as far, with their scatter as the uncertainty. By the
//! chord alone a gap in which the road turned back comes out far too short, and surely so.

use crate::measure::drive::input::fixes::IMPOSSIBLE_M_PER_S;
use crate::measure::drive::truth::Truth;
use metrology::smooth::PathPoint;

/// Where the drive is too short to tell how its road winds: this much of the chord, as a standard uncertainty (judgement).
const UNKNOWN_SHARE_U: f64 = 0.1;
/// Stretches that go this many times as far, less or more, are like the gap.
const ALIKE: f64 = 2.0;
/// Fewer stretches than this tell nothing; more than this tell nothing new.
const STRETCHES: (usize, usize) = (10, 500);

/// Fewer than this that do not overlap leave too little for the scatter about two factors.
const APART: f64 = 4.0;

/// The judgement above weighs as much as so many stretches beside those of the drive.
const PRIOR_WEIGHT: f64 = 4.0;

/// Without positions at both ends a gap longer than this (s) leaves the length unknown: a traffic light is as long (judgement).
const BY_SPEEDS_AT_MOST_S: f64 = 60.0;
/// The mean speed in such a gap is as sure as this share of the faster of the drive's usual speed and those at both ends (judgement).
const BY_SPEEDS_U: f64 = 0.3;

/// What lies over one gap.
#[derive(Copy, Clone, Debug)]
pub struct Gap {
    /// When it begins, and how long it lasts (s).
    pub start_s: f64,
    pub span_s: f64,
    chord_m: f64,
    /// What the mean of the speeds at both ends covers in that time (m).
    travel_m: f64,
    /// Length of the road (m).
    pub length_m: f64,
    /// Its standard uncertainty (m).
    pub u_m: f64,
    /// Degrees of freedom of that.
    pub dof: f64,
    by_chord: bool,
    /// Nothing bridges it.
    pub unknown: bool,
}

impl Gap {
    /// The chord, unless no vehicle drives it in that time; then, and where the positions leapt without a pause, what the
    /// speeds on both sides would cover.
    pub fn new(before: &PathPoint, after: &PathPoint, paused: bool) -> Gap {
        let span_s = after.time_s - before.time_s;
        let [east, north] = [0, 1].map(|axis| after.position_m[axis] - before.position_m[axis]);
        let chord_m = f64::hypot(east, north);
        let ends = |point: &PathPoint| (point.time_s, point.speed_m_per_s);
        if !chord_m.is_finite() {
            return Gap::of_speeds(ends(before), ends(after));
        }
        let by_chord = paused && chord_m < IMPOSSIBLE_M_PER_S * span_s;
        let travel_m = 0.5 * (before.speed_m_per_s + after.speed_m_per_s) * span_s;
        let length_m = if by_chord { chord_m } else { travel_m };
        Gap {
            start_s: before.time_s,
            span_s,
            chord_m,
            travel_m,
            length_m,
            u_m: UNKNOWN_SHARE_U * length_m,
            dof: f64::INFINITY,
            by_chord,
            unknown: false,
        }
    }

    /// Between times (s) and speeds (m/s) without a position at one end or both: what the speeds would cover, unless it lasts too long.
    pub fn of_speeds(before: (f64, f64), after: (f64, f64)) -> Gap {
        let span_s = after.0 - before.0;
        let travel_m = 0.5 * (before.1 + after.1) * span_s;
        let unknown = span_s > BY_SPEEDS_AT_MOST_S;
        let length_m = if unknown { 0.0 } else { travel_m };
        let u_m = BY_SPEEDS_U * before.1.max(after.1) * span_s;
        Gap {
            start_s: before.0,
            span_s,
            chord_m: 0.0,
            travel_m,
            length_m,
            u_m: if unknown { 0.0 } else { u_m },
            dof: f64::INFINITY,
            by_chord: false,
            unknown,
        }
    }

    /// Takes what the vehicle's own log counted.
    pub fn carried(&mut self, length_m: f64, u_m: f64, dof: f64) {
        (self.length_m, self.u_m, self.dof, self.unknown) = (length_m, u_m, dof, false);
    }

    /// Takes what stretches tell that begin `every_s` after each other: road by chord and by travel, least squares of the
    /// errors relative to the larger of both.
    fn wind(&mut self, stretches: &[Stretch], every_s: f64) {
        let size_m = self.chord_m.max(self.travel_m);
        let alike = |s: &&Stretch| s.size_m() < ALIKE * size_m && size_m < ALIKE * s.size_m();
        let like: Vec<[f64; 3]> = stretches.iter().filter(alike).map(Stretch::shares).collect();
        // Stretches that overlap tell the same again: only so many are apart.
        let apart = like.len() as f64 * (every_s / self.span_s).min(1.0);
        let sum = |of: &dyn Fn(&[f64; 3]) -> f64| like.iter().map(of).sum::<f64>();
        let (cc, ct, tt) = (sum(&|s| s[1] * s[1]), sum(&|s| s[1] * s[2]), sum(&|s| s[2] * s[2]));
        let (cr, tr) = (sum(&|s| s[1] * s[0]), sum(&|s| s[2] * s[0]));
        let determinant = cc * tt - ct * ct;
        if like.len() < STRETCHES.0 || apart < APART || determinant <= 0.0 {
            return;
        }
        let (by_chord, by_travel) = ((tt * cr - ct * tr) / determinant, (cc * tr - ct * cr) / determinant);
        let squares = sum(&|s| (s[0] - by_chord * s[1] - by_travel * s[2]).powi(2));
        let road_m = by_chord * self.chord_m + by_travel * self.travel_m;
        self.length_m = road_m.clamp(self.chord_m, IMPOSSIBLE_M_PER_S * self.span_s);
        // A few stretches seldom hold a road that turns back; what is held beforehand counts as some of them.
        self.dof = apart - 2.0 + PRIOR_WEIGHT;
        let variance =
            (squares / like.len() as f64 * apart + PRIOR_WEIGHT * UNKNOWN_SHARE_U.powi(2)) / self.dof;
        // Of another stretch they say less than of themselves.
        self.u_m = size_m * (variance * (1.0 + 2.0 / apart)).sqrt();
    }
}

/// Part of the drive without a gap.
#[derive(Copy, Clone)]
struct Stretch {
    road_m: f64,
    chord_m: f64,
    travel_m: f64,
}

impl Stretch {
    fn size_m(&self) -> f64 {
        self.chord_m.max(self.travel_m)
    }

    /// Road, chord and travel over the size.
    fn shares(&self) -> [f64; 3] {
        [self.road_m, self.chord_m, self.travel_m].map(|m| m / self.size_m())
    }
}

/// Makes every gap that was bridged by its chord as long as the road usually is, and those bridged by speeds as unsure as the drive's own
/// speed makes them.
pub fn bridge(truth: &mut Truth) {
    let places_m = std::mem::take(&mut truth.places_m);
    let every_s = truth.interval_s() * stride(&places_m) as f64;
    let usual_m_per_s = truth.usual_m_per_s();
    let mut gaps = truth.take_gaps();
    for gap in gaps.iter_mut().filter(|gap| !gap.unknown) {
        if gap.by_chord {
            gap.wind(&stretches(truth, &places_m, gap.span_s), every_s);
        } else if gap.chord_m == 0.0 {
            gap.u_m = gap.u_m.max(BY_SPEEDS_U * usual_m_per_s * gap.span_s);
        }
    }
    truth.put_gaps(gaps);
    truth.places_m = places_m;
}

fn stride(places_m: &[[f64; 2]]) -> usize {
    places_m.len().div_ceil(STRETCHES.1).max(1)
}

/// Stretches of the drive that last `span_s` and have no gap.
fn stretches(truth: &Truth, places_m: &[[f64; 2]], span_s: f64) -> Vec<Stretch> {
    let mut broken = 0;
    let breaks: Vec<usize> = truth.breaks.iter().map(|b| (broken += usize::from(*b), broken).1).collect();
    (0..places_m.len())
        .step_by(stride(places_m))
        .filter_map(|from| {
            let to = truth.time_s.partition_point(|t| *t < truth.time_s[from] + span_s);
            let placed = |k: usize| places_m[k][0].is_finite();
            (to < places_m.len() && breaks[to] == breaks[from] && placed(from) && placed(to)).then(|| {
                let [east, north] = [0, 1].map(|axis| places_m[to][axis] - places_m[from][axis]);
                let ends_m_per_s = truth.speed_m_per_s[from] + truth.speed_m_per_s[to];
                Stretch {
                    road_m: truth.distance_m[to] - truth.distance_m[from],
                    chord_m: f64::hypot(east, north),
                    travel_m: 0.5 * ends_m_per_s * (truth.time_s[to] - truth.time_s[from]),
                }
            })
        })
        .collect()
}
