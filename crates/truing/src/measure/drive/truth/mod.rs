//! The truth channel: true speed over time with its uncertainty, and true distance.

mod gaps;
mod lay;
mod legs;
mod length;
mod midpoints;
mod self_check;
pub mod slope;
mod speed_only;
mod standing;
mod timing;

use crate::measure::drive::input::fixes::Clean;
use crate::measure::drive::types::DriveConditions;
use gaps::Gap;
use legs::step_m;
pub use length::Drift;
use metrology::order::usual_interval_s;
use metrology::quantity::Duration;
use metrology::smooth::Levels;
use self_check::SelfCheck;
use slope::Slope;

/// A longer time between fixes (s) is a gap, however far apart all of them are: what is laid out between two of them would be made up.
const LONGEST_STEP_S: f64 = 600.0;

/// Half the span (s) over which the rate of change is taken.
const RATE_S: f64 = 2.0;

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
    /// What the drive shows of its own errors: whole, and faster than 5 m/s.
    checked: [SelfCheck; 2],
    /// Length taken off where the vehicle stands (m).
    stood_m: f64,
    /// What slopes add.
    pub slope: Slope,
    /// The road climbs more than usual, as was said.
    hilly: bool,
    /// Noise levels of the positions; absent when the track has none.
    levels: Option<Levels>,
}

/// Makes the truth channel of a cleaned track and counts outliers into its rejected fixes.
pub fn truth(clean: &mut Clean, conditions: &DriveConditions) -> Truth {
    for index in 1..clean.fixes.len() {
        let apart_s = clean.fixes[index].time_s - clean.fixes[index - 1].time_s;
        clean.fixes[index].starts |= apart_s > LONGEST_STEP_S;
    }
    let by_positions = clean.fixes.iter().any(|fix| fix.position_m.is_some());
    let mut truth = if by_positions { lay::of_positions(clean) } else { lay::of_speeds(clean) };
    truth.hilly = conditions.hilly;
    slope::lengthen(&mut truth, clean, by_positions);
    truth
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
        let step = last.map_or(0.0, |(last_s, before)| step_m(time_s - last_s, *before, Some(middle), speed));
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

    /// Distance between two moments (m), where nothing is missing between them.
    pub fn metres_between(&self, start_s: f64, end_s: f64) -> Option<f64> {
        let (first, last) = (self.upper(start_s, 0), self.upper(end_s, 0));
        let is_whole = start_s <= end_s && first > 0 && last < self.time_s.len();
        let breaks = || self.breaks[first..=last].iter().any(|breaks| *breaks);
        (is_whole && !breaks()).then(|| self.metres_until(end_s, last) - self.metres_until(start_s, first))
    }

    /// Distance since the start at a time before `upper` (m), the speed being linear between two fixes.
    fn metres_until(&self, time_s: f64, upper: usize) -> f64 {
        let (from, to) = (upper - 1, upper);
        let share = (time_s - self.time_s[from]) / (self.time_s[to] - self.time_s[from]);
        let [before, after] = [self.speed_m_per_s[from], self.speed_m_per_s[to]];
        let covered = before * share + 0.5 * (after - before) * share * share;
        let whole = 0.5 * (before + after);
        let part = if whole > 0.0 { covered / whole } else { share };
        self.distance_m[from] + part * (self.distance_m[to] - self.distance_m[from])
    }

    /// Makes every length and speed longer by one factor.
    pub fn scale(&mut self, factor: f64) {
        let of_truth = [&mut self.speed_m_per_s, &mut self.middle_m_per_s, &mut self.distance_m];
        of_truth.into_iter().flatten().for_each(|value| *value *= factor);
        self.gaps.iter_mut().for_each(|gap| gap.length_m *= factor);
    }

    /// Mean speed of what the track covers (m/s).
    fn usual_m_per_s(&self) -> f64 {
        let covered_s: f64 = (1..self.time_s.len())
            .filter(|k| !self.breaks[*k])
            .map(|k| self.time_s[k] - self.time_s[k - 1])
            .sum();
        self.distance_m.last().copied().unwrap_or(0.0) / covered_s.max(1.0)
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
}

#[cfg(test)]
mod tests;
