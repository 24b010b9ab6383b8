//! The truth channel: true speed over time with its uncertainty, and true distance.

mod gaps;
mod midpoints;
pub mod slope;
mod speed_only;

use crate::measure::drive::input::fixes::{Clean, count};
use crate::measure::drive::types::MOVING_M_PER_S;
use gaps::Gap;
use metrology::measured::Measured;
use metrology::order::usual_interval_s;
use metrology::quantity::{Duration, Length, Quantity};
use metrology::smooth::{Levels, PathPoint, SLOW_ERROR_TIME_S, smooth};
use midpoints::middles;
use slope::Slope;
use speed_only::{sighted, unseen, without_position};

/// Standard uncertainty of one reported speed when there is no position beside it (m/s); satellite receivers
/// report speed from carrier frequency to about this (judgement).
pub const REPORTED_U_M_PER_S: f64 = 0.1;
/// Relative standard uncertainty of a whole track's length beside its slopes: corners cut, crawling and standing, and error
/// let through by the smoother; by positions alone, and where speeds were reported too, which tell standing from crawling.
/// Set from the scatter of simulated drives.
const SCALE_U: f64 = 8e-4;
const REPORTED_SCALE_U: f64 = 5e-4;
/// The same for the part under way faster than 5 m/s, where standing and crawling do not count. Twice it and more is what open
/// drives' positions and speeds differ by.
const MOVING_SCALE_U: f64 = 6e-4;
const REPORTED_MOVING_SCALE_U: f64 = 3.5e-4;

/// Reported speeds this far apart (s) miss about as much of bends as what the cubic between them adds; nearer ones a share of that. Seen
/// in two recorded drives: by distance and by slope 0.5 and 0.9 % are left at 5 s, where 0.8 % is added, and nothing at 1 s.
const BENT_WHOLE_S: f64 = 5.0;

/// Half the span (s) over which the rate of change is taken.
const RATE_S: f64 = 2.0;

/// The error of the smoothed position along the road.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Drift {
    /// Standard deviation (m); zero where the windows' errors are independent.
    pub deviation_m: f64,
    /// Time constant (s).
    pub time_s: f64,
}

/// True speed at rising times; linear between them, nothing known across a break.
#[derive(Clone, Debug, Default)]
pub struct Truth {
    /// Times (s) on the track's clock.
    pub time_s: Vec<f64>,
    /// Speed (m/s).
    pub speed_m_per_s: Vec<f64>,
    /// Speed half way between the time before and each time (m/s).
    middle_m_per_s: Vec<f64>,
    /// Standard uncertainty of each speed (m/s).
    pub u_m_per_s: Vec<f64>,
    /// Nothing is known between this time and the one before.
    pub breaks: Vec<bool>,
    /// Distance since the start (m), without the gaps.
    pub distance_m: Vec<f64>,
    /// Place east and north (m) at each time, where there are positions.
    places_m: Vec<[f64; 2]>,
    /// How much longer a step east and one north is with latitude and longitude swapped, where no speed was reported.
    pub swapped: Option<[f64; 2]>,
    /// What bridges the gaps.
    gaps: Vec<Gap>,
    /// Stretches with reported speeds alone, among others with positions.
    blind_stretches: usize,
    /// Speeds were reported beside the positions.
    reported: bool,
    /// Relative standard uncertainty of what bends between reported speeds add.
    bent_u: f64,
    /// What slopes add.
    pub slope: Slope,
    /// Noise levels of the positions; absent when the track has none.
    levels: Option<Levels>,
}

/// Makes the truth channel of a cleaned track and counts outliers into its rejected fixes.
pub fn truth(clean: &mut Clean) -> Truth {
    let by_positions = clean.fixes.iter().any(|fix| fix.position_m.is_some());
    let mut truth = if by_positions { of_positions(clean) } else { of_speeds(clean) };
    slope::lengthen(&mut truth, clean, by_positions);
    truth
}

fn of_positions(clean: &mut Clean) -> Truth {
    let blind = without_position(&clean.fixes);
    let path = smooth(&sighted(&clean.fixes, &blind));
    let outliers = |test: fn(&PathPoint) -> bool| path.points.iter().filter(|p| test(p)).count();
    count(&mut clean.rejected, "position far from the path", outliers(|p| p.position_rejected));
    count(&mut clean.rejected, "reported speed far from the path's", outliers(|p| p.speed_rejected));
    let reported = clean.fixes.iter().any(|fix| fix.speed_m_per_s.is_some());
    let mut truth = Truth { levels: Some(path.levels), reported, ..Truth::with_room(path.points.len()) };
    let mut last: Option<PathPoint> = None;
    let mut places = Vec::with_capacity(clean.fixes.len());
    let (mut points, mut was_blind, mut passed_over) = (path.points.iter().copied(), false, false);
    for (fix, blind) in clean.fixes.iter().zip(blind) {
        let point = if blind { unseen(fix, path.levels.reported_m_per_s) } else { points.next() };
        let Some(point) = point else {
            passed_over = true;
            continue;
        };
        let leaps = point.breaks && !was_blind;
        let breaks = last.is_none() || leaps || fix.starts || passed_over;
        if let Some(before) = last.filter(|_| breaks) {
            truth.gaps.push(Gap::new(&before, &point, fix.starts));
        }
        let middle = (!blind && !was_blind).then_some(point.middle_m_per_s);
        truth.push(point.time_s, (point.speed_m_per_s, middle, point.speed_uncertainty_m_per_s), breaks);
        truth.blind_stretches += usize::from(blind && !was_blind);
        places.push(point.position_m);
        (last, was_blind, passed_over) = (Some(point), blind, false);
    }
    gaps::bridge(&mut truth, &places);
    truth.places_m = places;
    if !reported {
        truth.swapped = clean.first.and_then(|first| scales(first.latitude.rad(), first.longitude.rad()));
    }
    truth
}

fn of_speeds(clean: &Clean) -> Truth {
    let seen = || clean.fixes.iter().filter_map(|fix| Some((fix, fix.speed_m_per_s?)));
    let time_s: Vec<f64> = seen().map(|(fix, _)| fix.time_s).collect();
    let speeds: Vec<f64> = seen().map(|(_, speed)| speed).collect();
    let breaks: Vec<bool> = seen().enumerate().map(|(index, (fix, _))| fix.starts || index == 0).collect();
    let mut truth = Truth::with_room(time_s.len());
    let (mut bent_m, mut all_m) = (0.0, 0.0);
    for (index, middle) in middles(&time_s, &speeds, &breaks).into_iter().enumerate() {
        truth.push(time_s[index], (speeds[index], middle, REPORTED_U_M_PER_S), breaks[index]);
        if let Some(middle) = middle {
            let (step_s, mean) =
                (time_s[index] - time_s[index - 1], 0.5 * (speeds[index - 1] + speeds[index]));
            if mean > MOVING_M_PER_S {
                bent_m += step_s * 2.0 * (middle - mean) / 3.0;
                all_m += step_s * mean;
            }
        }
    }
    truth.bent_u = (bent_m / all_m.max(1.0)).abs() * (truth.interval_s() / BENT_WHOLE_S).min(1.0);
    truth
}

/// How much longer a step is with its coordinates swapped back: east and north, for a track that begins at this latitude and longitude
/// (rad). Nothing where the longitude could be no latitude.
fn scales(latitude: f64, longitude: f64) -> Option<[f64; 2]> {
    (longitude.abs() < std::f64::consts::FRAC_PI_2 && latitude.cos() > 0.0)
        .then(|| [1.0 / latitude.cos(), longitude.cos()])
}

impl Truth {
    fn with_room(count: usize) -> Truth {
        let room = || Vec::with_capacity(count);
        Truth {
            time_s: room(),
            speed_m_per_s: room(),
            middle_m_per_s: room(),
            u_m_per_s: room(),
            distance_m: room(),
            breaks: Vec::with_capacity(count),
            ..Truth::default()
        }
    }

    fn push(&mut self, time_s: f64, (speed, middle, u): (f64, Option<f64>, f64), breaks: bool) {
        let last = self.time_s.last().zip(self.speed_m_per_s.last()).filter(|_| !breaks);
        let mean = last.map_or(speed, |(_, before)| 0.5 * (before + speed));
        let middle = middle.unwrap_or(mean);
        // Simpson's rule: exact for the cubic's velocity along a straight road.
        let step = last.map_or(0.0, |(last_s, _)| (time_s - last_s) * (mean + 2.0 * middle) / 3.0);
        self.distance_m.push(self.distance_m.last().copied().unwrap_or(0.0) + step);
        self.time_s.push(time_s);
        self.speed_m_per_s.push(speed);
        self.middle_m_per_s.push(middle);
        self.u_m_per_s.push(u);
        self.breaks.push(breaks);
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

    /// Speed (m/s), its rate of change (m/s²) and its uncertainty (m/s) at a time; nothing inside a gap.
    ///
    /// The rate is taken over [`RATE_S`] to both sides: a rate from the same two fixes as the speed shares their error,
    /// and a lag fitted with it is drawn to the middle between fixes.
    ///
    /// `near` is where the time before was found, and where this one is, afterwards: times that go on are found at once.
    pub fn at(&self, time_s: f64, near: &mut usize) -> Option<(f64, f64, f64)> {
        *near = self.upper(time_s, *near);
        let (speed, u) = self.between(time_s, *near)?;
        let beside = |time_s| self.between(time_s, self.upper(time_s, *near));
        let earlier = beside(time_s - RATE_S).map_or((0.0, speed), |(v, _)| (RATE_S, v));
        let later = beside(time_s + RATE_S).map_or((0.0, speed), |(v, _)| (RATE_S, v));
        let span = (earlier.0 + later.0).max(RATE_S);
        Some((speed, (later.1 - earlier.1) / span, u))
    }

    /// Direction of travel at a time, east and north; nothing inside a gap or where nothing moves.
    pub fn direction_at(&self, time_s: f64) -> Option<[f64; 2]> {
        let upper = self.time_s.partition_point(|t| *t < time_s);
        if upper == 0 || upper >= self.places_m.len() || self.breaks[upper] {
            return None;
        }
        let [east, north] = [0, 1].map(|axis| self.places_m[upper][axis] - self.places_m[upper - 1][axis]);
        let far = f64::hypot(east, north);
        (far > 0.0).then(|| [east / far, north / far])
    }

    /// First index whose time is not before `time_s`, sought with growing steps from `near`.
    fn upper(&self, time_s: f64, near: usize) -> usize {
        let (mut low, mut high) = (near.min(self.time_s.len()), near.min(self.time_s.len()));
        let mut step = 1;
        while low > 0 && self.time_s[low - 1] >= time_s {
            low = low.saturating_sub(step);
            step *= 2;
        }
        step = 1;
        while high < self.time_s.len() && self.time_s[high] < time_s {
            high = (high + step).min(self.time_s.len());
            step *= 2;
        }
        low + self.time_s[low..high].partition_point(|t| *t < time_s)
    }

    fn between(&self, time_s: f64, upper: usize) -> Option<(f64, f64)> {
        if upper == 0 || upper == self.time_s.len() || self.breaks[upper] {
            return None;
        }
        let share = (time_s - self.time_s[upper - 1]) / (self.time_s[upper] - self.time_s[upper - 1]);
        let mix = |values: &[f64]| values[upper - 1] * (1.0 - share) + values[upper] * share;
        let straight = mix(&self.speed_m_per_s);
        let ends = 0.5 * (self.speed_m_per_s[upper - 1] + self.speed_m_per_s[upper]);
        let bow = 4.0 * share * (1.0 - share) * (self.middle_m_per_s[upper] - ends);
        Some(((straight + bow).max(0.0), mix(&self.u_m_per_s)))
    }

    /// Relative standard uncertainty of the scale of the speeds under way.
    pub fn moving_scale_u(&self) -> f64 {
        let scale_u = match (self.levels, self.reported) {
            (Some(_), false) => MOVING_SCALE_U,
            _ => REPORTED_MOVING_SCALE_U,
        };
        (scale_u * self.coarseness().sqrt()).hypot(self.slope.share().1).hypot(self.bent_u)
    }

    /// Errors of the smoothed position along the road.
    ///
    /// Positions alone: the slow error they have. Reported speeds carry the position on from fix to fix with a random walk of
    /// `r²·dt`, and the positions hold that walk; the steady state of a walk of intensity `w` seen through errors of spectral
    /// density `S` has variance `sqrt(w S)/2` and time constant `sqrt(S/w)` (Kalman & Bucy 1961, J. Basic Eng. 83:95).
    pub fn drift(&self) -> Drift {
        let Some(levels) = self.levels else { return Drift { deviation_m: 0.0, time_s: SLOW_ERROR_TIME_S } };
        let alone = Drift { deviation_m: levels.slow_m, time_s: SLOW_ERROR_TIME_S };
        if !self.reported {
            return alone;
        }
        let interval_s = self.interval_s();
        let walk = levels.reported_m_per_s.powi(2) * interval_s;
        let density = 2.0 * levels.slow_m.powi(2) * SLOW_ERROR_TIME_S + levels.white_m.powi(2) * interval_s;
        let (time_s, variance) = ((density / walk).sqrt(), 0.5 * (density * walk).sqrt());
        if time_s < SLOW_ERROR_TIME_S { alone } else { Drift { deviation_m: variance.sqrt(), time_s } }
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

    /// Time under way faster than `above_m_per_s` (s).
    pub fn moving_s(&self, above_m_per_s: f64) -> f64 {
        (1..self.time_s.len())
            .filter(|k| !self.breaks[*k] && self.speed_m_per_s[*k] > above_m_per_s)
            .map(|k| self.time_s[k] - self.time_s[k - 1])
            .sum()
    }

    /// Mean speed (m/s) over the distance covered faster than `above_m_per_s`; that itself where nothing was.
    pub fn mean_speed_by_distance(&self, above_m_per_s: f64) -> f64 {
        let (mut metres, mut weighted) = (0.0, 0.0);
        for k in 1..self.time_s.len() {
            let speed = self.speed_m_per_s[k];
            if !self.breaks[k] && speed > above_m_per_s {
                let step_m = speed * (self.time_s[k] - self.time_s[k - 1]);
                metres += step_m;
                weighted += step_m * speed;
            }
        }
        if metres > 0.0 { weighted / metres } else { above_m_per_s }
    }

    /// Distance since the start at a time (m), without the gaps.
    pub fn distance_at(&self, time_s: f64) -> Option<f64> {
        let upper = self.time_s.partition_point(|t| *t < time_s);
        (upper < self.time_s.len()).then(|| self.distance_m[upper])
    }

    /// Makes every length and speed longer by one factor.
    pub fn scale(&mut self, factor: f64) {
        let of_truth = [&mut self.speed_m_per_s, &mut self.middle_m_per_s, &mut self.distance_m];
        of_truth.into_iter().flatten().for_each(|value| *value *= factor);
        self.gaps.iter_mut().for_each(|gap| gap.length_m *= factor);
    }

    pub fn take_gaps(&mut self) -> Vec<Gap> {
        std::mem::take(&mut self.gaps)
    }

    pub fn put_gaps(&mut self, gaps: Vec<Gap>) {
        self.gaps = gaps;
    }

    /// Length of the gaps (m) and their number.
    pub fn gaps(&self) -> (f64, usize) {
        (self.gaps.iter().map(|gap| gap.length_m).sum(), self.gaps.len())
    }

    /// Whole length of the drive. Gaps are bridged with an uncertainty that says so.
    pub fn distance(&self) -> Measured<Length> {
        let inside = self.distance_m.last().copied().unwrap_or(0.0);
        let (gaps, number) = self.gaps();
        let ends = self.levels.map_or(0.0, |l| (2.0 * (l.slow_m.powi(2) + l.white_m.powi(2))).sqrt());
        let ends = ends * ((number + self.blind_stretches + 1) as f64).sqrt();
        let noise = match self.levels {
            Some(_) => 0.0,
            None => REPORTED_U_M_PER_S * (self.interval_s() * self.duration().s()).sqrt(),
        };
        let total = inside + gaps;
        let scale_u = if self.reported { REPORTED_SCALE_U } else { SCALE_U };
        let scale_u = (scale_u * self.coarseness().sqrt()).hypot(self.slope.share().1).hypot(self.bent_u);
        let u = (ends.powi(2)
            + noise.powi(2)
            + (scale_u * total).powi(2)
            + self.gaps.iter().map(|gap| gap.u_m.powi(2)).sum::<f64>())
        .sqrt();
        // Welch-Satterthwaite (JCGM 100:2008, G.4.1): what few stretches tell of a gap is not sure of its own scatter.
        // Nothing but what is sure adds up to a zero of either sign.
        let unsure: f64 = self.gaps.iter().map(|gap| gap.u_m.powi(4) / gap.dof).sum();
        let dof = if unsure > 0.0 { u.powi(4) / unsure } else { f64::INFINITY };
        Measured::symmetric(Length::from_m(total), Length::from_si(u), dof)
    }
}

#[cfg(test)]
mod tests;
