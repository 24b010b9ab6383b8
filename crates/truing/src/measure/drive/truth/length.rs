//! The length of the drive, and how sure it and the scale of the speeds are.

use super::Truth;
use crate::measure::drive::types::MOVING_M_PER_S;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Quantity};
use metrology::smooth::SLOW_ERROR_TIME_S;

/// Standard uncertainty of one reported speed when there is no position beside it (m/s); satellite receivers
/// report speed from carrier frequency to about this (judgement).
pub const REPORTED_U_M_PER_S: f64 = 0.1;
/// Relative standard uncertainty of a whole track's length beside its slopes and what the drive itself shows: corners cut, crawling and
/// standing, and error let through by the smoother; by positions alone, and where speeds were reported too, which tell standing from crawling.
/// Set from the scatter of simulated drives, by positions so that slow errors of 20 s and 3 m are held: from the motion itself they cannot be told.
const SCALE_U: f64 = 1.6e-3;
const REPORTED_SCALE_U: f64 = 3e-4;
/// The same for the part under way faster than 5 m/s, where standing and crawling do not count.
const MOVING_SCALE_U: f64 = 3e-4;
const REPORTED_MOVING_SCALE_U: f64 = 2e-4;
/// Scale of speeds from carrier frequency (relative standard uncertainty): a whole drive's share, whatever its length (judgement; receivers
/// state none).
const CARRIER_SCALE_U: f64 = 4e-4;
/// Share of what half the fixes change that may be left in the length by all of them: bends that grow with the square of the step leave a third,
/// with the step itself all of it; errors of positions about as much as they change.
const HALVED_U: f64 = 0.8;
/// Receivers may take running means of their positions over as long as this (s), which cut corners: of a road that turns at `w` a share of
/// `w²T²/24`. Positions whose white error is below [`FILTERED_M`] are filtered, by phones over 4 s and more (common practice, no source);
/// others may be a little.
const FILTERED_S: f64 = 5.0;
const FILTERED_M: f64 = 0.2;
const UNFILTERED_S: f64 = 2.0;
/// White error of usual positions (m), and how many times that adds to what is stated beforehand.
const USUAL_WHITE_M: f64 = 0.6;
const NOISIEST: f64 = 2.0;
/// Share of the road beside positions that are far from the path that may be wrong (judgement).
const LEFT_OUT_U: f64 = 0.05;
/// Share of what smoothing took off the steps that may be wrong (simulated drives).
const SMOOTHED_OFF_U: f64 = 0.2;
const REPORTED_SMOOTHED_OFF_U: f64 = 0.1;
/// Share of the length taken off where the vehicle stands that may have been a truck that crawled (judgement).
const STOOD_U: f64 = 0.5;
/// Reported speeds this far apart (s) miss about as much of bends as what the cubic between them adds; nearer ones a share of that. Seen
/// in two recorded drives: by distance and by slope 0.5 and 0.9 % are left at 5 s, where 0.8 % is added, and nothing at 1 s.
pub const BENT_WHOLE_S: f64 = 5.0;
/// Receivers whose speeds nothing can be laid beside may read low or high by so much under way (m/s): in the open drives of one receiver its
/// speeds were 0.15 to 0.4 m/s below what its positions cover, at every speed; twice this is 0.4 (judgement).
const REPORTED_OFFSET_U_M_PER_S: f64 = 0.2;
/// Errors of reported speeds hold on for about so long (s); receivers filter them (judgement).
const REPORTED_HOLDS_S: f64 = 3.0;

/// The error of the smoothed position along the road.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Drift {
    /// Standard deviation (m); zero where the windows' errors are independent.
    pub deviation_m: f64,
    /// Time constant (s).
    pub time_s: f64,
}

impl Truth {
    /// Positions far apart in time tell less of bends, starts and stops between them: the scale's uncertainty grows with
    /// their step beyond a second (judgement, seen in simulated drives at 5 s).
    pub fn coarseness(&self) -> f64 {
        if self.levels.is_some() { self.interval_s().max(1.0) } else { 1.0 }
    }

    /// Relative standard uncertainty of a scale: what it is known to beforehand, what the drive shows, slopes.
    fn scale_u(&self, beforehand: f64, which: usize) -> f64 {
        let checked = &self.checked[which];
        let share = if self.reported { REPORTED_SMOOTHED_OFF_U } else { SMOOTHED_OFF_U };
        let smoothed_off = share * checked.smoothed_off;
        let carrier = if self.reported || self.levels.is_none() { CARRIER_SCALE_U } else { 0.0 };
        (beforehand * self.coarseness().sqrt() * self.noisiness())
            .hypot(HALVED_U * checked.halved)
            .hypot(checked.wander_u)
            .hypot(self.filtered_s().powi(2) / 24.0 * checked.turned_per_s2)
            .hypot(LEFT_OUT_U * checked.left_out)
            .hypot(smoothed_off)
            .hypot(carrier)
            .hypot(checked.contradiction_u)
            .hypot(self.slope.share(self.hilly).1)
            .hypot(self.bent_u)
    }

    /// Positions alone that err more from fix to fix than usual lengthen the road by the square of that; where all of a drive is so, not even a
    /// wander stands out from it.
    fn noisiness(&self) -> f64 {
        let levels = self.levels.filter(|_| !self.reported);
        levels.map_or(1.0, |levels| (levels.white_m / USUAL_WHITE_M).clamp(1.0, NOISIEST).powi(2))
    }

    /// How long (s) the receiver may have filtered its positions.
    fn filtered_s(&self) -> f64 {
        match self.levels {
            Some(levels) if levels.white_m < FILTERED_M => FILTERED_S,
            Some(_) => UNFILTERED_S,
            None => 0.0,
        }
    }

    /// Relative standard uncertainty of the scale of the speeds under way.
    pub fn moving_scale_u(&self) -> f64 {
        let beforehand = match (self.levels, self.reported) {
            (Some(_), false) => MOVING_SCALE_U,
            _ => REPORTED_MOVING_SCALE_U,
        };
        self.scale_u(beforehand, 1)
    }

    /// Errors of the smoothed position along the road.
    ///
    /// Positions alone: the slow error they have. Reported speeds carry the position on from fix to fix with a random walk of
    /// `r²·dt`, and the positions hold that walk; the steady state of a walk of intensity `w` seen through errors of spectral
    /// density `S` has variance `sqrt(w S)/2` and time constant `sqrt(S/w)` (Kalman & Bucy 1961, J. Basic Eng. 83:95).
    pub fn drift(&self) -> Drift {
        let Some(levels) = self.levels else { return Drift { deviation_m: 0.0, time_s: SLOW_ERROR_TIME_S } };
        let alone = Drift { deviation_m: levels.slow_m, time_s: levels.slow_time_s };
        if !self.reported {
            return alone;
        }
        let interval_s = self.interval_s();
        let walk = levels.reported_m_per_s.powi(2) * interval_s;
        let density = 2.0 * levels.slow_m.powi(2) * levels.slow_time_s + levels.white_m.powi(2) * interval_s;
        let (time_s, variance) = ((density / walk).sqrt(), 0.5 * (density * walk).sqrt());
        if time_s < levels.slow_time_s { alone } else { Drift { deviation_m: variance.sqrt(), time_s } }
    }

    /// What a stretch of some seconds errs beside the drift, in length (m): white errors of the positions at both ends, and
    /// as much again where the smoother rounds a start or a stop; with speeds alone, the sum of theirs.
    pub fn apart_m(&self) -> f64 {
        match self.levels {
            Some(levels) if !self.reported => 2.0 * levels.white_m,
            Some(_) => 0.0,
            None => REPORTED_U_M_PER_S * (self.interval_s() * 10.0).sqrt(),
        }
    }

    /// Whole length of the drive; nothing where a gap leaves it unknown. Gaps that are bridged have an uncertainty that says so.
    pub fn distance(&self) -> Option<Measured<Length>> {
        if self.missing().is_some() {
            return None;
        }
        let inside = self.distance_m.last().copied().unwrap_or(0.0);
        let (gaps, number) = self.gaps();
        let ends = self.levels.map_or(0.0, |l| (2.0 * (l.slow_m.powi(2) + l.white_m.powi(2))).sqrt());
        let ends = ends * ((number + self.blind_stretches + 1) as f64).sqrt();
        let holds_s = self.interval_s().max(REPORTED_HOLDS_S);
        let noise = match self.levels {
            Some(_) => 0.0,
            None => (REPORTED_U_M_PER_S * (holds_s * self.covered_s()).sqrt())
                .hypot(REPORTED_OFFSET_U_M_PER_S * self.moving_s(MOVING_M_PER_S)),
        };
        let total = (inside + gaps).max(0.0);
        let scale_u = self.scale_u(if self.reported { REPORTED_SCALE_U } else { SCALE_U }, 0);
        let u = (ends.powi(2)
            + noise.powi(2)
            + (scale_u * total).powi(2)
            + (STOOD_U * self.stood_m).powi(2)
            + self.gaps.iter().map(|gap| gap.u_m.powi(2)).sum::<f64>())
        .sqrt();
        // Welch-Satterthwaite (JCGM 100:2008, G.4.1): what few stretches say about a gap is not sure of its own scatter.
        // Nothing but what is sure adds up to a zero of either sign.
        let unsure: f64 = self.gaps.iter().map(|gap| gap.u_m.powi(4) / gap.dof).sum();
        let dof = if unsure > 0.0 { u.powi(4) / unsure } else { f64::INFINITY };
        let u = if u.is_finite() { u } else { total };
        let length = Measured::symmetric(Length::from_m(total), Length::from_si(u), dof);
        // No drive is shorter than nothing.
        Some(Measured { low_95: Length::from_m(length.low_95.m().max(0.0)), ..length })
    }

    /// The first gap that leaves the length unknown: its start and end since the first fix.
    pub fn missing(&self) -> Option<(Duration, Duration)> {
        let start_s = self.time_s.first()?;
        let gap = self.gaps.iter().find(|gap| gap.unknown)?;
        let since = |time_s: f64| Duration::from_s(time_s - start_s);
        Some((since(gap.start_s), since(gap.start_s + gap.span_s)))
    }

    /// Time (s) that the track covers.
    fn covered_s(&self) -> f64 {
        (1..self.time_s.len()).filter(|k| !self.breaks[*k]).map(|k| self.time_s[k] - self.time_s[k - 1]).sum()
    }
}
